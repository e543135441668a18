"""All that is SQLite's own: how the club file is opened, made, checked, copied and cleaned."""

from __future__ import annotations

import contextlib
import os
import secrets
import sqlite3
import time
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool, StaticPool

from paryield.errors import InputError, InternalError, ParyieldError

HEADER = b"SQLite format 3\x00"
"""First 16 bytes of every SQLite file (sqlite.org, Database File Format, section 1.3)."""

BUSY_SECONDS = 5.0
"""How long to wait for another program's lock; our choice."""

MODE = "rw"
"""Read and write, never create (sqlite.org, Uniform Resource Identifiers, section 3.3)."""

STALE_PART_SECONDS = 3600.0

PLAIN: tuple[tuple[str, str, str], ...] = (
    ("SQLITE_BUSY", "another program is using the club file", "close it or wait, then run this again"),
    ("SQLITE_LOCKED", "another program is using the club file", "close it or wait, then run this again"),
    ("SQLITE_READONLY", "the club file or its folder is read-only", "allow writing, or work on a copy"),
    ("SQLITE_FULL", "the disk is full; nothing was stored", "free some space, then run this again"),
    ("SQLITE_IOERR", "the disk could not be read or written; nothing was stored", "check the disk"),
    ("SQLITE_CORRUPT", "the club file is damaged", "put back the latest backup"),
    ("SQLITE_NOTADB", "this is not a club file, or it is damaged", "name a club file, or put back a backup"),
    (
        "SQLITE_CANTOPEN",
        "the club file cannot be opened",
        "check its name, its folder and the rights on both",
    ),
    ("SQLITE_PERM", "the club file cannot be opened", "check the rights on the file"),
)


def plain_error(error: sqlite3.Error, where: str) -> ParyieldError:
    """Turn an error of SQLite into one plain line (exit code 2, or 1 where it is our fault)."""
    name = getattr(error, "sqlite_errorname", "")
    for start, message, remedy in PLAIN:
        if name.startswith(start):
            return InputError(message, where=where, remedy=remedy)
    return InternalError(f"the club file refused a command: {error}", where=where, remedy="report this line")


def check_file(path: Path) -> None:
    """Refuse a path that cannot be a club file.

    Raises
    ------
    InputError
        When the path is missing, a folder, empty or not an SQLite file.
    """
    where = str(path)
    if not path.exists():
        raise InputError(
            "there is no such club file", where=where, remedy="check the name, or import into it"
        )
    if path.is_dir():
        raise InputError("this is a folder, not a club file", where=where, remedy="name the file in it")
    try:
        with path.open("rb") as stream:
            head = stream.read(len(HEADER))
    except OSError as error:
        raise InputError(
            f"cannot be read ({error.strerror})", where=where, remedy="check the rights"
        ) from error
    if not head:
        raise InputError("the file is empty", where=where, remedy="put back a backup, or name another file")
    if head != HEADER:
        raise InputError("this is not a club file", where=where, remedy="name a file made by paryield import")


def file_engine(path: Path) -> Engine:
    """Return an engine on an existing file; it never makes one."""
    address = f"file:{quote(str(path))}?mode={MODE}"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(
            address, uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )

    return prepared(create_engine("sqlite://", creator=connect, poolclass=NullPool))


def memory_engine() -> Engine:
    """Return an engine on an empty club that lives in memory until :func:`publish`."""

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)

    return prepared(create_engine("sqlite://", creator=connect, poolclass=StaticPool))


def prepared(engine: Engine) -> Engine:
    """Set foreign keys, overwriting of deleted rows, and whole transactions on every connection."""

    @event.listens_for(engine, "connect")
    def on_connect(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")

    @event.listens_for(engine, "begin")
    def on_begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def driver(connection: Connection) -> sqlite3.Connection:
    """Return the SQLite connection below."""
    found = connection.connection.driver_connection
    assert isinstance(found, sqlite3.Connection)
    return found


def check_sound(connection: Connection, where: str) -> None:
    """Raise InputError when the pages of the file do not hang together."""
    found = driver(connection).execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise InputError("the club file is damaged", where=where, remedy="put back the latest backup")


def compact(engine: Engine) -> None:
    """Rewrite the file without its free pages."""
    with engine.connect() as connection:
        driver(connection).execute("VACUUM")


def publish(engine: Engine, path: Path) -> None:
    """Write the club in memory to a new file: whole, or not at all.

    Raises
    ------
    InputError
        When the path exists by now or the folder cannot be written.
    """
    with engine.connect() as connection:
        image = driver(connection).serialize()
    part = part_of(path)
    try:
        with part.open("xb") as stream:
            stream.write(image)
            stream.flush()
            os.fsync(stream.fileno())
        place(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def copy_to(engine: Engine, path: Path) -> None:
    """Make a consistent copy while others may be reading or writing.

    Raises
    ------
    InputError
        When the path exists or cannot be written.
    """
    if path.exists():
        raise InputError("this file exists already", where=str(path), remedy="name a new file for the backup")
    part = part_of(path)
    try:
        part.open("xb").close()
        with engine.connect() as source, contextlib.closing(sqlite3.connect(part)) as target:
            driver(source).backup(target)
        with part.open("rb+") as stream:
            os.fsync(stream.fileno())
        place(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def part_of(path: Path) -> Path:
    """Return a fresh name beside ``path``; parts left by a killed run an hour ago are removed."""
    with contextlib.suppress(OSError):
        for old in path.parent.iterdir():
            ours = old.name.startswith(f".{path.name}.") and old.suffix == ".part"
            if ours and time.time() - old.stat().st_mtime > STALE_PART_SECONDS:
                old.unlink(missing_ok=True)
    return path.with_name(f".{path.name}.{secrets.token_hex(6)}.part")


def place(part: Path, path: Path) -> None:
    """Give a finished part its name, never on top of another file."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if path.exists():
            raise FileExistsError(17, "the file exists by now", str(path)) from None
        part.replace(path)
    with contextlib.suppress(OSError):
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def cannot_write(path: Path, error: OSError) -> InputError:
    """Return the plain line for a file that could not be written."""
    return InputError(
        f"the file cannot be written ({error.strerror or error})",
        where=str(path),
        remedy="check that the folder exists, may be written and has space",
    )

"""All that is SQLite's own: how the club file is opened, checked and cleaned."""

from __future__ import annotations

import sqlite3
from functools import lru_cache
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool, StaticPool

from paryield.club import backups
from paryield.errors import InputError, InternalError, ParyieldError

HEADER = b"SQLite format 3\x00"
"""First 16 bytes of every SQLite file (sqlite.org, Database File Format, section 1.3)."""

BUSY_SECONDS = 30.0
"""How long to wait for another program's lock; our choice."""

MODE = "rw"
"""Read and write, never create (sqlite.org, Uniform Resource Identifiers, section 3.3)."""

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


DAMAGED = ("SQLITE_CORRUPT", "SQLITE_NOTADB")
LOST = ("no such table", "no such column", "has no column", "malformed", "mismatch", "Could not decode")
"""What SQLite says, without a code of its own, of tables that are not as made and of text that is none."""


def plain_error(error: sqlite3.Error, where: str) -> ParyieldError:
    """Turn an error of SQLite into one plain line (exit code 2, or 1 where it is our fault)."""
    name = getattr(error, "sqlite_errorname", "")
    if any(word in str(error) for word in LOST):
        return backups.damaged(where, f"SQLite says {str(error)[:100]!r}")
    for start, message, remedy in PLAIN:
        if name.startswith(start):
            if start in DAMAGED:
                remedy = backups.remedy(where, remedy)
            return InputError(message, where=where, remedy=remedy)
    path = backups.path_of(where)
    if path is not None and path.is_file() and not backups.is_sound(path):
        return backups.damaged(where, f"SQLite says {str(error)[:100]!r}")
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
        remedy = backups.remedy(where, "check the name, or start it: paryield desk CLUB --new")
        raise InputError("there is no such club file", where=where, remedy=remedy)
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
        remedy = backups.remedy(where, "put back a backup, or name another file")
        raise InputError("the file is empty", where=where, remedy=remedy)
    if head != HEADER:
        remedy = backups.remedy(where, "name a file made by paryield import")
        raise InputError("this is not a club file", where=where, remedy=remedy)


KEPT_ENGINES = 64
"""Club files of which the engine is kept: it holds no connection, only the commands that it has worded."""


@lru_cache(KEPT_ENGINES)
def file_engine(path: Path) -> Engine:
    """Return the engine on an existing file; it never makes one.

    A desk opens its club some times a page. Wording the same commands each time took most of an opening.
    """

    def connect() -> sqlite3.Connection:
        address = f"file:{quote(str(path))}?mode={MODE}"
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
    found = driver(connection).execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise backups.damaged(where, str(found).splitlines()[-1][:100])


def compact(engine: Engine) -> None:
    """Rewrite the file without its free pages; no temporary file holds what it held."""
    with engine.connect() as connection:
        below = driver(connection)
        below.execute("PRAGMA temp_store = MEMORY")
        below.execute("VACUUM")
        below.execute("PRAGMA wal_checkpoint(TRUNCATE)")

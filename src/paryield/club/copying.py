"""A club file written in one piece under a new name: whole, or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import sqlite3
import time
from pathlib import Path

from sqlalchemy import Engine

from paryield import private
from paryield.club import backups
from paryield.club.sqlite import driver
from paryield.errors import InputError

STALE_PART_SECONDS = 3600.0


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
        with private.opened(part, "xb") as stream:
            stream.write(image)
            stream.flush()
            os.fsync(stream.fileno())
        place(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def copy_to(engine: Engine, path: Path, where: str) -> None:
    """Make a consistent copy while others may be reading or writing.

    Raises
    ------
    InputError
        When the path exists or cannot be written, or the club is damaged.
    """
    check_new(path)
    part = part_of(path)
    try:
        private.opened(part, "xb").close()
        with engine.connect() as source, contextlib.closing(sqlite3.connect(part)) as target:
            driver(source).backup(target)
        if not backups.is_sound(part):
            raise backups.damaged(where, "its pages or rows are not as they were written; no copy was made")
        with part.open("rb+") as stream:
            os.fsync(stream.fileno())
        place(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def check_new(path: Path) -> None:
    """Refuse a path that is taken, or whose folder is missing."""
    if path.exists():
        raise InputError("this file exists already", where=str(path), remedy="name a new file for the backup")
    if not path.parent.is_dir():
        raise cannot_write(path, FileNotFoundError(2, "No such file or directory"))


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

"""Where a club lives: a path or a database URL, and plain errors from either."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Engine, create_engine, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, OperationalError, SQLAlchemyError

from paryield.club import backups, postgres, sqlite
from paryield.errors import InputError, InternalError, ParyieldError


@dataclass(frozen=True)
class Place:
    """Where a club lives.

    Parameters
    ----------
    name : str
        As shown to the user; passwords are hidden.
    path : Path or None
        The club file; None for another database.
    url : URL or None
        The database; None for a club file.
    """

    name: str
    path: Path | None
    url: URL | None

    def __post_init__(self) -> None:
        if (self.path is None) == (self.url is None):
            raise ValueError("a place is either a path or a URL")

    def engine(self) -> Engine:
        """Return an engine on a place that exists."""
        if self.path is not None:
            return sqlite.file_engine(self.path)
        assert self.url is not None
        try:
            return create_engine(self.url, pool_pre_ping=True)
        except (NoSuchModuleError, ImportError) as error:
            raise InputError(
                f"no driver for this kind of database ({error})",
                where=self.name,
                remedy="install the driver (for PostgreSQL: pip install 'paryield[postgresql]')",
            ) from error


def place_of(where: str | Path) -> Place:
    """Read a path or a database URL.

    Raises
    ------
    InputError
        When the URL cannot be read or names an SQLite database without a file.
    """
    text = str(where)
    if "://" not in text:
        return file_place(text)
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise InputError("this URL cannot be read", where=text, remedy="check its spelling") from error
    if url.get_backend_name() != "sqlite":
        if url.drivername in ("postgresql", "postgres"):
            url = url.set(drivername=postgres.DRIVER)
        return Place(url.render_as_string(hide_password=True), None, url)
    if not url.database or url.database == ":memory:":
        raise InputError("this URL names no file", where=text, remedy="name a path, as in sqlite:///club.db")
    return file_place(url.database)


def file_place(text: str) -> Place:
    """Return the place of a club file."""
    if not text.strip() or "\0" in text:
        raise InputError("no club file is named", remedy="name a path, such as club.db")
    return Place(text, Path(text).expanduser().absolute(), None)


@contextmanager
def plainly(where: str) -> Iterator[None]:
    """Turn every error of the database into one plain line."""
    try:
        yield
    except ParyieldError:
        raise
    except (SQLAlchemyError, sqlite3.Error) as error:
        raise plain_error(error, where) from error


@contextmanager
def sound(where: str) -> Iterator[None]:
    """Take values that no club can hold, met while one is read, for damage of the file."""
    try:
        yield
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise backups.damaged(where, f"it holds what no club can hold ({type(error).__name__})") from error


def plain_error(error: SQLAlchemyError | sqlite3.Error, where: str) -> ParyieldError:
    """Return the plain error for an error of the database."""
    below = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(below, sqlite3.Error):
        return sqlite.plain_error(below, where)
    plain = postgres.plain_error(str(getattr(below, "sqlstate", None) or ""), where)
    if plain is not None:
        return plain
    line = str(below).strip().splitlines()[:1]
    found = line[0] if line else type(error).__name__
    if isinstance(error, OperationalError):
        return InputError(f"the database did not answer ({found})", where=where, remedy="check its address")
    return InternalError(f"the database refused a command ({found})", where=where, remedy="report this line")

"""Runs tests on PostgreSQL that speak of a club by its path: the club lives in a database instead.

With ``--club-on postgresql`` a club that a test makes at a path is made in a database of a real server, and
a club file that is opened is first copied there, row by row. Tests marked ``club_file`` look at the file
itself (its bytes, a lock, a backup, another process that opens it) and keep files.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from dataclasses import replace as changed
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

import postgres
from paryield.club import layout, sqlite
from paryield.club.engine import place_of
from paryield.club.opened import COMMAND_LINE, OpenedClub
from paryield.club.sqlite import HEADER

MARK = b"club in a database\n"
PLAIN_OPEN = OpenedClub.open.__func__
PLAIN_CHECK = sqlite.check_file


@dataclass
class Redirect:
    """Which path stands for which database; ``on`` is false while a test keeps files."""

    socket: Path
    on: bool = False
    loaded: dict[tuple[str, int], str] = field(default_factory=dict)
    opened: int = 0
    clubs: list[OpenedClub] = field(default_factory=list)

    def let_go(self) -> None:
        """Close the connections of the clubs that a test opened; one that goes on opens new ones."""
        while self.clubs:
            self.clubs.pop().close()

    def url_of(self, path: Path, create: bool) -> str | None:
        """Return the database that a path stands for, None where it is to be opened as it is."""
        if not path.exists():
            return self.make(path) if create and path.parent.is_dir() else None
        if not path.is_file():
            return None
        content = path.read_bytes()
        if content.startswith(MARK):
            url, owner = content.decode().splitlines()[1:]
            return url if owner == str(path) else self.make(path, url.split("/")[3].split("?")[0])
        if not content.startswith(HEADER):
            return None
        key = (str(path), path.stat().st_mtime_ns)
        if key not in self.loaded:
            url = postgres.make_database(self.socket, name())
            copy_rows(path, url)
            self.loaded[str(path), path.stat().st_mtime_ns] = url
        return self.loaded[str(path), path.stat().st_mtime_ns]

    def make(self, path: Path, template: str | None = None) -> str:
        """Make a database, empty or a copy of another, and a file that tells of it."""
        url = postgres.make_database(self.socket, name(), template)
        path.write_bytes(MARK + f"{url}\n{path}".encode())
        return url


def name() -> str:
    """Return a fresh name of a database."""
    return f"club_{secrets.token_hex(6)}"


def copy_rows(path: Path, url: str) -> None:
    """Copy a club file into an empty database, table by table."""
    with PLAIN_OPEN(OpenedClub, path) as club, club._reading() as source:
        target = place_of(url).engine()
        with target.begin() as connection:
            layout.METADATA.create_all(connection)
            for table in layout.METADATA.sorted_tables:
                rows = [dict(row) for row in source.execute(sa.select(table)).mappings()]
                if rows:
                    connection.execute(table.insert(), rows)
        target.dispose()


@contextmanager
def redirected(socket: Path) -> Iterator[Redirect]:
    """Open clubs through a redirect for as long as this lasts."""
    redirect = Redirect(socket)

    def opened(
        cls: type[OpenedClub], where: str | Path, *, create: bool = False, who: str = COMMAND_LINE
    ) -> OpenedClub:
        path = place_of(where).path if redirect.on else None
        url = None if path is None else redirect.url_of(path, create)
        if url is None:
            return PLAIN_OPEN(cls, where, create=create, who=who)
        redirect.opened += 1
        club: Any = PLAIN_OPEN(cls, url, create=create, who=who)
        club._place = changed(club._place, name=str(where))
        redirect.clubs.append(club)
        return club

    def checked(path: Path) -> None:
        if not (redirect.on and path.is_file() and path.read_bytes().startswith(MARK)):
            PLAIN_CHECK(path)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sqlite, "check_file", checked)
        patch.setattr(OpenedClub, "open", classmethod(opened))
        yield redirect

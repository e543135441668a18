"""A club that is open: where it lives, one reading, one writing, which golfer a name means."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

import sqlalchemy as sa

from paryield.club import copying, layout, migrations, postgres, sqlite
from paryield.club.engine import Place, place_of, plainly, sound
from paryield.errors import InputError
from paryield.units import counted

if TYPE_CHECKING:
    from paryield.tables import Tables

COMMAND_LINE = "command line"


def golfer_called(connection: sa.Connection, given: str) -> str:
    """Return the id of the golfer that somebody has named.

    An id as it is stored comes first; then an id, a whole name and a first or last name in any case, where
    one golfer alone answers to it.

    Raises
    ------
    InputError
        When several golfers answer to the name, or none; the nearest ids and names are suggested.
    """
    golfers = layout.CLUB_TABLES["golfers"]
    rows = connection.execute(sa.select(golfers.c.golfer_id, golfers.c.display_name))
    names = {str(row.golfer_id): str(row.display_name or "") for row in rows}
    if given in names:
        return given
    wanted = " ".join(given.split()).casefold()
    for ways in (_ids, _whole_names, _parts_of_names):
        found = [golfer for golfer, known in ways(names) if wanted in known]
        if len(found) == 1:
            return found[0]
        if found:
            several = ", ".join(f"{names[golfer]} ({golfer})" for golfer in found[:4])
            more = f" and {len(found) - 4} more" if len(found) > 4 else ""
            what = f"{len(found)} golfers answer to {given!r}"
            raise InputError(what, remedy=f"say which: {several}{more}")
    raise InputError(f"there is no golfer {given!r}", remedy=_nearest(names, given))


def _ids(names: Mapping[str, str]) -> list[tuple[str, set[str]]]:
    return [(golfer, {golfer.casefold()}) for golfer in names]


def _whole_names(names: Mapping[str, str]) -> list[tuple[str, set[str]]]:
    return [(golfer, {" ".join(name.split()).casefold()} - {""}) for golfer, name in names.items()]


def _parts_of_names(names: Mapping[str, str]) -> list[tuple[str, set[str]]]:
    return [(golfer, set(name.casefold().split())) for golfer, name in names.items()]


def _nearest(names: Mapping[str, str], given: str) -> str:
    spelt = {golfer.casefold(): golfer for golfer in names}
    spelt |= {name.casefold(): f"{name} ({golfer})" for golfer, name in names.items() if name}
    near = difflib.get_close_matches(given.casefold(), spelt, n=1, cutoff=0.5)
    return f"the nearest is {spelt[near[0]]}" if near else f"the club holds {counted(len(names), 'golfer')}"


class OpenedClub:
    """Where a club lives and how it is read and written; ``Club`` adds what can be asked of it.

    A club that does not exist yet is kept in memory until something is stored; only then is its file
    made, whole or not at all.
    """

    def __init__(self, place: Place, engine: sa.Engine, *, in_memory: bool, who: str = COMMAND_LINE) -> None:
        self._place = place
        self._engine = engine
        self._in_memory = in_memory
        self.who = who
        self._read: tuple[tuple[int, ...], Tables] | None = None

    @classmethod
    def open(cls, where: str | Path, *, create: bool = False, who: str = COMMAND_LINE) -> Self:
        """Open a club; one of an older version is brought up to the present layout.

        Parameters
        ----------
        where : str or Path
            Path of a club file, or a database URL.
        create : bool
            Whether a club that does not exist may be made by the first import.
        who : str
            Whom the audit trail names for what is done; never a person's name.

        Raises
        ------
        InputError
            When there is no such club, it is no club, it is damaged or in use, or a newer version made
            it.
        """
        place = place_of(where)
        if place.path is not None:
            if create and not place.path.exists():
                return cls.new(place, who)
            sqlite.check_file(place.path)
        club = cls(place, place.engine(), in_memory=False, who=who)
        try:
            club._bring_up(create)
        except BaseException:
            club.close()
            raise
        return club

    def _bring_up(self, create: bool) -> None:
        """Refuse what is no club, and bring one of an older version up to the present layout."""
        with plainly(self.name), sound(self.name):
            with self._engine.connect() as connection:
                empty = self.path is None and not layout.is_made(connection)
                current = (empty and create) or layout.is_current(connection, self.name)
            if not current:
                with self._writing() as connection:
                    migrations.upgrade(connection, self.name)

    @classmethod
    def new(cls, place: Place, who: str = COMMAND_LINE) -> Self:
        """Return an empty club in memory, to be published to a path."""
        if place.path is not None and not place.path.parent.is_dir():
            raise InputError("there is no such folder", where=str(place.path.parent), remedy="make it first")
        club = cls(place, sqlite.memory_engine(), in_memory=True, who=who)
        with plainly(place.name), club._engine.begin() as connection:
            layout.make(connection)
        return club

    @property
    def name(self) -> str:
        """Path or URL as shown to the user."""
        return self._place.name

    @property
    def path(self) -> Path | None:
        """Path of the club file; None for another database."""
        return self._place.path

    def golfer_called(self, given: str) -> str:
        """Return the id of the golfer with this id, or with a name that nobody else answers to.

        Raises
        ------
        InputError
            When there is none, with the nearest; or when several answer to the name.
        """
        with self._reading() as connection:
            return golfer_called(connection, given)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def begin(self) -> None:
        """Make a club that was opened to be made, though nothing is stored in it yet."""
        with self._writing():
            pass

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def _is_new(self) -> bool:
        """Whether this is a database in which nothing was ever stored."""
        if self._place.path is not None:
            return False
        with plainly(self.name), self._engine.connect() as connection:
            return not layout.is_made(connection)

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        """One reading of one moment."""
        with plainly(self.name), self._engine.connect() as connection:
            if postgres.is_postgres(connection):
                connection = connection.execution_options(**postgres.READ)
            if self._place.path is None and not layout.is_made(connection):
                raise InputError("nothing is stored yet", where=self.name, remedy="import first")
            with sound(self.name):
                yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """One transaction; it is rolled back on any error, and a new club is then given up."""
        with plainly(self.name):
            with self._engine.connect().execution_options(writes=True) as connection, connection.begin():
                if postgres.is_postgres(connection):
                    postgres.lock(connection)
                if self._place.path is None and not layout.is_made(connection):
                    layout.make(connection)
                yield connection
            self._publish()

    def _publish(self) -> None:
        if self._in_memory and self._place.path is not None:
            copying.publish(self._engine, self._place.path)
            self._engine.dispose()
            self._engine, self._in_memory = self._place.engine(), False

    def _compact(self) -> None:
        with plainly(self.name):
            if self._place.path is not None:
                sqlite.compact(self._engine)
            elif self._engine.dialect.name == "postgresql":
                postgres.compact(self._engine)
            else:
                raise InputError("this database is not rewritten here", where=self.name)

"""The club: one file, or another database by URL."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace as changed
from datetime import date
from pathlib import Path
from types import TracebackType
from typing import Any

import pandas as pd
import sqlalchemy as sa

from paryield.club import contents, erase, exports, history, imports, layout, runs, sqlite, undo
from paryield.club.engine import Place, place_of, plainly
from paryield.club.erase import EraseReceipt
from paryield.club.imports import ImportReceipt
from paryield.club.undo import UndoReceipt
from paryield.errors import InputError, ParyieldError
from paryield.tables import Tables


class Club:
    """A club; open one with :meth:`open`.

    A club that does not exist yet is kept in memory until something is stored; only then is its file
    made, whole or not at all.
    """

    def __init__(self, place: Place, engine: sa.Engine, *, in_memory: bool) -> None:
        self._place = place
        self._engine = engine
        self._in_memory = in_memory

    @classmethod
    def open(cls, where: str | Path, *, create: bool = False) -> Club:
        """Open a club.

        Parameters
        ----------
        where : str or Path
            Path of a club file, or a database URL.
        create : bool
            Whether a club that does not exist may be made by the first import.

        Raises
        ------
        InputError
            When there is no such club, it is no club, it is damaged or in use, or a newer version made
            it.
        """
        place = place_of(where)
        if place.path is not None:
            if create and not place.path.exists():
                return cls.new(place)
            sqlite.check_file(place.path)
        club = cls(place, place.engine(), in_memory=False)
        with plainly(place.name), club._engine.connect() as connection:
            empty = place.path is None and not layout.is_made(connection)
            if not (empty and create):
                layout.check(connection, place.name)
        return club

    @classmethod
    def new(cls, place: Place) -> Club:
        """Return an empty club in memory, to be published to a path."""
        if place.path is not None and not place.path.parent.is_dir():
            raise InputError("there is no such folder", where=str(place.path.parent), remedy="make it first")
        club = cls(place, sqlite.memory_engine(), in_memory=True)
        with plainly(place.name), club._engine.begin() as connection:
            layout.make(connection)
        return club

    @property
    def name(self) -> str:
        """Path or URL as shown to the user."""
        return self._place.name

    def __enter__(self) -> Club:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with plainly(self.name), self._engine.connect() as connection:
            if self._place.path is None and not layout.is_made(connection):
                raise InputError("nothing is stored yet", where=self.name, remedy="import first")
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """One transaction; it is rolled back on any error, and a new club is then given up."""
        with plainly(self.name):
            with self._engine.connect().execution_options(writes=True) as connection, connection.begin():
                if self._place.path is None and not layout.is_made(connection):
                    layout.make(connection)
                yield connection
            self._publish()

    def _publish(self) -> None:
        if self._in_memory and self._place.path is not None:
            sqlite.publish(self._engine, self._place.path)
            self._engine.dispose()
            self._engine, self._in_memory = self._place.engine(), False

    def tables(self) -> Tables:
        """Return everything the club holds, rows in the order of the key."""
        with self._reading() as connection:
            return contents.read_tables(connection)

    def import_folder(
        self,
        folder: str | Path,
        *,
        keep_good: bool = False,
        replace: bool = False,
        today: date | None = None,
        undoable: bool = False,
    ) -> ImportReceipt:
        """Read a folder of tables and store it: all or nothing.

        The same folder again changes nothing, not even a byte of the file.

        Parameters
        ----------
        folder : str or Path
            Folder of CSV or XLSX tables.
        keep_good : bool
            Store the good rows although others have errors.
        replace : bool
            Let a row with a known key and other values replace the stored one, which is kept in the
            history.
        today : date or None
            Dates after it are errors; None is the day of the computer.
        undoable : bool
            Keep the keys of the new rows in the history, so that :meth:`undo` can take them back.

        Raises
        ------
        ImportRefused
            When there are errors; its ``problems`` lists them and nothing was stored.
        InputError
            When the club cannot be written.
        """
        with self._writing() as connection:
            if self._place.path is not None:
                sqlite.check_sound(connection, self.name)
            return imports.import_folder(
                connection,
                Path(folder),
                keep_good=keep_good,
                replace=replace,
                today=today,
                undoable=undoable,
            )

    def undo(self, number: int) -> UndoReceipt:
        """Take back one undoable change; undoing the undo brings it back.

        Raises
        ------
        InputError
            When there is no such change, its rows were not kept, or one was changed since.
        """
        with self._writing() as connection:
            return undo.undo(connection, number, self.name)

    def export(self, folder: str | Path, fmt: str = "csv") -> list[Path]:
        """Write all tables into a new or empty folder; ``fmt`` is csv or xlsx."""
        return exports.export(self.tables(), Path(folder), fmt)

    def history(self) -> pd.DataFrame:
        """Return the imports, one row per import and table; see :func:`history.listing`."""
        with self._reading() as connection:
            return history.listing(connection)

    def revision(self) -> tuple[int, ...]:
        """Return numbers that change whenever data or runs do: cheap to ask, unlike the fingerprint."""
        with self._reading() as connection:
            return contents.revision(connection)

    def page_key(self) -> bytes:
        """Return the club's own random key, from which pages make names that give nothing away."""
        with self._reading() as connection:
            found = layout.fact(connection, "page_key")
        if found is None:
            with self._writing() as connection:
                found = layout.fact(connection, "page_key") or secrets.token_hex(32)
                layout.set_fact(connection, "page_key", found)
        return bytes.fromhex(found)

    def data_fingerprint(self) -> str:
        """Return the sha256 of the stored content; see :func:`contents.fingerprint`."""
        return contents.fingerprint(self.tables())

    def save_run(self, *, payload: bytes, facts: dict[str, Any]) -> int:
        """Store a model run and return its number.

        Parameters
        ----------
        payload : bytes
            The draws, as a NetCDF file.
        facts : dict
            JSON values: fingerprints, seed, versions, health; a list ``golfers`` names whom the draws
            hold (without it, everybody).
        """
        with self._writing() as connection:
            return runs.save(connection, payload, facts)

    def latest_run(self) -> tuple[int, dict[str, Any], bytes] | None:
        """Return number, facts and draws of the newest run that is not stale, None without one."""
        with self._reading() as connection:
            return runs.latest(connection)

    def run(self, number: int) -> tuple[int, dict[str, Any], bytes]:
        """Return number, facts and draws of one run; InputError where there is none."""
        with self._reading() as connection:
            return runs.load(connection, number, self.name)

    def runs(self) -> pd.DataFrame:
        """Return one row per run without its draws; see :func:`runs.listing`."""
        with self._reading() as connection:
            return runs.listing(connection)

    def erase(self, golfer_id: str) -> EraseReceipt:
        """Remove one person from every table, the history and the runs, and overwrite what was there.

        Raises
        ------
        InputError
            When the club holds no such golfer.
        """
        with self._writing() as connection:
            receipt = erase.erase(connection, golfer_id, self.name)
        if self._place.path is None:
            return receipt
        try:
            with plainly(self.name):
                sqlite.compact(self._engine)
        except ParyieldError:
            return receipt
        return changed(receipt, compacted=True)

    def backup(self, path: str | Path) -> None:
        """Make a consistent copy of the club file under a new name."""
        if self._place.path is None:
            raise InputError("this club is no file", where=self.name, remedy="use the database's own backup")
        if self._in_memory:
            raise InputError("nothing is stored yet", where=self.name, remedy="import first")
        with plainly(self.name):
            sqlite.copy_to(self._engine, Path(path).expanduser().absolute())

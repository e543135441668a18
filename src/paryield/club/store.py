"""What can be asked of a club."""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace as changed
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import sqlalchemy as sa

from paryield.club import (
    adopted,
    backups,
    contents,
    edits,
    erase,
    exports,
    history,
    imports,
    layout,
    meeting,
    moving,
    registers,
    sources,
    sqlite,
    staying,
    sums,
    undo,
)
from paryield.club.batch import prepare
from paryield.club.edits import Edit, Stored
from paryield.club.engine import sound
from paryield.club.imports import ImportReceipt, database_frames
from paryield.club.privacy import Privacy
from paryield.club.reckonings import Reckonings
from paryield.club.undo import UndoReceipt
from paryield.tables import Reading, Tables, read_folder, read_frames
from paryield.tables.frames import empty_tables


class _Back(Exception):
    """Ends a transaction that is not meant to last."""


class Club(Reckonings, Privacy):
    """A club: one file, or another database by URL; open one with :meth:`open`.

    Examples
    --------
    >>> import pandas as pd
    >>> from paryield.club import Club
    >>> days = ["2026-05-01", "2026-05-08", "2026-05-15"]
    >>> played = {"played_on": days, "score_differential": [14.2, 12.9, 15.6]}
    >>> frames = {"golfers": pd.DataFrame({"golfer_id": ["G01"]})}
    >>> frames["rounds"] = pd.DataFrame({"golfer_id": "G01", **played})
    >>> with Club.open("ours.db", create=True) as club:
    ...     receipt = club.import_tables(frames)
    ...     tables = club.tables()
    >>> len(tables.golfers), len(tables.rounds)
    (1, 3)
    """

    def tables(self) -> Tables:
        """Return everything the club holds, rows in the order of the key; read again once data changed."""
        if self._is_new():
            return empty_tables()
        with self._reading() as connection:
            now = contents.revision(connection)
            if self._read is None or self._read[0] != now:
                self._read = now, contents.read_tables(connection)
            return self._read[1]

    def import_folder(
        self,
        folder: str | Path,
        *,
        keep_good: bool = False,
        replace: bool = False,
        today: date | None = None,
        undoable: bool = False,
        bring_back: bool = False,
        entry: bool = False,
        take: Collection[sources.Why] = staying.TAKEN,
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
        bring_back : bool
            Store rounds, too, that were moved or taken off by hand, as for what somebody types now.
        entry : bool
            Whether it was entered by hand, and not brought in: the trail then says so, golfer by golfer.
        take : collection of str
            Which rows on record give way where what they were read from is read otherwise now; see
            :class:`paryield.club.sources.Reread`. With ``replace`` all but ``changed``: rows of a sheet
            that somebody changed, or took off the record, by hand since give way only where it is named.

        Raises
        ------
        ImportRefused
            When there are errors; its ``problems`` lists them and nothing was stored.
        InputError
            When the club cannot be written.
        """
        done = self._import(
            lambda known: read_folder(folder, today=today, known=known),
            str(folder),
            "folder",
            keep_good=keep_good,
            replace=replace,
            today=today,
            undoable=undoable,
            bring_back=bring_back,
            entry=entry,
            told=lambda reading: sources.sources_of(Path(folder), reading),
            take=take,
        )
        left_out, unmeasured = sources.left_out_of(Path(folder)), sources.unmeasured_of(Path(folder))
        return changed(done, left_out=left_out, unmeasured=unmeasured)

    def read_otherwise(self, folder: str | Path) -> dict[str, int]:
        """Return how many rows on record a folder would replace as they are read otherwise now, by why."""
        with self._reading() as connection:
            reading = read_folder(folder, known=contents.read_tables(connection))
            batch = prepare(connection, reading)
            told = sources.sources_of(Path(folder), reading)
            found = sources.rereads(connection, batch.tables, reading, told)
            return {why: sum(len(one.old) for one in found if one.why == why) for why in sources.ALL}

    def met(self, folder: str | Path) -> meeting.Met:
        """Return how the rows of a folder stand to those on record; nothing is stored."""
        with self._reading() as connection:
            reading = read_folder(folder, known=contents.read_tables(connection))
            told = sources.sources_of(Path(folder), reading)
            return meeting.met(connection, reading, told)

    def import_tables(
        self,
        frames: Mapping[str, pd.DataFrame],
        *,
        keep_good: bool = False,
        replace: bool = False,
        today: date | None = None,
        undoable: bool = False,
        shown: str = "frame",
        entry: bool = False,
    ) -> ImportReceipt:
        """Check data frames by table name and store them, by the rules of :meth:`import_folder`.

        Parameters
        ----------
        frames : mapping of str to DataFrame
            Such as ``{"rounds": frame}``: columns named as in the tables.
        shown : str
            What problems name as the file.
        entry : bool
            Whether it was entered by hand, and not brought in: the trail then says so, golfer by golfer.
        """
        return self._import(
            lambda known: read_frames(frames, today=today, known=known, shown=shown),
            shown,
            "frames",
            keep_good=keep_good,
            replace=replace,
            today=today,
            undoable=undoable,
            entry=entry,
        )

    def import_database(self, url: str, **how: Any) -> ImportReceipt:
        """Read the tables and views of another database that are called as the club's tables, and store them.

        Parameters
        ----------
        url : str
            Database URL (SQLAlchemy), such as ``postgresql+psycopg://host/members``; it is only read.
        **how
            As :meth:`import_tables`.
        """
        return self.import_tables(database_frames(url), shown="database", **how)

    def _import(
        self,
        read: Callable[[Tables], Reading],
        where: str,
        what: str,
        *,
        keep_good: bool,
        replace: bool,
        today: date | None,
        undoable: bool,
        bring_back: bool = False,
        entry: bool = False,
        told: Callable[[Reading], sources.Sources] = lambda _: {},
        take: Collection[sources.Why] = staying.TAKEN,
    ) -> ImportReceipt:
        with self._writing() as connection:
            if self._place.path is not None:
                sqlite.check_sound(connection, self.name)
            if today is None:
                history.check_clock(connection, self.name)
            with sound(self.name):
                known = contents.read_tables(connection)
            reading = read(known)
            receipt = imports.import_reading(
                connection,
                reading,
                where,
                keep_good=keep_good,
                replace=replace,
                undoable=undoable,
                bring_back=bring_back,
                told=told(reading),
                take=take,
            )
            if receipt.import_no is not None:
                history.sign(connection, receipt.import_no, self.who)
            if receipt.changed:
                entered = reading.tables if entry else None
                registers.note_import(connection, self.who, receipt, entered, what)
            return receipt

    def adopted(self) -> tuple[dict[str, str], dict[str, str]]:
        """Return what was told about a coach's own spreadsheets: answers, and golfer ids by name."""
        with self._reading() as connection:
            return adopted.read(connection)

    def remember(self, answers: Mapping[str, str], people: Mapping[str, str]) -> None:
        """Keep answers about a coach's own spreadsheets; see :mod:`paryield.club.adopted`."""
        with self._writing() as connection:
            adopted.write(connection, answers, people)

    def row(self, table: str, cells: Mapping[str, str]) -> Stored | None:
        """Return the stored row of a key given as text, with its fingerprint; None where there is none."""
        with self._reading() as connection:
            key = edits.key_of_text(table, cells, self.name)
            found = edits.find(connection, table, key)
            return None if found is None else edits.stored(table, found)

    def log(self, table: str, cells: Mapping[str, str], *, today: date | None = None) -> Edit:
        """Store one new row given as text by column; see :func:`edits.log`."""
        with self._writing() as connection:
            done = edits.log(connection, table, cells, today=today, where=self.name)
            self._noted(connection, "logged", table, done)
            return done

    def edit(self, table: str, cells: Mapping[str, str], seen: str, *, today: date | None = None) -> Edit:
        """Replace a row that the caller has looked at (``seen`` of :meth:`row`); see :func:`edits.edit`."""
        with self._writing() as connection:
            done = edits.edit(connection, table, cells, seen, today=today, where=self.name)
            self._noted(connection, "edited", table, done)
            return done

    def move(
        self,
        table: str,
        key: Mapping[str, str],
        cells: Mapping[str, str],
        seen: str,
        *,
        today: date | None = None,
    ) -> Edit:
        """Put a row on another day, a round with its holes and shots; see :func:`moving.move_row`."""
        with self._writing() as connection:
            done = moving.move_row(connection, table, key, cells, seen, today=today, where=self.name)
            self._noted(connection, "edited", table, done)
            return done

    def remove(self, table: str, key: Mapping[str, str], seen: str) -> Edit:
        """Take a row off the record, a round with its holes and shots; see :func:`moving.remove_row`."""
        with self._writing() as connection:
            done = moving.remove_row(connection, table, key, seen, where=self.name)
            self._noted(connection, "edited", table, done)
            return done

    def undo(self, number: int) -> UndoReceipt:
        """Take back one undoable change; undoing the undo brings it back.

        Raises
        ------
        InputError
            When there is no such change, its rows were not kept, or one was changed since.
        """
        with self._writing() as connection, sound(self.name):
            receipt = undo.undo(connection, int(number), self.name)
            history.sign(connection, receipt.import_no, self.who)
            registers.note(connection, self.who, "took back", f"change {number}")
            return receipt

    def _noted(self, connection: sa.Connection, action: str, table: str, done: Edit) -> None:
        history.sign(connection, done.number, self.who)
        registers.note(connection, self.who, action, table, [done.golfer_id])

    def export(
        self, folder: str | Path, fmt: str = "csv", golfer: str | None = None, *, anyway: bool = False
    ) -> list[Path]:
        """Write all tables into a new or empty folder; with ``golfer``, all data of that person.

        Parameters
        ----------
        folder : str or Path
            A new or empty folder.
        fmt : str
            csv or xlsx.
        golfer : str, optional
            Whose data: every table, limits and plans included, and ``person.json`` with earlier values,
            the runs that hold draws of the golfer, and who saw or changed what.
        anyway : bool
            Write out what a damaged club still holds, too; each row that changed is named.

        Raises
        ------
        InputError
            When the folder cannot be written, or the club is damaged (see :meth:`check`).

        Warns
        -----
        Notice
            For each row of a damaged club that is not as it was written.
        """
        place = Path(folder)
        if anyway:
            with self._reading() as connection:
                for line in self._changed_rows(connection):
                    self._say(f"{line} is not as it was written")
        else:
            self.check()
        if golfer is None:
            files = exports.export(self.tables(), place, fmt)
        else:
            with self._reading() as connection:
                erase.known(connection, golfer, self.name)
                tables = exports.of_golfer(contents.read_tables(connection), golfer)
                about = exports.about(connection, golfer)
            files = [*exports.export(tables, place, fmt), exports.write_extra(place, "person.json", about)]
        self.note_copy("export", place, golfer)
        return files

    def check(self) -> None:
        """Look at every page of the club file and at the checksum of every row.

        Raises
        ------
        InputError
            When something is not as it was written; the last good backup is named.
        """
        with self._reading() as connection:
            if self.path is not None:
                sqlite.check_sound(connection, self.name)
            lines = self._changed_rows(connection)
        if lines:
            more = f" and {len(lines) - 1} more" if len(lines) > 1 else ""
            raise backups.damaged(self.name, f"{lines[0]}{more} is not as it was written")

    def _changed_rows(self, connection: sa.Connection) -> list[str]:
        """Return table and key of the rows that are not as they were written."""
        found = []
        for table in layout.METADATA.sorted_tables:
            if sums.SUM in table.c:
                for row in sums.changed(connection, table):
                    key = ", ".join(str(row[part.name]) for part in table.primary_key.columns)
                    found.append(f"{table.name} {key}")
        return found

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
            with self._writing() as connection, sound(self.name):
                found = layout.fact(connection, "page_key") or secrets.token_hex(32)
                layout.set_fact(connection, "page_key", found)
        with sound(self.name):
            return bytes.fromhex(found)

    def data_fingerprint(self) -> str:
        """Return the sha256 of the stored content; see :func:`contents.fingerprint`."""
        return contents.fingerprint(self.tables())

    def check_writable(self) -> None:
        """Refuse a club that cannot be written, before anything long begins; nothing is changed.

        Raises
        ------
        InputError
            When the file, its folder or the database does not take a change.
        """
        with contextlib.suppress(_Back), self._writing() as connection:
            layout.touch(connection)
            raise _Back

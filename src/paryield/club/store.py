"""What can be asked of a club."""

from __future__ import annotations

import contextlib
import secrets
import warnings
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
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
    copying,
    designs,
    edits,
    erase,
    exports,
    history,
    imports,
    layout,
    meeting,
    mentions,
    moving,
    registers,
    runs,
    scratch,
    sources,
    sqlite,
    staying,
    sums,
    undo,
)
from paryield.club.batch import prepare
from paryield.club.designs import StoredDesign
from paryield.club.edits import Edit, Stored
from paryield.club.engine import plainly, sound
from paryield.club.erase import EraseReceipt
from paryield.club.imports import ImportReceipt, database_frames
from paryield.club.opened import OpenedClub
from paryield.club.undo import UndoReceipt
from paryield.errors import InputError, Notice, ParyieldError
from paryield.tables import Reading, Tables, read_folder, read_frames
from paryield.tables.frames import empty_tables


class _Back(Exception):
    """Ends a transaction that is not meant to last."""


class Club(OpenedClub):
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

    def erased(self) -> int:
        """Return how many people were erased so far: a fit notes it before it reads the tables."""
        with self._reading() as connection:
            return registers.erased(connection)

    def save_run(self, *, payload: bytes, facts: dict[str, Any], erased: int | None = None) -> int:
        """Store a model run and return its number.

        Parameters
        ----------
        payload : bytes
            The draws, as a NetCDF file.
        facts : dict
            JSON values: fingerprints, seed, versions, health; a list ``golfers`` names whom the draws
            hold (without it, everybody).
        erased : int, optional
            What :meth:`erased` said before the tables of the run were read.

        Raises
        ------
        InputError
            When somebody was erased meanwhile, or the draws hold a golfer whom the club does not: the run
            would bring him back. Nothing is stored then.
        """
        with self._writing() as connection, sound(self.name):
            runs.check_whole(connection, facts, erased, self.name)
            number = runs.save(connection, payload, facts)
            registers.note(connection, self.who, "fitted", f"run {number}")
            return number

    def latest_run(self) -> tuple[int, dict[str, Any], bytes] | None:
        """Return number, facts and draws of the newest run that is not stale, None without one."""
        with self._reading() as connection:
            return runs.latest(connection)

    def run(self, number: int) -> tuple[int, dict[str, Any], bytes]:
        """Return number, facts and draws of one run; InputError where there is none."""
        with self._reading() as connection:
            return runs.load(connection, int(number), self.name)

    def runs(self) -> pd.DataFrame:
        """Return one row per run without its draws; see :func:`runs.listing`."""
        with self._reading() as connection:
            return runs.listing(connection)

    def add_design(
        self,
        plan: str,
        facts: Mapping[str, Any],
        members: Sequence[tuple[str, Mapping[str, Any]]],
        rows: Tables,
    ) -> int:
        """Store what was drawn by lot and its plans, all or nothing, and return its number.

        Parameters
        ----------
        plan : str
            Name of its plans.
        facts : mapping
            JSON values that name no golfer.
        members : sequence of (golfer_id, facts)
            In the order of the drawing.
        rows : Tables
            Tables of which the plans are stored.

        Raises
        ------
        InputError
            When the club holds plans of this name already, or cannot be written.
        """
        with self._writing() as connection, sound(self.name):
            number, change = designs.add(connection, plan, facts, members, rows, self.name)
            if change is not None:
                history.sign(connection, change, self.who)
            registers.note(connection, self.who, "started", "lot", [golfer for golfer, _ in members])
            return number

    def designs(self, kind: str) -> list[StoredDesign]:
        """Return everything of a kind (``season``, ``places``) drawn by lot, oldest first."""
        with self._reading() as connection:
            return [designs.read(connection, one, self.name) for one in designs.numbers(connection, kind)]

    def design(self, number: int | None = None) -> StoredDesign:
        """Return a season drawn by lot, the newest by default; InputError where there is none."""
        with self._reading() as connection:
            return designs.read(connection, number, self.name)

    def erasable(self, name: str) -> str:
        """Return the id to erase for an id or a name: also one that only runs, old rows or logs still hold.

        Raises
        ------
        InputError
            When nothing in the club holds it.
        """
        try:
            return self.golfer_called(name)
        except InputError:
            with self._reading() as connection, contextlib.suppress(InputError):
                erase.held(connection, name, self.name)
                return name
            raise

    def erase(self, golfer_id: str) -> EraseReceipt:
        """Remove one person from every table, the history and the runs, and overwrite what was there.

        Raises
        ------
        InputError
            When the club holds no such golfer.
        """
        with self._writing() as connection, sound(self.name):
            wanted = erase.needles(connection, golfer_id)
            receipt = erase.erase(connection, golfer_id, self.name, self.who)
            known = registers.copies(connection)
        with contextlib.suppress(ParyieldError):
            self._compact()
            receipt = changed(receipt, compacted=True)
        if self.path is not None:
            size, found = erase.search(self.path, wanted)
            receipt = changed(receipt, searched_bytes=size, found=len(found))
        words = [word for word in (golfer_id, receipt.display_name) if word]
        uploads = scratch.remove_of(str(self.path or self.name), words)
        outside = mentions.holders(known, golfer_id, receipt.display_name)
        return changed(receipt, copies=(*outside, *uploads), beyond=erase.BEYOND)

    def backup(self, path: str | Path) -> None:
        """Make a consistent copy of the club file under a new name, and note where it is."""
        if self.path is None:
            raise InputError("this club is no file", where=self.name, remedy="use the database's own backup")
        if self._in_memory:
            raise InputError("nothing is stored yet", where=self.name, remedy="import first")
        target = Path(path).expanduser().absolute()
        copying.check_new(target)
        trouble = self._noted_copy("backup", target, None)
        try:
            with plainly(self.name):
                copying.copy_to(self._engine, target, self.name)
        except ParyieldError:
            self._forget_copy("backup", target)
            raise
        try:
            backups.remember(self.path, target, layout.now())
        except OSError as error:
            trouble = (
                trouble or f"the backup is not on the list {backups.list_of(self.path)} ({error.strerror})"
            )
        if trouble:
            self._say(trouble)

    def note_copy(self, kind: str, path: str | Path, golfer: str | None = None) -> None:
        """Note that data left the club (backup, export, report); a club that cannot be written says so."""
        trouble = self._noted_copy(kind, Path(path).expanduser().absolute(), golfer)
        if trouble:
            self._say(trouble)

    def _noted_copy(self, kind: str, path: Path, golfer: str | None) -> str:
        """Note a copy; return what kept it from being noted, empty when it is."""
        try:
            with self._writing() as connection, sound(self.name):
                registers.add_copy(connection, kind, str(path))
                registers.note(connection, self.who, "wrote", kind, [golfer])
        except ParyieldError as error:
            return f"the club does not know of this {kind} ({error.message})"
        return ""

    def _forget_copy(self, kind: str, path: Path) -> None:
        with contextlib.suppress(ParyieldError), self._writing() as connection:
            registers.remove_copy(connection, kind, str(path))

    def _say(self, text: str) -> None:
        warnings.warn(f"{self.name}: {text}", Notice, stacklevel=3)

    def copies(self) -> pd.DataFrame:
        """Return the backups, exports and reports that are known; see :func:`registers.copies`."""
        with self._reading() as connection:
            return registers.copies(connection)

    def saw(self, what: str, golfers: Iterable[str | None]) -> None:
        """Note whose data were looked at (None: many people's); ``what`` names the page, never a value.

        The oldest such lines go when there are more than :data:`registers.MOST_SEEN`; lines about changes
        stay.
        """
        with self._writing() as connection, sound(self.name):
            registers.saw(connection, self.who, what, list(golfers))

    def audit(self, golfer: str | None = None) -> pd.DataFrame:
        """Return who saw and changed what, oldest first; see :func:`registers.trail`."""
        with self._reading() as connection:
            return exports.trail(connection, golfer, self.name)

    def mark(self, golfer_id: str) -> str:
        """Return the random mark under which a golfer stands in the audit trail and in addresses."""
        with self._writing() as connection, sound(self.name):
            erase.known(connection, golfer_id, self.name)
            return registers.mark_of(connection, golfer_id)

    def golfer_of(self, mark: str) -> str | None:
        """Return the golfer of a mark; None where it has none."""
        with self._reading() as connection:
            return registers.golfer_of(connection, mark)

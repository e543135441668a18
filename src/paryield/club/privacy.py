"""What a club owes the people in it: who saw and changed what, where copies went, how somebody is erased."""

from __future__ import annotations

import contextlib
import warnings
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pandas as pd

from paryield.club import backups, copying, erase, exports, layout, mentions, registers, scratch
from paryield.club.engine import plainly, sound
from paryield.club.erase import EraseReceipt
from paryield.club.opened import OpenedClub
from paryield.errors import InputError, Notice, ParyieldError


class Privacy(OpenedClub):
    """Audit trail, copies, backups and erasing of a club."""

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
            receipt = replace(receipt, compacted=True)
        if self.path is not None:
            size, found = erase.search(self.path, wanted)
            receipt = replace(receipt, searched_bytes=size, found=len(found))
        words = [word for word in (golfer_id, receipt.display_name) if word]
        uploads = scratch.remove_of(str(self.path or self.name), words)
        outside = mentions.holders(known, golfer_id, receipt.display_name)
        return replace(receipt, copies=(*outside, *uploads), beyond=erase.BEYOND)

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

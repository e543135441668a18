"""What was worked out from a club and drawn by lot for it, kept beside the tables: runs and designs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from paryield.club import designs, history, registers, runs
from paryield.club.designs import StoredDesign
from paryield.club.engine import sound
from paryield.club.opened import OpenedClub
from paryield.tables import Tables


class Reckonings(OpenedClub):
    """Runs of the model and designs of a club."""

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

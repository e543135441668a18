"""What a worked-through record shows: one step per round, and the state in which it ends."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING

from paryield.errors import InputError
from paryield.scoring.index import FULL_RECORD, MAXIMUM_INDEX_TENTHS, MINIMUM_SCORES, Cap

if TYPE_CHECKING:
    import pandas as pd

LOW_INDEX_DAYS = 365
"""Days before the most recent score in which the low index is sought (Rule 5.7, USGA FAQ, verified)."""


@dataclass(frozen=True)
class IndexState:
    """A golfer's record, compact; strokes in whole tenths, days as date ordinals.

    Parameters
    ----------
    differentials : tuple of int
        The latest differentials, at most 20, latest last, with every reduction on them. Nine-hole rounds
        still waiting for a first index stand doubled.
    index : int or None
        Index in force; None below the minimum number of scores.
    low_days, low_values : tuple of int
        Indexes that may be the low index: the day each was calculated, in order, and its value.
    last_day : int or None
        Day of the most recent counting round.
    holes_posted : int
        Holes of all counting rounds so far, a round of 10 to 17 holes as 18.
    minimum_scores : int
        Scores of 18 holes before there is an index.
    maximum_index : int
        Highest index, tenths.
    """

    differentials: tuple[int, ...] = ()
    index: int | None = None
    low_days: tuple[int, ...] = ()
    low_values: tuple[int, ...] = ()
    last_day: int | None = None
    holes_posted: int = 0
    minimum_scores: int = MINIMUM_SCORES
    maximum_index: int = MAXIMUM_INDEX_TENTHS

    def __post_init__(self) -> None:
        wrong = ""
        if len(self.differentials) > FULL_RECORD:
            wrong = f"{len(self.differentials)} differentials, at most {FULL_RECORD} belong here"
        elif len(self.low_days) != len(self.low_values):
            wrong = "low_days and low_values differ in length"
        elif list(self.low_days) != sorted(self.low_days):
            wrong = "low_days must be in order"
        elif not 1 <= self.minimum_scores <= FULL_RECORD:
            wrong = f"minimum_scores must be 1 to {FULL_RECORD}, found {self.minimum_scores}"
        if wrong:
            raise InputError(wrong, where="state of the record", remedy="make it with index_state(record)")

    @property
    def rounds_needed(self) -> int:
        """Rounds of 18 holes still to be posted before the record has an index of its own."""
        return max(0, -(-(18 * self.minimum_scores - self.holes_posted) // 18))


def index_state(record: HandicapRecord) -> IndexState:
    """Return where a record ends, for :func:`paryield.scoring.index_paths`."""
    return record.end


@dataclass(frozen=True)
class Step:
    """One round of the record; strokes throughout, None where there is nothing to show.

    Parameters
    ----------
    differential : float or None
        Rounded to a tenth and before any reduction; None when the round waits for an index or has no
        score. ``unrounded`` is the same before rounding.
    scaled : bool
        The round had fewer than 18 holes, the rest is an expected differential.
    index_before, index_after : float or None
        Index in force when the round was played, and after it.
    reduction : float
        Exceptional score reduction put on each differential of ``window``: 0.0, -1.0 or -2.0.
    window : tuple of float
        The latest 20 differentials as they stand after this round, latest last, reductions on them.
    used : tuple of int
        Positions in ``window`` of the differentials that were averaged.
    rounds : tuple of int
        The same as positions in the golfer's record of rounds.
    adjustment : float
        Adjustment of a small record.
    average : float or None
        Average of those used, plus the adjustment, rounded, before the caps.
    low_index, low_index_on : float or None, date or None
        Low index that the average was compared with, and the day it comes from.
    cap : {"none", "soft", "hard"}
        Cap that bound.
    note : str
        Why a round does not move the index; empty when it does.
    """

    played_on: date
    round_no: int
    holes: int
    course: str | None
    counts: bool
    scaled: bool
    differential: float | None
    unrounded: float | None
    index_before: float | None
    index_after: float | None
    reduction: float = 0.0
    window: tuple[float, ...] = ()
    used: tuple[int, ...] = ()
    rounds: tuple[int, ...] = ()
    adjustment: float = 0.0
    average: float | None = None
    low_index: float | None = None
    low_index_on: date | None = None
    cap: Cap = "none"
    note: str = ""

    @property
    def lowest(self) -> tuple[float, ...]:
        """The differentials that were averaged, in the order of the record."""
        return tuple(self.window[position] for position in self.used)


@dataclass(frozen=True)
class HandicapRecord:
    """A golfer's record: one step per round, in order, and where it ends.

    Parameters
    ----------
    steps : tuple of Step
        One per round, counting or not.
    differentials : tuple of float or None
        The final differential of each step: as in the step, or as later converted when the round had
        to wait for an index.
    end : IndexState
        State after the last round, in tenths, from which the index engine goes on.
    start_index : float or None
        Index with which the record began.
    """

    steps: tuple[Step, ...]
    differentials: tuple[float | None, ...]
    end: IndexState
    start_index: float | None = None

    @property
    def index(self) -> float | None:
        """Index in force after the last round; None below the minimum number of scores."""
        return self.steps[-1].index_after if self.steps else self.start_index

    @property
    def counting(self) -> tuple[tuple[int, ...], int]:
        """Positions of the rounds that the index in force averages, and of how many they are the lowest."""
        last = next((step for step in reversed(self.steps) if step.average is not None), None)
        return ((), 0) if last is None else (last.rounds, len(last.window))

    def index_as_of(self, day: date) -> float | None:
        """Return the index in force at the end of a day, rounds of that day included."""
        position = bisect_right([step.played_on for step in self.steps], day)
        return self.steps[position - 1].index_after if position else self.start_index

    def to_frame(self) -> pd.DataFrame:
        """Return the steps as a table, one row per round, with the differentials averaged as text."""
        import pandas as pd  # here, so that the plain arithmetic imports quickly

        rows = [asdict(step) | {"lowest": step.lowest} for step in self.steps]
        frame = pd.DataFrame(rows, columns=[*Step.__dataclass_fields__, "lowest"])
        for column in ("played_on", "low_index_on"):
            frame[column] = pd.to_datetime(frame[column]).astype("datetime64[ns]")
        return frame

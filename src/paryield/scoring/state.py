"""Where a golfer's record stands: all that the index after the next round depends on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from paryield.errors import InputError
from paryield.scoring.caps import MAXIMUM_INDEX_TENTHS
from paryield.scoring.index import FULL_RECORD, MINIMUM_SCORES

if TYPE_CHECKING:
    from paryield.scoring.steps import HandicapRecord

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

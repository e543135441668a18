"""What a country or a club may set for the handicap arithmetic."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from paryield.errors import InputError
from paryield.scoring.differential import EXPECTED_BASE, EXPECTED_PER_INDEX, FULL_ROUND_HOLES
from paryield.scoring.exact import in_range, tenths
from paryield.scoring.index import FULL_RECORD, MAXIMUM_INDEX_TENTHS, MINIMUM_SCORES

if TYPE_CHECKING:
    from paryield.tables import Tables

NINE_HOLES = 9
MINIMUM_HOLES = 10
"""Fewest holes of an 18-hole score: 10 from 2024 on (USGA FAQ, verified); 14 before (Rule 2.2, verified)."""


@dataclass(frozen=True)
class HandicapSettings:
    """Settings of the handicap arithmetic, named as in the club's settings.

    Parameters
    ----------
    minimum_scores : int
        Scores of 18 holes (or as many holes in rounds of any length) before there is an index: 3 under
        the Rules of Handicapping, 1 in Denmark (both verified, see :mod:`paryield.scoring.index`).
    maximum_index : float
        Highest index, at most 54.0 (Rule 5.3, verified).
    minimum_holes : int
        Fewest holes of an 18-hole score, 10 to 18; nine holes are a score of their own.
    expected_nine_per_index, expected_nine_constant : float
        Expected 9-hole differential = constant + per_index x index, strokes. Unofficial, from memory.
    """

    minimum_scores: int = MINIMUM_SCORES
    maximum_index: float = MAXIMUM_INDEX_TENTHS / 10
    minimum_holes: int = MINIMUM_HOLES
    expected_nine_per_index: float = EXPECTED_PER_INDEX
    expected_nine_constant: float = EXPECTED_BASE

    def __post_init__(self) -> None:
        if not isinstance(self.minimum_scores, int) or not 1 <= self.minimum_scores <= FULL_RECORD:
            raise InputError(
                f"minimum_scores must be 1 to {FULL_RECORD}, found {self.minimum_scores!r}",
                remedy="correct the setting",
            )
        in_range(self.maximum_index, 0, MAXIMUM_INDEX_TENTHS / 10, "maximum_index")
        in_range(self.minimum_holes, MINIMUM_HOLES, FULL_ROUND_HOLES, "minimum_holes")
        in_range(self.expected_nine_per_index, 0, 1, "expected_nine_per_index")
        in_range(self.expected_nine_constant, -5, 10, "expected_nine_constant")

    @property
    def holes_for_an_index(self) -> int:
        """Holes before there is an index (Rule 4.5: 54 for three scores)."""
        return FULL_ROUND_HOLES * self.minimum_scores

    @property
    def maximum_tenths(self) -> int:
        """Highest index in tenths."""
        return tenths(self.maximum_index)

    def acceptable(self, holes: int) -> bool:
        """Return whether a round of so many holes may be posted."""
        return holes == NINE_HOLES or holes >= self.minimum_holes


def settings_of(tables: Tables) -> HandicapSettings:
    """Return the handicap settings that stand in a club's settings."""
    return HandicapSettings(
        **{field.name: getattr(tables.settings, field.name) for field in fields(HandicapSettings)}
    )

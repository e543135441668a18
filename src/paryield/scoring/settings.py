"""What a country or a club may set for the handicap arithmetic."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from paryield.errors import InputError
from paryield.scoring.differential import EXPECTED_BASE, EXPECTED_PER_INDEX
from paryield.scoring.exact import exact
from paryield.scoring.index import FULL_RECORD, MINIMUM_SCORES

if TYPE_CHECKING:
    from paryield.tables import Tables


@dataclass(frozen=True)
class HandicapSettings:
    """Settings of the handicap arithmetic.

    Parameters
    ----------
    minimum_scores : int
        Scores of 18 holes (or as many holes in rounds of any length) before there is an index: 3 under
        the Rules of Handicapping, 1 in Denmark (both verified, see :mod:`paryield.scoring.index`).
    expected_per_index, expected_base : float
        Expected 9-hole differential = base + per_index x index, strokes. Unofficial, from memory.
    """

    minimum_scores: int = MINIMUM_SCORES
    expected_per_index: float = EXPECTED_PER_INDEX
    expected_base: float = EXPECTED_BASE

    def __post_init__(self) -> None:
        if not isinstance(self.minimum_scores, int) or not 1 <= self.minimum_scores <= FULL_RECORD:
            raise InputError(
                f"minimum number of scores must be 1 to {FULL_RECORD}, found {self.minimum_scores!r}",
                remedy="correct the setting",
            )
        if not 0 <= exact(self.expected_per_index, "expected_per_index") <= 1:
            raise InputError(
                f"expected_per_index must be between 0 and 1, found {self.expected_per_index}",
                remedy="correct the setting",
            )
        exact(self.expected_base, "expected_base")

    @property
    def minimum_holes(self) -> int:
        """Holes before there is an index (Rule 4.5: 54 for three scores)."""
        return 18 * self.minimum_scores


def settings_of(tables: Tables) -> HandicapSettings:
    """Return the handicap settings that stand in a club's settings, with defaults for the rest."""
    stored = getattr(tables, "settings", None)
    names = ("minimum_scores", "expected_per_index", "expected_base")
    found = {name: getattr(stored, name) for name in names if getattr(stored, name, None) is not None}
    return HandicapSettings(**found)

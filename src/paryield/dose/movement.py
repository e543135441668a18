"""Which categories always move together: correlation of changes in stock within golfers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import Diary
from paryield.dose.stock import stock

STEP_DAYS = 28
LEAST_CHANGES = 20
TIED = 0.95
"""Correlation from which two categories are one to the data: telling them apart then takes at least ten times
the rounds (1 / (1 - r^2)). [judgement]"""


@dataclass(frozen=True)
class Movement:
    """Correlations of four-week changes in stock, shape (J, J), NaN where nothing moved, and ties."""

    categories: tuple[str, ...]
    correlation: FLOATS
    changes: int
    tied: tuple[tuple[str, ...], ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain record: categories, correlation (None where nothing moved), changes, tied."""
        table = [
            [None if np.isnan(value) else round(float(value), 3) for value in row] for row in self.correlation
        ]
        return {
            "categories": list(self.categories),
            "correlation": table,
            "changes": self.changes,
            "tied": [list(group) for group in self.tied],
        }


def co_movement(diary: Diary, starts: INTS) -> Movement:
    """Map of categories that move together within golfers.

    Parameters
    ----------
    diary : Diary
    starts : array, shape (golfer,)
        First day of each golfer's record.
    """
    names = tuple(category.name for category in diary.categories)
    moved = stock_changes(diary, starts)
    spread = np.sqrt((moved**2).sum(axis=0))
    with np.errstate(invalid="ignore", divide="ignore"):
        correlation = (moved.T @ moved) / np.outer(spread, spread)
    tied = groups(names, correlation) if len(moved) >= LEAST_CHANGES else ()
    return Movement(names, correlation, len(moved), tied)


def stock_changes(diary: Diary, starts: INTS) -> FLOATS:
    """Changes of each category's stock over four weeks less the golfer's own mean change, shape (M, J)."""
    if not diary.categories:
        return np.zeros((0, 0))
    levels = np.stack(
        [stock(diary.hours[:, :, place], c.half_life_days) for place, c in enumerate(diary.categories)],
        axis=2,
    )
    parts = []
    for row in np.flatnonzero(diary.has_diary):
        begin = max(int(starts[row]) - diary.first_day, 0)
        change = np.diff(levels[row, begin::STEP_DAYS], axis=0)
        if len(change) >= 2:
            parts.append(change - change.mean(axis=0))
    return np.concatenate(parts) if parts else np.zeros((0, levels.shape[2]))


def groups(names: tuple[str, ...], correlation: FLOATS) -> tuple[tuple[str, ...], ...]:
    """Sets of categories of which every two are tied, largest correlation joined first."""
    sets = [[place] for place in range(len(names))]
    while True:
        best, pair = TIED, None
        for one in range(len(sets)):
            for other in range(one):
                least = min(correlation[a, b] for a in sets[one] for b in sets[other])
                if least >= best:
                    best, pair = least, (other, one)
        if pair is None:
            return tuple(tuple(names[place] for place in sorted(each)) for each in sets if len(each) > 1)
        sets[pair[0]] += sets.pop(pair[1])

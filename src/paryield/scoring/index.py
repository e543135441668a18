"""Handicap index from the latest differentials (Rule 5.2)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from paryield.scoring.caps import MAXIMUM_INDEX_TENTHS, cap_tenths
from paryield.scoring.exact import Number, from_tenths, tenths

FULL_RECORD = 20
"""Differentials in a full record (Rule 5.2b, verified)."""

MINIMUM_SCORES = 3
"""Scores before there is an index: 54 holes (Rule 4.5, USGA FAQ, verified). A national setting: the
Danish union starts at one score (danskgolfunion.dk, verified)."""

SMALL_RECORD: tuple[tuple[int, int, int], ...] = (
    (3, 1, -20),
    (4, 1, -10),
    (5, 1, 0),
    (6, 2, -10),
    (8, 2, 0),
    (11, 3, 0),
    (14, 4, 0),
    (16, 5, 0),
    (18, 6, 0),
    (19, 7, 0),
    (20, 8, 0),
)
"""Up to this many differentials, so many lowest are averaged, and the adjustment in tenths (Rule 5.2a,
USGA and R&A rule pages, verified). One and two differentials take the row of three, as the Danish union
does (verified), where the national minimum allows them."""


def lowest_used(scores: int) -> tuple[int, int]:
    """Return how many of the lowest differentials count, and the adjustment in tenths."""
    return next((used, extra) for up_to, used, extra in SMALL_RECORD if scores <= up_to)


@dataclass(frozen=True)
class Average:
    """Average of the lowest differentials of a record, all in tenths.

    ``used`` are the positions in the record that counted (of equal differentials the earlier one);
    ``tenths`` is the average plus the adjustment, rounded, before any cap.
    """

    used: tuple[int, ...]
    adjustment: int
    tenths: int


def average_lowest(differentials: Sequence[int]) -> Average:
    """Average the lowest of 1 to 20 differentials in tenths (latest last)."""
    count, adjustment = lowest_used(len(differentials))
    order = sorted(range(len(differentials)), key=differentials.__getitem__)[:count]
    total = sum(differentials[position] for position in order)
    return Average(tuple(sorted(order)), adjustment, (2 * total + count) // (2 * count) + adjustment)


def handicap_index(differentials: Iterable[Number], low_index: Number | None = None) -> float | None:
    """Return the handicap index of a record (Rules 5.2, 5.3 and 5.8).

    Parameters
    ----------
    differentials : iterable of number
        Score differentials, latest last, with any exceptional score reduction already on them; only
        the latest 20 are used, each rounded to a tenth.
    low_index : number, optional
        Lowest index of the last 365 days; it counts only for a full record of 20.

    Returns
    -------
    float or None
        Strokes, a whole number of tenths, at most 54.0; a plus handicap is negative. None below three
        differentials.

    Raises
    ------
    InputError
        When a differential is not a finite number.

    Examples
    --------
    Of three differentials the lowest counts, less 2.0; two are no index yet.

    >>> handicap_index([14.2, 12.9, 15.6])
    10.9
    >>> handicap_index([14.2, 12.9]) is None
    True
    """
    record = [tenths(value) for value in differentials][-FULL_RECORD:]
    if len(record) < MINIMUM_SCORES:
        return None
    low = tenths(low_index) if low_index is not None and len(record) == FULL_RECORD else None
    index, _ = cap_tenths(average_lowest(record).tenths, low)
    return from_tenths(min(index, MAXIMUM_INDEX_TENTHS))

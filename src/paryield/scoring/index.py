"""Handicap index (Rule 5.2), with its caps and highest value (5.3, 5.8) and exceptional scores (5.9)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from paryield.scoring.exact import Number, exact, from_tenths, tenths

SOFT_CAP_TENTHS = 30
"""A rise above the low index of more than 3.0 is halved (Rule 5.8; USGA FAQ, verified)."""

HARD_CAP_TENTHS = 50
"""The index never stands more than 5.0 above the low index (Rule 5.8; USGA FAQ, verified)."""

MAXIMUM_INDEX_TENTHS = 540
"""Highest index, 54.0 (Rule 5.3, R&A, verified)."""

Cap = Literal["none", "soft", "hard"]

EXCEPTIONAL_STEPS: tuple[tuple[int, int], ...] = ((10, -20), (7, -10))
"""Strokes below the index in force, and the reduction in tenths: 7.0 to 9.9 gives -1.0, 10.0 or more
-2.0 (Rule 5.9, USGA rule page, verified)."""

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


def cap_tenths(average: int, low: int | None) -> tuple[int, Cap]:
    """Apply both caps to an average already rounded to tenths; return the index and the cap that bound."""
    if low is None or average <= low + SOFT_CAP_TENTHS:
        return average, "none"
    threshold = low + SOFT_CAP_TENTHS
    halved = (threshold + average + 1) // 2
    if halved > low + HARD_CAP_TENTHS:
        return low + HARD_CAP_TENTHS, "hard"
    return halved, "soft"


def capped_index(average: Number, low_index: Number | None) -> float:
    """Return the index after soft and hard cap (Rule 5.8).

    The average is first rounded to a tenth (Rule 5.2b), then compared with the low index; what stands
    above low index + 3.0 is halved, the result rounded (11.6 against 6.5 gives 10.55, so 10.6), and
    nothing passes low index + 5.0.

    Parameters
    ----------
    average : number
        Average of the lowest 8 of 20 differentials, strokes.
    low_index : number or None
        Lowest index of the last 365 days; None when there is none.

    Returns
    -------
    float
        Strokes, a whole number of tenths. The 54.0 limit is left to :func:`handicap_index`.
    """
    low = None if low_index is None else tenths(low_index)
    return from_tenths(cap_tenths(tenths(average), low)[0])


def reduction_tenths(index: int | None, differential: Fraction) -> int:
    """Return the reduction in tenths for an index in tenths (None: no index, no reduction)."""
    if index is None:
        return 0
    over = differential.denominator
    below = index * over - 10 * differential.numerator  # tenths of a stroke, times the denominator
    return next((step for strokes, step in EXCEPTIONAL_STEPS if below >= 10 * strokes * over), 0)


def exceptional_reduction(index: Number, differential: Number) -> float:
    """Return what an exceptional score adds to each of the latest 20 differentials (Rule 5.9).

    Parameters
    ----------
    index : number
        Index in force when the round was played.
    differential : number
        Differential of the round, unrounded.

    Returns
    -------
    float
        0.0, -1.0 (7.0 to 9.9 below the index) or -2.0 (10.0 or more below).
    """
    below = exact(index, "handicap index") - exact(differential, "differential")
    return from_tenths(reduction_tenths(0, -below))


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

"""Soft cap, hard cap and the highest index (Rules 5.3 and 5.8)."""

from __future__ import annotations

from typing import Literal

from paryield.scoring.exact import Number, from_tenths, tenths

SOFT_CAP_TENTHS = 30
"""A rise above the low index of more than 3.0 is halved (Rule 5.8; USGA FAQ, verified)."""

HARD_CAP_TENTHS = 50
"""The index never stands more than 5.0 above the low index (Rule 5.8; USGA FAQ, verified)."""

MAXIMUM_INDEX_TENTHS = 540
"""Highest index, 54.0 (Rule 5.3, R&A, verified)."""

Cap = Literal["none", "soft", "hard"]


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

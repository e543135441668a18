"""Exceptional scores (Rule 5.9)."""

from __future__ import annotations

from fractions import Fraction

from paryield.scoring.exact import Number, exact, from_tenths

EXCEPTIONAL_STEPS: tuple[tuple[int, int], ...] = ((10, -20), (7, -10))
"""Strokes below the index in force, and the reduction in tenths: 7.0 to 9.9 gives -1.0, 10.0 or more
-2.0 (Rule 5.9, USGA rule page, verified)."""


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

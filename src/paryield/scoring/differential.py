"""Score differential (Rule 5.1) and the expected differential of holes not played."""

from __future__ import annotations

from fractions import Fraction

from paryield.scoring.exact import Number, exact, from_tenths, in_range, tenths

STANDARD_SLOPE = 113
"""Slope rating of a course of standard difficulty (Rules of Handicapping, definitions; from memory)."""

SLOPE_RANGE = (55, 155)
"""Lowest and highest slope rating (Rules of Handicapping, definitions; from memory)."""

PCC_RANGE = (-1, 3)
"""Playing conditions calculation, strokes: -1.0 to +3.0 (note to Rule 5.1a, verified)."""

FULL_ROUND_HOLES = 18

EXPECTED_PER_INDEX = 0.52
EXPECTED_BASE = 1.2
"""Expected 9-hole differential = 0.52 x index + 1.2: UNOFFICIAL, widely inferred, from memory.

The official formula is not published (England Golf: the calculations "are not shared by the USGA",
englandgolf.freshdesk.com/support/solutions/articles/80001136829, verified). Doubled it implies a
mean differential of index + 2.4 + 0.04 index, which agrees with the published odds table below an
index of 31 (computed; tests/published/test_odds_table.py).
"""


def unrounded_differential(
    adjusted_gross_score: Number,
    course_rating: Number,
    slope_rating: Number,
    pcc: Number = 0,
    *,
    holes: int = FULL_ROUND_HOLES,
) -> Fraction:
    """Return the differential of the holes played, exact and unrounded.

    Parameters
    ----------
    adjusted_gross_score : number
        Strokes on the holes played, after the limit per hole.
    course_rating : number
        Rating of the holes played, strokes.
    slope_rating : number
        55 to 155.
    pcc : number
        Playing conditions calculation of the day for 18 holes, -1 to 3 strokes; a round of fewer holes
        takes its share (Rule 5.1b: half of it on nine holes).
    holes : int
        Holes played, 9 to 18.

    Raises
    ------
    InputError
        When a value is not a number or outside its range.
    """
    score = in_range(adjusted_gross_score, holes, 20 * holes, "adjusted gross score")
    rating = in_range(course_rating, holes, 6 * holes, "course rating")
    slope = in_range(slope_rating, *SLOPE_RANGE, "slope rating")
    conditions = in_range(pcc, *PCC_RANGE, "playing conditions calculation")
    above = score - rating
    if conditions:
        above -= Fraction(holes, FULL_ROUND_HOLES) * conditions
    return STANDARD_SLOPE * above / slope


def score_differential(
    adjusted_gross_score: Number, course_rating: Number, slope_rating: Number, pcc: Number = 0
) -> float:
    """Return the score differential of an 18-hole round (Rule 5.1a).

    (113 / slope) x (adjusted gross score - course rating - pcc), to the nearest tenth, a half upwards.

    Parameters
    ----------
    adjusted_gross_score, course_rating, slope_rating, pcc : number
        As on the card; strokes, and 55 to 155 for the slope.

    Returns
    -------
    float
        Strokes, a whole number of tenths; negative for a score better than the rating.

    Raises
    ------
    InputError
        When a value is not a number or outside its range.

    Examples
    --------
    >>> score_differential(85, course_rating=71.2, slope_rating=128)
    12.2
    """
    return from_tenths(tenths(unrounded_differential(adjusted_gross_score, course_rating, slope_rating, pcc)))


def expected_differential(
    index: Number,
    holes: int,
    *,
    per_index: Number = EXPECTED_PER_INDEX,
    base: Number = EXPECTED_BASE,
) -> Fraction:
    """Return the expected differential of ``holes`` holes not played, exact (unofficial)."""
    nine = exact(per_index) * exact(index, "handicap index") + exact(base)
    return nine * holes / 9


def expected_nine_hole_differential(
    index: Number, *, per_index: Number = EXPECTED_PER_INDEX, base: Number = EXPECTED_BASE
) -> float:
    """Return the differential expected on nine holes from a golfer of this index (unofficial).

    Parameters
    ----------
    index : number
        Handicap index in force; a plus handicap is negative.
    per_index, base : number
        The straight line: 0.52 and 1.2 strokes, an approximation from memory (the official formula is
        not published).

    Returns
    -------
    float
        Strokes, unrounded.

    Examples
    --------
    >>> round(expected_nine_hole_differential(15.0), 2)
    9.0
    """
    return float(expected_differential(index, 9, per_index=per_index, base=base))

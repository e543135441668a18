"""Course and playing handicap (Rules 6.1 and 6.2)."""

from __future__ import annotations

from fractions import Fraction

from paryield.scoring.differential import SLOPE_RANGE, STANDARD_SLOPE
from paryield.scoring.exact import Number, exact, in_range, tenths, whole

INDEX_RANGE = (-20, 54)
"""Range of a handicap index taken as sensible: 54.0 is Rule 5.3, the other end is our own guard."""


def unrounded_course_handicap(
    index: Number, slope_rating: Number, course_rating: Number, par: Number
) -> Fraction:
    """Return index x slope / 113 + (course rating - par), exact (Rule 6.1a)."""
    handicap = in_range(index, *INDEX_RANGE, "handicap index")
    slope = in_range(slope_rating, *SLOPE_RANGE, "slope rating")
    return handicap * slope / STANDARD_SLOPE + exact(course_rating, "course rating") - exact(par, "par")


def course_handicap(index: Number, slope_rating: Number, course_rating: Number, par: Number) -> int:
    """Return the course handicap, rounded, a half upwards (Rule 6.1a).

    Parameters
    ----------
    index : number
        Handicap index; a plus handicap is negative.
    slope_rating, course_rating, par : number
        Of the tees played, 18 holes.

    Returns
    -------
    int
        Strokes received over 18 holes; negative: strokes given back.

    Raises
    ------
    InputError
        When a value is not a number or outside its range.

    Examples
    --------
    >>> course_handicap(10.9, slope_rating=128, course_rating=71.2, par=72)
    12
    """
    return whole(unrounded_course_handicap(index, slope_rating, course_rating, par))


def nine_hole_course_handicap(index: Number, slope_rating: Number, course_rating: Number, par: Number) -> int:
    """Return the course handicap for nine holes, from the ratings and par of that nine (Rule 6.1b).

    Half the index is first rounded to a tenth (from memory), then handled as for 18 holes.
    """
    half = Fraction(tenths(in_range(index, *INDEX_RANGE, "handicap index") / 2), 10)
    return whole(unrounded_course_handicap(half, slope_rating, course_rating, par))


def playing_handicap(
    index: Number, slope_rating: Number, course_rating: Number, par: Number, allowance: Number = 1
) -> int:
    """Return the playing handicap: unrounded course handicap x allowance, then rounded (Rule 6.2a).

    Parameters
    ----------
    allowance : number
        Share of the course handicap, 0 to 1; 0.95 for individual stroke play, 1 for individual match
        play (Appendix C, from memory).
    """
    share = in_range(allowance, 0, 1, "handicap allowance")
    return whole(unrounded_course_handicap(index, slope_rating, course_rating, par) * share)


def course_handicap_of_round(
    index: Number, slope_rating: Number, course_rating: Number, par: Number, *, nine: bool
) -> int:
    """Return the course handicap for the round's ratings, of a nine or of 18 holes."""
    rule = nine_hole_course_handicap if nine else course_handicap
    return rule(index, slope_rating, course_rating, par)

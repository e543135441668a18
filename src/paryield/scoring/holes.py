"""Course and playing handicap, strokes on each hole, net double bogey (Rules 3.1, 6.1, 6.2, Appendix E)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from paryield.errors import InputError
from paryield.scoring.differential import SLOPE_RANGE, STANDARD_SLOPE
from paryield.scoring.exact import Number, exact, in_range, tenths, whole

NO_INDEX_OVER_PAR = 5
"""Most strokes over par on a hole for a golfer without an index (Rule 3.1a, R&A, verified)."""

DOUBLE_BOGEY = 2

EXTREME_COURSE_HANDICAP = 54
EXTREME_STROKES = 4
"""Above a course handicap of 54, a hole with 4 or more strokes is limited to par + 5 (Rule 3.1,
pecangrovewga.com/copy-of-net-par, verified)."""

INDEX_RANGE = (-20, 54)
"""Range of a handicap index taken as sensible: 54.0 is Rule 5.3, the other end is our own guard."""


@dataclass(frozen=True)
class HoleScore:
    """Strokes on one hole of a card."""

    hole: int
    par: int
    stroke_index: int
    strokes: int

    def __post_init__(self) -> None:
        if not (3 <= self.par <= 6 and 1 <= self.stroke_index <= 18 and self.strokes >= 1):
            raise InputError(
                f"par {self.par}, stroke index {self.stroke_index}, {self.strokes} strokes cannot be",
                where=f"hole {self.hole}",
                remedy="check the card",
            )


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


def strokes_received(stroke_index: int, course_handicap: int, holes: int = 18) -> int:
    """Return the strokes received on a hole (Appendix E); negative: strokes given back.

    Over 18 strokes the allocation starts again at stroke index 1; a plus player gives back from the
    highest stroke index downwards.

    Parameters
    ----------
    stroke_index : int
        1 to ``holes``.
    course_handicap : int
        Rounded course handicap for these holes.
    holes : int
        18, or 9 with stroke indexes ranked within the nine.
    """
    if not 1 <= stroke_index <= holes:
        raise InputError(
            f"stroke index must be 1 to {holes}, found {stroke_index}", remedy="check the card's stroke index"
        )
    every_hole, further = divmod(course_handicap, holes)
    return every_hole + (stroke_index <= further)


def maximum_hole_score(par: int, stroke_index: int, course_handicap: int | None, *, holes: int = 18) -> int:
    """Return the highest score that counts on a hole: net double bogey (Rule 3.1).

    Parameters
    ----------
    par : int
        3 to 6.
    stroke_index : int
        1 to 18 (1 to 9, ranked within the nine, when ``holes`` is 9).
    course_handicap : int or None
        Rounded course handicap; negative for a plus player; None without an index: par + 5.

    Returns
    -------
    int
        par + 2 + strokes received; par + 5 where a course handicap above 54 gives 4 strokes or more.

    Raises
    ------
    InputError
        When par or stroke index is outside its range.
    """
    if not 3 <= par <= 6:
        raise InputError(f"par must be 3 to 6, found {par}", remedy="check the card's par")
    if course_handicap is None:
        return par + NO_INDEX_OVER_PAR
    received = strokes_received(stroke_index, course_handicap, holes)
    if course_handicap > EXTREME_COURSE_HANDICAP * holes / 18 and received >= EXTREME_STROKES:
        return par + NO_INDEX_OVER_PAR
    return par + DOUBLE_BOGEY + received


def adjusted_gross_score(
    strokes: Sequence[int], pars: Sequence[int], stroke_indexes: Sequence[int], course_handicap: int | None
) -> int:
    """Return the adjusted gross score of the holes played: each hole cut at net double bogey.

    Parameters
    ----------
    strokes, pars, stroke_indexes : sequence of int, one per hole played
        As on the card; 9 holes (then ranked within the nine) or 10 to 18.
    course_handicap : int or None
        Rounded course handicap for 18 holes, or for the nine when 9 holes are given.

    Raises
    ------
    InputError
        When the three differ in length, a stroke index stands twice, or a value cannot be.
    """
    if not len(strokes) == len(pars) == len(stroke_indexes):
        raise InputError(
            "strokes, pars and stroke indexes differ in length", remedy="give one of each per hole"
        )
    card = tuple(
        HoleScore(number, par, rank, score)
        for number, (par, rank, score) in enumerate(zip(pars, stroke_indexes, strokes, strict=True), 1)
    )
    return adjusted_total(card, course_handicap)


def adjusted_total(card: Sequence[HoleScore], course_handicap: int | None) -> int:
    """Return the total of a card with each hole cut at its limit."""
    ranks = sorted(hole.stroke_index for hole in card)
    if len(set(ranks)) < len(ranks):
        raise InputError("a stroke index stands twice on the card", remedy="check the card's stroke index")
    nine = len(card) == 9
    total = 0
    for hole in card:
        rank = ranks.index(hole.stroke_index) + 1 if nine else hole.stroke_index
        limit = maximum_hole_score(hole.par, rank, course_handicap, holes=9 if nine else 18)
        total += min(hole.strokes, limit)
    return total


def course_handicap_of_round(
    index: Number, slope_rating: Number, course_rating: Number, par: Number, *, nine: bool
) -> int:
    """Return the course handicap for the round's ratings, of a nine or of 18 holes."""
    rule = nine_hole_course_handicap if nine else course_handicap
    return rule(index, slope_rating, course_rating, par)


def hole_difficulty(scratch_value: Number, bogey_value: Number, par: int) -> float:
    """Return the ranking value of a hole: scratch value + bogey value - 2 par (Appendix E, verified)."""
    return float(exact(scratch_value) + exact(bogey_value) - 2 * par)

"""Strokes received on each hole and net double bogey (Rule 3.1, Appendix E)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from paryield.errors import InputError
from paryield.scoring.exact import Number, exact

NO_INDEX_OVER_PAR = 5
"""Most strokes over par on a hole for a golfer without an index (Rule 3.1a, R&A, verified)."""

DOUBLE_BOGEY = 2

EXTREME_COURSE_HANDICAP = 54
EXTREME_STROKES = 4
"""Above a course handicap of 54, a hole with 4 or more strokes is limited to par + 5 (Rule 3.1,
pecangrovewga.com/copy-of-net-par, verified)."""


@dataclass(frozen=True)
class HoleScore:
    """Strokes on one hole of a card."""

    hole: int
    par: int
    stroke_index: int
    strokes: int

    def __post_init__(self) -> None:
        if not (3 <= self.par <= 7 and 1 <= self.stroke_index <= 18 and self.strokes >= 1):
            raise InputError(
                f"par {self.par}, stroke index {self.stroke_index}, {self.strokes} strokes cannot be",
                where=f"hole {self.hole}",
                remedy="check the card",
            )


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
        3 to 7.
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
    if not 3 <= par <= 7:
        raise InputError(f"par must be 3 to 7, found {par}", remedy="check the card's par")
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

    Examples
    --------
    The nine on a par 4 without a stroke counts as a net double bogey, 6.

    >>> adjusted_gross_score([5, 9, 4], pars=[4, 4, 3], stroke_indexes=[1, 2, 3], course_handicap=1)
    15
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


def hole_difficulty(scratch_value: Number, bogey_value: Number, par: int) -> float:
    """Return the ranking value of a hole: scratch value + bogey value - 2 par (Appendix E, verified)."""
    return float(exact(scratch_value) + exact(bogey_value) - 2 * par)

"""One posted round as the handicap arithmetic needs it, and how rows of a table become one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from paryield.errors import InputError
from paryield.scoring.course import course_handicap_of_round
from paryield.scoring.differential import FULL_ROUND_HOLES, unrounded_differential
from paryield.scoring.exact import exact
from paryield.scoring.holes import HoleScore, adjusted_total
from paryield.scoring.settings import NINE_HOLES

if TYPE_CHECKING:
    import pandas as pd


type Row = dict[str, Any]

ROUND_COLUMNS = (
    "golfer_id",
    "played_on",
    "round_no",
    "holes",
    "counts_for_index",
    "course",
    "score_differential",
    "adjusted_gross_score",
    "course_rating",
    "slope_rating",
    "par",
    "pcc",
)
HOLE_COLUMNS = ("golfer_id", "played_on", "round_no", "hole", "par", "stroke_index", "strokes")


@dataclass(frozen=True)
class Entry:
    """One round. Blank values are None; ratings are those of the holes of ``rated_holes``."""

    played_on: date
    round_no: int = 1
    holes: int = FULL_ROUND_HOLES
    counts: bool = True
    course: str | None = None
    score_differential: float | None = None
    adjusted_gross_score: float | None = None
    course_rating: float | None = None
    slope_rating: float | None = None
    par: float | None = None
    pcc: float = 0
    hole_scores: tuple[HoleScore, ...] = ()

    def __post_init__(self) -> None:
        if self.holes > FULL_ROUND_HOLES or self.holes < 1:
            raise InputError(
                f"holes must be 1 to {FULL_ROUND_HOLES}, found {self.holes}",
                where=f"round of {self.played_on}",
                remedy="give the holes played",
            )

    @property
    def rated_holes(self) -> int:
        """Holes that the rating on the row is for: nine for a nine-hole round, else eighteen."""
        return NINE_HOLES if self.holes == NINE_HOLES else FULL_ROUND_HOLES

    def partial(self, index: float | None) -> Fraction | None:
        """Return the unrounded differential of the holes played, or None when it cannot be known.

        ``index`` is the index in force, which limits hole scores when no adjusted gross score is given.
        """
        if self.course_rating is None or self.slope_rating is None:
            return None
        score = self.adjusted_gross_score
        if score is None:
            score = self._score_from_holes(index)
        if score is None:
            return None
        rating = exact(self.course_rating, "course rating") * self.holes / self.rated_holes
        return unrounded_differential(score, rating, self.slope_rating, self.pcc, holes=self.holes)

    def _score_from_holes(self, index: float | None) -> int | None:
        complete_card = len({hole.stroke_index for hole in self.hole_scores}) == self.holes
        if not complete_card or self.course_rating is None or self.slope_rating is None:
            return None
        if index is None:
            return adjusted_total(self.hole_scores, None)
        par = self.par
        if par is None:
            complete = self.holes == self.rated_holes
            par = sum(hole.par for hole in self.hole_scores) if complete else self.course_rating
        handicap = course_handicap_of_round(
            index, self.slope_rating, self.course_rating, par, nine=self.rated_holes == NINE_HOLES
        )
        return adjusted_total(self.hole_scores, handicap)


def entries_of(rounds: pd.DataFrame, holes: pd.DataFrame | None = None) -> list[Entry]:
    """Return the rounds of one golfer in order of day and round number.

    Parameters
    ----------
    rounds : DataFrame
        Rows of the rounds table of one golfer; only ``played_on`` must be there.
    holes : DataFrame, optional
        Rows of the holes table; they speak where a round has no score of its own.

    Raises
    ------
    InputError
        When the rows belong to several golfers, or two rows are the same round.
    """
    if "golfer_id" in rounds and rounds["golfer_id"].nunique() > 1:
        raise InputError(
            "the record holds several golfers", where="rounds", remedy="pass one golfer's rounds"
        )
    return in_order(records(rounds, ROUND_COLUMNS), [] if holes is None else records(holes, HOLE_COLUMNS))


def in_order(rounds: Iterable[Row], holes: Iterable[Row] = ()) -> list[Entry]:
    """Return one golfer's rows, blanks as None, as rounds in order; see :func:`entries_of`."""
    scored = _hole_scores(holes)
    entries = sorted(
        (_entry(row, scored) for row in rounds), key=lambda each: (each.played_on, each.round_no)
    )
    for one, other in pairwise(entries):
        if (one.played_on, one.round_no) == (other.played_on, other.round_no):
            raise InputError(
                f"round {one.round_no} of {one.played_on} stands twice",
                where="rounds",
                remedy="number the rounds of a day with round_no",
            )
    return entries


def records(frame: pd.DataFrame, columns: Sequence[str]) -> list[Row]:
    """Return the rows as dictionaries of those columns that are there, a blank of any kind as None."""
    present = [name for name in columns if name in frame]
    blank = [frame[name].isna().tolist() for name in present]
    values = [frame[name].tolist() for name in present]
    plain = [
        [None if empty else value for value, empty in zip(column, gaps, strict=True)]
        for column, gaps in zip(values, blank, strict=True)
    ]
    return [dict(zip(present, row, strict=True)) for row in zip(*plain, strict=True)]


def _entry(row: Row, scored: dict[tuple[date, int], list[HoleScore]]) -> Entry:
    played_on, round_no = _day(row["played_on"]), int(_given(row, "round_no", 1))
    counts = row.get("counts_for_index")
    return Entry(
        played_on=played_on,
        round_no=round_no,
        holes=int(_given(row, "holes", FULL_ROUND_HOLES)),
        counts=True if counts is None else bool(counts),
        course=row.get("course"),
        score_differential=row.get("score_differential"),
        adjusted_gross_score=row.get("adjusted_gross_score"),
        course_rating=row.get("course_rating"),
        slope_rating=row.get("slope_rating"),
        par=row.get("par"),
        pcc=_given(row, "pcc", 0),
        hole_scores=tuple(scored.get((played_on, round_no), ())),
    )


def _given(row: Row, name: str, default: int) -> Any:
    value = row.get(name)
    return default if value is None else value


def _day(value: Any) -> date:
    if value is None:
        raise InputError("a round has no date", where="rounds", remedy="fill in played_on")
    return value.date() if hasattr(value, "date") else value


def _hole_scores(holes: Iterable[Row]) -> dict[tuple[date, int], list[HoleScore]]:
    found: dict[tuple[date, int], list[HoleScore]] = {}
    for row in holes:
        if row["par"] is not None and row["stroke_index"] is not None and row["strokes"] is not None:
            key = (_day(row["played_on"]), int(_given(row, "round_no", 1)))
            found.setdefault(key, []).append(
                HoleScore(int(row["hole"]), int(row["par"]), int(row["stroke_index"]), int(row["strokes"]))
            )
    return found

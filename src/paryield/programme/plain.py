"""Plain sums on the rounds: before against after, who stopped posting, the same days of those outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.dose.exposure import LEFT, Enrolment
from paryield.scoring import differentials
from paryield.tables import Tables

ROUNDS, FEWEST_ROUNDS, REACH_DAYS = 5, 3, 120
"""Five rounds on each side, at least three of them within four months: what a before/after photo shows.
(common practice, no source)"""
MATCH_STROKES, MATCHES = 3.0, 3
"""Those outside count as alike within this many strokes of usual level; so many stand for one member.
[judgement]"""


@dataclass(frozen=True)
class Rounds:
    """All rounds with a differential: golfer, day since 1970-01-01 and strokes, in order of play."""

    golfer: npt.NDArray[np.str_]
    day: INTS
    score: FLOATS

    def of(self, golfer_id: str) -> tuple[INTS, FLOATS]:
        """Days and scores of one golfer."""
        own = self.golfer == golfer_id
        return self.day[own], self.score[own]


def club_rounds(tables: Tables, as_of: int) -> Rounds:
    """Rounds up to the as-of day."""
    frame = differentials(tables)
    frame = frame[frame["differential"].notna()]
    day = frame["played_on"].to_numpy().astype("datetime64[D]").astype(np.int64)
    order = np.flatnonzero(day <= as_of)
    order = order[np.argsort(day[order], kind="stable")]
    golfer = frame["golfer_id"].to_numpy(dtype=str)
    return Rounds(golfer[order], day[order], frame["differential"].to_numpy(float)[order])


def window_change(days: INTS, scores: FLOATS, start: int, end: int) -> float | None:
    """Mean of the first five rounds after ``end`` minus the last five before ``start``; None if too few."""
    before = scores[(days < start) & (days >= start - REACH_DAYS)][-ROUNDS:]
    after = scores[(days > end) & (days <= end + REACH_DAYS)][:ROUNDS]
    if min(len(before), len(after)) < FEWEST_ROUNDS:
        return None
    return float(after.mean() - before.mean())


def plain_change(rounds: Rounds, member: Enrolment, as_of: int) -> float | None:
    """Before/after of one member; of one who is still in it, the last five rounds of the programme count."""
    days, scores = rounds.of(member.golfer_id)
    if member.stopped < as_of:
        return window_change(days, scores, member.start, member.stopped)
    inside = days[days > member.start]
    cut = int(inside[-ROUNDS]) - 1 if len(inside) >= 2 * ROUNDS else as_of
    return window_change(days, scores, member.start, cut)


def stopped_posting(rounds: Rounds, member: Enrolment, as_of: int) -> bool:
    """Whether a member whose programme is over has posted nothing since, eight weeks on or more."""
    days, _ = rounds.of(member.golfer_id)
    over = member.stopped if member.outcome == LEFT else member.planned_end
    return as_of - over >= 56 and not bool(np.any(days > over))


def usual_level(days: INTS, scores: FLOATS, start: int) -> float | None:
    """Mean of all rounds before ``start`` but the last five, on which members may have joined."""
    earlier = scores[days < start][:-ROUNDS]
    return float(earlier.mean()) if len(earlier) >= FEWEST_ROUNDS else None


def outside_change(
    rounds: Rounds, member: Enrolment, outsiders: list[str], as_of: int
) -> list[tuple[str, float]]:
    """Before/after of the golfers outside who were most alike, over the member's own dates."""
    level = usual_level(*rounds.of(member.golfer_id), member.start)
    if level is None or member.stopped >= as_of:
        return []
    found = []
    for golfer_id in outsiders:
        days, scores = rounds.of(golfer_id)
        theirs = usual_level(days, scores, member.start)
        change = window_change(days, scores, member.start, member.stopped)
        if theirs is not None and change is not None and abs(theirs - level) <= MATCH_STROKES:
            found.append((abs(theirs - level), golfer_id, change))
    return [(golfer_id, change) for _, golfer_id, change in sorted(found)[:MATCHES]]


def as_frame(rounds: Rounds) -> pd.DataFrame:
    """Rounds as a frame: golfer, day, score."""
    return pd.DataFrame({"golfer": rounds.golfer, "day": rounds.day, "score": rounds.score})

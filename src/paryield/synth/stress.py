"""What only some kinds of club have: juniors who grow, lessons, rounds that are not posted, random ends."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.skills import AREA_SHARES
from paryield.synth.spec import ClubSpec

LESSON_STROKES, LESSON_SPREAD = 0.35, 0.25
"""What a lesson gives for good, strokes: made up, small beside a season's practice."""
LESSON_WEEKS, LESSON_HOURS = 5, 2.0
"""Weeks in which somebody who had a lesson practises more, and how much more (a factor): made up."""
GROWTH, GROWTH_SPREAD = 2.0, 0.8
"""Strokes a year that a junior gains by growing: made up."""
BAD_ROUND = 0.7
"""Standard deviations above the expected score from which a round is one that some keep to themselves."""


@dataclass(frozen=True)
class Stress:
    """Draws of what only some kinds of club have.

    Parameters
    ----------
    quits : int array, shape (golfers,)
        Week from which a golfer practises no more; that after the last for the others.
    junior : bool array, shape (golfers,)
    beside : array, shape (golfers, weeks)
        Strokes gained beside practice by the start of each week: growth and lessons.
    lessons : bool array, shape (golfers, weeks)
        Weeks with a lesson.
    at_tests : array, shape (golfers, areas)
        Strokes by which a golfer's tests are worse than his course, for good.
    """

    quits: npt.NDArray[np.intp]
    junior: BOOLS
    beside: FLOATS
    lessons: BOOLS
    at_tests: FLOATS

    def more_hours(self) -> FLOATS:
        """Factor on the hours of each week, shape (golfers, weeks): lessons are followed by practice."""
        out = np.ones(self.lessons.shape)
        for golfer, week in zip(*np.nonzero(self.lessons), strict=True):
            out[golfer, week : week + LESSON_WEEKS] = LESSON_HOURS
        return out


def draw_stress(spec: ClubSpec, rng: np.random.Generator, first: int, weeks: int) -> Stress:
    """Draw it; ``first`` is the first week of the record, ``weeks`` how many are lived."""
    chosen, when, young = rng.random((3, spec.golfers))
    quits = np.where(
        chosen < spec.traits.quits, first + np.floor(spec.weeks * (1.0 + 2.0 * when) / 3.0), weeks
    )
    junior = young < spec.traits.juniors
    growth = np.where(junior, np.maximum(rng.normal(GROWTH, GROWTH_SPREAD, spec.golfers), 0.2), 0.0)
    years = (np.arange(weeks) - first) / 52.18
    lessons = rng.random((spec.golfers, weeks)) < spec.traits.lessons / 52.18
    lessons[:, :first] = False
    worth = np.maximum(rng.normal(LESSON_STROKES, LESSON_SPREAD, lessons.shape), 0.0) * lessons
    held = np.cumsum(worth, axis=1)
    at_tests = np.zeros((spec.golfers, len(AREA_SHARES)))
    if spec.traits.mismatch:
        at_tests = rng.normal(0.0, spec.traits.mismatch, at_tests.shape)
    return Stress(quits.astype(np.intp), junior, growth[:, None] * years + held, lessons, at_tests)


def shown_at_test(strokes: FLOATS, at_tests: FLOATS, spec: ClubSpec, earlier: int) -> FLOATS:
    """Strokes lost by area as a golfer's test shows them, (areas,), after so many earlier ones.

    The first time is worse by ``familiar`` strokes, each one after by half as much.
    """
    return np.asarray(strokes + at_tests + spec.traits.familiar * 0.5**earlier)


def lesson_events(stress: Stress, first: int, now: int, starts_on: date, ids: list[str]) -> pd.DataFrame:
    """Rows of the table events for the lessons of the record."""
    golfer, week = np.nonzero(stress.lessons[:, first:now])
    days = [pd.Timestamp(starts_on + timedelta(days=int(7 * number))) for number in week]
    rows = {"golfer_id": [ids[one] for one in golfer], "happened_on": days, "kind": "lesson"}
    return pd.DataFrame(rows)


def posted(cards: pd.DataFrame, excess: FLOATS, spec: ClubSpec, rng: np.random.Generator) -> BOOLS:
    """Whether each round is posted; ``excess`` is its score above the expected one in standard deviations."""
    kept = rng.random(len(cards)) >= spec.traits.unposted
    return np.asarray(kept | (excess < BAD_ROUND))


def ends_by_lot(seed: int, around: date = date(2026, 1, 4)) -> date:
    """Return a Sunday of the year around a date, by lot: clubs do not all end in the same season."""
    weeks = int(np.random.default_rng([seed, 52]).integers(-26, 26))
    return around + timedelta(days=7 * weeks)

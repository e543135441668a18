"""Plans that made-up golfers were given, and how much of them they do."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.synth.diary import Habits
from paryield.synth.golfers import Roster

QUARTER = 0.25
PLANS = ("past weeks", "coming weeks")


@dataclass(frozen=True)
class Followed:
    """Plans of every golfer and the share that each one does.

    Parameters
    ----------
    planned : array, shape (2, golfers, categories)
        Hours a week of the plan that ran up to the end of the record, and of the one after it.
    share : array, shape (golfers, categories)
        Hours done over hours planned, on average.
    """

    planned: FLOATS
    share: FLOATS


def draw_plans(roster: Roster, rng: np.random.Generator) -> Followed:
    """Draw two plans a golfer, of his own hours split anew, and what he usually does of a plan."""
    spec = roster.spec
    shape = (len(PLANS), spec.golfers, len(spec.categories))
    split = rng.gamma(2.0, size=shape)
    split /= split.sum(axis=2, keepdims=True)
    planned = QUARTER * np.round(roster.hours[None, :, None] * split / QUARTER)
    own = np.exp(rng.normal(0.0, spec.adherence_spread, spec.golfers))
    lean = np.exp(rng.normal(0.0, 0.5 * spec.adherence_spread, shape[1:]))
    return Followed(planned, spec.adherence * own[:, None] * lean)


def follow(habits: Habits, roster: Roster, given: Followed, rng: np.random.Generator) -> Habits:
    """Return habits in which the golfers do their share of the plans from the first plan's start on."""
    intended = habits.intended.copy()
    started = np.arange(roster.weeks)[None, :] >= roster.began[:, None]
    for number, (first, last) in enumerate(_weeks(roster)):
        noise = np.exp(rng.normal(0.0, 0.3, (roster.spec.golfers, 1, last - first)) - 0.045)
        hours = (given.planned[number] * given.share)[:, :, None] * noise
        intended[:, :, first:last] = hours * started[:, None, first:last]
    return replace(habits, intended=intended)


def followed_table(roster: Roster, given: Followed, ids: list[str]) -> pd.DataFrame:
    """Write the plans table."""
    rows = []
    for number, (first, last) in enumerate(_weeks(roster)):
        for who, golfer in enumerate(ids):
            for category, hours in zip(roster.spec.categories, given.planned[number, who], strict=True):
                rows.append(
                    {
                        "plan": PLANS[number],
                        "golfer_id": golfer,
                        "category": category,
                        "starts_on": pd.Timestamp(roster.week_start(first)),
                        "ends_on": pd.Timestamp(roster.week_start(last) - timedelta(days=1)),
                        "minutes_per_week": 60.0 * hours,
                    }
                )
    frame = pd.DataFrame(rows)
    return frame[frame["minutes_per_week"] > 0.0]


def _weeks(roster: Roster) -> tuple[tuple[int, int], tuple[int, int]]:
    now = roster.now
    return (max(now - roster.spec.plan_weeks, roster.first), now), (now, roster.weeks)

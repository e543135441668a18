"""Practice of made-up golfers: weekly hours by category, blocks of emphasis by lot, plans followed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.golfers import Roster
from paryield.synth.skills import AREA_SHARES, area_of_category
from paryield.synth.spec import ClubSpec

SESSION_HOURS = 0.45
"""Typical length of one visit to one category; less than that on average means not every week."""

WINTER: dict[str, float] = {"strength": 2.0, "mobility": 1.5, "short_putting": 1.5, "lag_putting": 1.3}
WINTER_SWINGS = 0.6

BLOCK_WEEKS = 8
FOCUS = 0.7
"""Share of the hours that goes to the category of the block; the rest keeps the others alive."""

TEST_WEEKS = 2
"""Weeks between two days of tests of golfers in blocks."""

QUARTER = 0.25
PLANS = ("past weeks", "coming weeks")


@dataclass(frozen=True)
class Habits:
    """Hours before anything that happens on the course changes them.

    Parameters
    ----------
    intended : array, shape (golfers, categories, weeks)
        Hours meant for each week.
    chance, length : array, shape (golfers, categories, weeks)
        A uniform draw that decides whether a category is visited, and a factor on the time spent.
    """

    spec: ClubSpec
    intended: FLOATS
    chance: FLOATS
    length: FLOATS

    def week(self, week: int, weakness: FLOATS, bad_form: FLOATS) -> FLOATS:
        """Return the hours practised in a week, in steps of 5 minutes, shape (golfers, categories).

        Parameters
        ----------
        week : int
            Week, counted as in the roster.
        weakness : array, shape (golfers, areas)
            Strokes lost by area lately against the share that area usually has, as a ratio minus 1.
        bad_form : array, shape (golfers,)
            Last rounds against the golfer's own average, in standard deviations.
        """
        traits = self.spec.traits
        meant = self.intended[:, :, week]
        total = meant.sum(axis=1, keepdims=True)
        tilt = np.exp(traits.practise_weak * np.clip(weakness, -1.0, 1.5) @ _areas(self.spec).T)
        tilted = meant * tilt
        scale = total / np.maximum(tilted.sum(axis=1, keepdims=True), 1e-9)
        more = np.exp(traits.follow_form * np.clip(bad_form, -2.0, 2.0))
        hours = tilted * scale * more[:, None]
        visited = -np.expm1(-hours / SESSION_HOURS)
        spent = hours / np.maximum(visited, 1e-9) * self.length[:, :, week]
        spent = np.where(self.chance[:, :, week] < visited, spent, 0.0)
        if traits.tied:
            spent = _tie(spent, self.spec.categories)
        return np.round(np.minimum(spent, 6.0) * 12.0) / 12.0


def draw_habits(roster: Roster, rng: np.random.Generator) -> Habits:
    """Draw what each golfer means to practise in every week of his life in the club."""
    spec, n, weeks = roster.spec, roster.spec.golfers, roster.weeks
    categories = len(spec.categories)
    taste = rng.gamma(1.5, size=(n, categories)) + 0.05
    weight = taste[:, :, None] * _focus(rng, n, categories, weeks) * _time_of_year(roster)
    share = weight / (taste.sum(axis=1)[:, None, None] * 1.2)
    week_factor = np.exp(rng.normal(0.0, 0.35, (n, 1, weeks)) - 0.35**2 / 2)
    at_home = rng.random((n, 1, weeks)) > 0.08
    away = _holidays(rng, n, weeks)
    week = np.arange(weeks)
    practising = week[None, None, :] >= roster.began[:, None, None]
    practising &= week[None, None, :] < roster.stress.quits[:, None, None]
    intended = roster.hours[:, None, None] * share * week_factor * at_home * ~away * practising
    intended = intended * roster.stress.more_hours()[:, None, :]
    chance = rng.random((n, categories, weeks))
    length = np.exp(rng.normal(0.0, 0.25, (n, categories, weeks)) - 0.25**2 / 2)
    return Habits(spec, intended, chance, length)


def forbid(habits: Habits, golfer: int, category: int, first: int, weeks: int) -> Habits:
    """Return habits in which one golfer leaves one category alone for some weeks."""
    intended = habits.intended.copy()
    intended[golfer, category, first : first + weeks] = 0.0
    return replace(habits, intended=intended)


def area_weakness(lately: FLOATS, shares: FLOATS = AREA_SHARES) -> FLOATS:
    """Return strokes lost by area lately over the usual share of that area, minus 1."""
    total = np.maximum(lately.sum(axis=1, keepdims=True), 1.0)
    return np.asarray(lately / (total * shares) - 1.0)


def _areas(spec: ClubSpec) -> FLOATS:
    return area_of_category(spec.categories)


def _focus(rng: np.random.Generator, n: int, categories: int, weeks: int) -> FLOATS:
    """Emphasis that stays for about two months and then changes."""
    changes = rng.random((n, weeks)) < 1.0 / 9.0
    block = np.cumsum(changes, axis=1)
    emphasis = np.exp(rng.normal(0.0, 0.75, (n, int(block.max()) + 1, categories)))
    return np.moveaxis(np.take_along_axis(emphasis, block[:, :, None], axis=1), 1, 2)


def _time_of_year(roster: Roster) -> FLOATS:
    """Off season (November to February): strength and putting, fewer full swings."""
    winter = np.array([roster.week_start(week).month in (11, 12, 1, 2) for week in range(roster.weeks)])
    factor = np.array([WINTER.get(category, WINTER_SWINGS) for category in roster.spec.categories])
    return np.where(winter, factor[:, None], 1.0)


def _holidays(rng: np.random.Generator, n: int, weeks: int) -> np.ndarray:
    """About one and a half absences of one to three weeks a year."""
    starts = rng.random((n, weeks)) < 1.5 / 52.0
    length = rng.integers(1, 4, (n, weeks))
    away = starts.copy()
    for later in (1, 2):
        away[:, later:] |= (starts & (length > later))[:, :-later]
    return away[:, None, :]


def _tie(spent: FLOATS, categories: tuple[str, ...]) -> FLOATS:
    """Every visit to the chipping green is also one to the bunker, for the same time."""
    tied = spent.copy()
    chip, sand = categories.index("chipping"), categories.index("bunker")
    tied[:, sand] = spent[:, chip]
    return tied


@dataclass(frozen=True)
class Blocks:
    """Who practises in blocks, and on what in each week.

    Parameters
    ----------
    members : bool array, shape (golfers,)
    focus : int array, shape (golfers, weeks)
        Place of the category, -1 outside blocks.
    """

    members: BOOLS
    focus: npt.NDArray[np.intp]


def draw_blocks(roster: Roster, rng: np.random.Generator) -> Blocks:
    """Draw who practises in blocks, and each one's order.

    Every member gets every category in turn. Orders are the rows of a Latin square drawn by lot, so that in
    any block about as many members work on each category, and neither season nor trend goes with one.
    """
    spec = roster.spec
    count = len(spec.categories)
    chosen = rng.permutation(spec.golfers)[: round(spec.blocks_share * spec.golfers)]
    focus = np.full((spec.golfers, roster.weeks), -1, dtype=np.intp)
    square = (np.arange(count)[:, None] + np.arange(count)[None, :]) % count
    weeks = np.arange(roster.first, roster.now)
    number = (weeks - roster.first) // BLOCK_WEEKS
    for place, who in enumerate(chosen):
        if place % count == 0:
            square = rng.permutation(count)[square[rng.permutation(count)]]
        focus[who, weeks] = square[place % count][number % count]
    return Blocks(np.isin(np.arange(spec.golfers), chosen), focus)


def emphasise(habits: Habits, blocks: Blocks) -> Habits:
    """Return habits in which the members' hours of each week lean to the category of the block."""
    total = habits.intended.sum(axis=1, keepdims=True)
    places = np.arange(habits.intended.shape[1])[None, :, None]
    here = blocks.focus[:, None, :] == places
    leaning = (1.0 - FOCUS) * habits.intended + FOCUS * total * here
    return replace(habits, intended=np.where(blocks.focus[:, None, :] >= 0, leaning, habits.intended))


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

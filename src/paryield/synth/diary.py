"""Practice habits of made-up golfers: hours by category, week by week."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from paryield.arrays import FLOATS
from paryield.synth.ability import AREA_SHARES, area_of_category
from paryield.synth.golfers import Roster
from paryield.synth.spec import ClubSpec

SESSION_HOURS = 0.45
"""Typical length of one visit to one category; less than that on average means not every week."""

WINTER: dict[str, float] = {"strength": 2.0, "mobility": 1.5, "short_putting": 1.5, "lag_putting": 1.3}
WINTER_SWINGS = 0.6


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

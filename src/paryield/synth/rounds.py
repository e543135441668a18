"""When, where and how noisily made-up golfers play."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.golfers import Roster

Ints = npt.NDArray[np.intp]

OWN_SHARES: FLOATS = np.array([0.21, 0.30, 0.18, 0.19])
COMMON_SHARE = 0.12
"""Variance of a round that is each area's own, and what all areas share; they sum to 1."""

RATE_SPREAD = 0.2
AREA_SKEW = 0.7
TAIL_DF = 14.0

MONTH_WEIGHTS: FLOATS = np.array([0.25, 0.35, 0.8, 1.2, 1.5, 1.6, 1.6, 1.6, 1.4, 1.1, 0.5, 0.25])
DAY_WEIGHTS: FLOATS = np.array([0.06, 0.09, 0.12, 0.10, 0.13, 0.26, 0.24])


@dataclass(frozen=True)
class Courses:
    """Courses of the club: names, rating and slope per tee, and how much harder each really plays."""

    names: tuple[str, ...]
    rating: FLOATS
    slope: FLOATS
    harder: FLOATS


@dataclass(frozen=True)
class Fixtures:
    """Rounds as they are drawn, in order of date; every array has one entry per round.

    ``noise`` has shape (rounds, areas) and unit variance in sum over areas; ``day`` counts from the
    start of the record; ``detail`` has shape (rounds, 4) with uniform draws that decide what is noted.
    """

    golfer: Ints
    week: Ints
    day: Ints
    course: Ints
    noise: FLOATS
    detail: FLOATS

    def take(self, keep: BOOLS | Ints) -> Fixtures:
        """Return the rounds that are kept, by mask or position."""
        return Fixtures(**{field.name: getattr(self, field.name)[keep] for field in fields(self)})


def draw_courses(rng: np.random.Generator, names: list[str]) -> Courses:
    """Draw three to five courses; effects average 0 (sd about 1: published gaps between tees)."""
    count = int(rng.integers(3, 6))
    harder = rng.normal(0.0, 1.0, count)
    rating = np.round(rng.uniform(69.0, 73.0, (count, 1)) + np.array([0.0, -1.6]), 1)
    slope = np.clip(np.round(rng.normal(126.0, 7.0, (count, 1)) + np.array([0.0, -5.0])), 105, 145)
    return Courses(tuple(names[:count]), rating, slope, harder - harder.mean())


def round_rate(roster: Roster, rng: np.random.Generator) -> FLOATS:
    """Draw each golfer's rounds a month, shape (golfers,)."""
    spec = roster.spec
    own = np.exp(rng.normal(0.0, RATE_SPREAD, spec.golfers) - RATE_SPREAD**2 / 2)
    return spec.rounds_per_month * spec.traits.rounds * own


def month_weight(roster: Roster) -> FLOATS:
    """Return the weight of the season for each week, averaging 1 over a year, shape (weeks,)."""
    months = [roster.week_start(week).month - 1 for week in range(roster.weeks)]
    return MONTH_WEIGHTS[months] / MONTH_WEIGHTS.mean()


def draw_fixtures(roster: Roster, rate: FLOATS, courses: Courses, rng: np.random.Generator) -> Fixtures:
    """Draw the rounds of the record and of the weeks after it."""
    n, weeks = roster.spec.golfers, roster.weeks
    expected = rate[:, None] * 12.0 / 52.18 * month_weight(roster)
    counts = np.minimum(rng.poisson(expected), 7)
    week = np.arange(weeks)
    counts *= (week >= roster.first) & (week >= roster.joined[:, None])
    golfer, when = (np.repeat(index.ravel(), counts.ravel()) for index in np.indices((n, weeks)))
    size = len(golfer)
    day = 7 * (when - roster.first) + rng.choice(7, size, p=DAY_WEIGHTS)
    when, lived = roster.week_of(day), roster.week_of(day) < weeks
    order = np.lexsort((golfer, day))
    home = rng.integers(0, len(courses.names), n)
    away = rng.integers(0, len(courses.names), size)
    course = np.where(rng.random(size) < 0.55, home[golfer], away)
    noise, detail = round_noise(rng, size), rng.random((size, 4))
    fixtures = Fixtures(golfer, when, day, course, noise, detail)
    return fixtures.take(order[lived[order]])


def round_noise(rng: np.random.Generator, size: int) -> FLOATS:
    """Draw round noise by area, shape (size, areas): unit variance in sum, skew about 0.3, t-like tails.

    Skew and tails: from memory (amateur scores are mildly right-skewed, 0.2-0.6); the tails follow the
    good-score end of the USGA odds table (a t with about 10 degrees of freedom), computed.
    """
    shape = (2.0 / AREA_SKEW) ** 2
    draws = (rng.gamma(shape, size=(size, 5)) - shape) / np.sqrt(shape)
    own = draws[:, :4] * np.sqrt(OWN_SHARES)
    common = draws[:, 4:] * np.sqrt(COMMON_SHARE) * OWN_SHARES / OWN_SHARES.sum()
    spread = np.sqrt((TAIL_DF - 2.0) / rng.chisquare(TAIL_DF, size))
    return (own + common) * spread[:, None]

"""How practice turns into strokes in a made-up club, week by week.

Each part of the game keeps two stocks of effective hours: a slow one, forgotten by a power law of the
elapsed time, and a fast one (touch) that fades within weeks. What practice has taken away of a part's
strokes is a hyperbola of each stock. None of this is the form that is fitted to the tables.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from paryield.arrays import FLOATS
from paryield.synth.ability import PARTS, area_matrix, train_matrix

EARLIER_WEEKS = 156
"""Weeks lived before the record, so that the first stocks have a history."""

POWER_SCALE_WEEKS = 12.0
"""Time scale of the power law of forgetting (made up; the exponent follows from the half-life)."""

FAST_HALF_LIFE_WEEKS = 4.0
FAST_SHARE = 0.15
FAST_HALF_HOURS = 4.0

CLUB_SPREAD = 0.45
"""Log-sd between clubs of what each part of the game has to give."""


@dataclass(frozen=True)
class Learning:
    """What practice can do for each golfer.

    Parameters
    ----------
    raw : array, shape (golfers, parts)
        Strokes lost to scratch in each part without any practice.
    ceiling : array, shape (golfers, parts)
        Share of ``raw`` that endless practice takes away.
    response : array, shape (golfers,)
        Effective hours per hour, 1 for the typical golfer.
    slow, fast : array, shape (parts, weeks, weeks)
        What an hour of week s is still worth at the start of week t; 0 unless s < t.
    """

    raw: FLOATS
    ceiling: FLOATS
    response: FLOATS
    slow: FLOATS
    fast: FLOATS
    train: FLOATS

    def effort(self, hours: FLOATS, golfers: slice = slice(None)) -> FLOATS:
        """Return effective hours, shape (golfers, parts, weeks), of hours (golfers, categories, weeks)."""
        parts = np.einsum("gcw,cp->gpw", hours, self.train)
        return parts * self.response[golfers, None, None]

    def strokes_at(self, effort: FLOATS, week: int) -> FLOATS:
        """Return strokes lost by area at the start of one week, shape (golfers, areas)."""
        past = effort[:, :, :week]
        slow = np.einsum("gps,ps->gp", past, self.slow[:, :week, week])
        fast = np.einsum("gps,ps->gp", past, self.fast[:, :week, week])
        return (self.raw * (1.0 - self.ceiling * learnt(slow, fast))) @ area_matrix()

    def strokes(self, effort: FLOATS, golfer: int, first: int) -> FLOATS:
        """Return one golfer's strokes by area from week ``first`` on, shape (weeks, areas)."""
        slow = np.einsum("ps,pst->tp", effort[0], self.slow[:, :, first:], optimize=True)
        fast = np.einsum("ps,pst->tp", effort[0], self.fast[:, :, first:], optimize=True)
        return (self.raw[golfer] * (1.0 - self.ceiling[golfer] * learnt(slow, fast))) @ area_matrix()


def learnt(slow: FLOATS, fast: FLOATS) -> FLOATS:
    """Return the share of the ceiling that has been reached; parts are the last axis."""
    half = np.array([part.half_hours for part in PARTS])
    return (1.0 - FAST_SHARE) * slow / (slow + half) + FAST_SHARE * fast / (fast + FAST_HALF_HOURS)


def retained(age_weeks: FLOATS, half_life_weeks: float) -> FLOATS:
    """Return the share of an hour still there after a time: a power law with the given half-life."""
    exponent = np.log(2.0) / np.log1p(half_life_weeks / POWER_SCALE_WEEKS)
    return (1.0 + age_weeks / POWER_SCALE_WEEKS) ** -exponent


def make_learning(
    rng: np.random.Generator,
    raw_total: FLOATS,
    shares: FLOATS,
    weeks: int,
    categories: tuple[str, ...],
    effect: float,
    half_life: float = 1.0,
) -> Learning:
    """Draw a club's learning: which parts pay differs from club to club and golfer to golfer.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of the draws; their number does not depend on ``effect``.
    raw_total : array, shape (golfers,)
        Strokes lost to scratch without practice.
    shares : array, shape (golfers, areas)
        Share of each area in them.
    weeks : int
        Weeks lived, earlier ones included.
    categories : tuple of str
        Practice categories in use.
    effect : float
        Factor on every ceiling; 0 makes practice useless, less than 0 harmful.
    half_life : float
        Factor on every half-life.
    """
    golfers = len(raw_total)
    concentration = 14.0 * np.array([part.share for part in PARTS])
    draws = rng.gamma(concentration, size=(golfers, len(PARTS)))
    within = draws / ((draws @ area_matrix()) @ area_matrix().T)
    raw = (raw_total[:, None] * shares) @ area_matrix().T * within
    club = np.exp(rng.normal(0.0, CLUB_SPREAD, len(PARTS)) - CLUB_SPREAD**2 / 2)
    own = np.exp(rng.normal(0.0, 0.2, (golfers, len(PARTS))) - 0.2**2 / 2)
    half_lives = np.array([part.half_life_days for part in PARTS]) / 7.0 * half_life
    half_lives = half_lives * np.exp(rng.normal(0.0, 0.2, len(PARTS)))
    response = np.exp(rng.normal(0.0, 0.4, golfers))
    ceiling = np.array([part.ceiling for part in PARTS]) * club * own * effect
    age = np.arange(weeks)[None, :] - np.arange(weeks)[:, None]
    later = (age > 0).astype(float)
    spent = np.maximum(age - 0.5, 0.0)
    slow = np.stack([retained(spent, half_life) * later for half_life in half_lives])
    fast = np.broadcast_to(0.5 ** (spent / FAST_HALF_LIFE_WEEKS) * later, slow.shape)
    return Learning(raw, np.minimum(ceiling, 0.85), response, slow, fast, train_matrix(categories))

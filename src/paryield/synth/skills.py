"""What made-up golfers can learn: parts of each area, what trains them, and how that becomes strokes.

Made-up values: shares and efficiencies are judgement (common practice, no source); half-lives are the
6.5, 11 and 13 months for accuracy, mixed and speed tasks of Tatel & Ackerman 2025, Psychological
Bulletin, doi 10.1037/bul0000481 (verified).

Each part of the game keeps two stocks of effective hours: a slow one, forgotten by a power law of the
elapsed time, and a fast one (touch) that fades within weeks. What practice has taken away of a part's
strokes is a hyperbola of each stock. None of this is the form that is fitted to the tables.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.tables.categories import ACCURACY_DAYS, AREAS, MIXED_DAYS, SPEED_DAYS

AREA_SHARES: FLOATS = np.array([5.0, 7.0, 4.0, 3.0]) / 19.0
"""Mean share of each area in the strokes lost to scratch: 0.26, 0.37, 0.21, 0.16, computed from
published shares of score gaps (Broadie 2008-2014: two thirds long game, 15 % putting)."""

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
class Part:
    """One trainable part of a scoring area.

    ``share`` is its part of the area's strokes; ``ceiling`` the share of its strokes that endless
    practice takes away; ``half_hours`` the effective hours that give half of that.
    """

    name: str
    area: str
    share: float
    ceiling: float
    half_hours: float
    half_life_days: float


PARTS: tuple[Part, ...] = (
    Part("tee_line", "off_the_tee", 0.60, 0.28, 24.0, MIXED_DAYS),
    Part("tee_speed", "off_the_tee", 0.40, 0.30, 32.0, SPEED_DAYS),
    Part("strike", "approach", 0.60, 0.22, 36.0, ACCURACY_DAYS),
    Part("distance", "approach", 0.40, 0.22, 28.0, ACCURACY_DAYS),
    Part("chip", "short_game", 0.45, 0.36, 18.0, ACCURACY_DAYS),
    Part("pitch", "short_game", 0.30, 0.32, 18.0, ACCURACY_DAYS),
    Part("sand", "short_game", 0.25, 0.50, 14.0, ACCURACY_DAYS),
    Part("line", "putting", 0.55, 0.44, 17.0, ACCURACY_DAYS),
    Part("pace", "putting", 0.45, 0.44, 15.0, ACCURACY_DAYS),
)

TRAIN: dict[str, dict[str, float]] = {
    "short_putting": {"line": 1.0, "pace": 0.1},
    "lag_putting": {"pace": 1.0, "line": 0.15},
    "chipping": {"chip": 1.0, "pitch": 0.2},
    "pitching": {"pitch": 0.9, "chip": 0.2, "distance": 0.1},
    "bunker": {"sand": 1.0},
    "half_swing": {"distance": 0.6, "strike": 0.4},
    "irons": {"strike": 0.7, "distance": 0.25, "tee_line": 0.1},
    "driver": {"tee_line": 1.0},
    "on_course": {
        "tee_line": 0.15,
        "strike": 0.15,
        "distance": 0.15,
        "chip": 0.1,
        "pitch": 0.1,
        "sand": 0.05,
        "line": 0.1,
        "pace": 0.1,
    },
    "strength": {"tee_speed": 0.9},
    "mobility": {"tee_speed": 0.2, "strike": 0.05},
}
"""Effective hours that one hour of a category gives to each part."""

PART_AREA: npt.NDArray[np.intp] = np.array([AREAS.index(part.area) for part in PARTS])
"""Index of the area of each part."""


def train_matrix(categories: tuple[str, ...]) -> FLOATS:
    """Return effective hours per hour of practice, shape (categories, parts)."""
    return np.array([[TRAIN[category].get(part.name, 0.0) for part in PARTS] for category in categories])


def area_matrix() -> FLOATS:
    """Return 1 where a part belongs to an area, shape (parts, areas)."""
    return np.array([[float(part.area == area) for area in AREAS] for part in PARTS])


def area_of_category(categories: tuple[str, ...]) -> FLOATS:
    """Return the share of a category's effective hours in each area, shape (categories, areas)."""
    hours = train_matrix(categories) @ area_matrix()
    return hours / hours.sum(axis=1, keepdims=True)


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

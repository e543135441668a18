"""What can be learnt: the parts of each scoring area, and which practice trains which part.

Made-up values: shares and efficiencies are judgement (common practice, no source); half-lives are the
6.5, 11 and 13 months for accuracy, mixed and speed tasks of Tatel & Ackerman 2025, Psychological
Bulletin, doi 10.1037/bul0000481 (verified).
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

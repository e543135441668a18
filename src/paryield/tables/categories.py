"""Practice categories: what each one serves, its pace and its physical load."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

AREAS: tuple[str, ...] = ("off_the_tee", "approach", "short_game", "putting")
"""The four scoring areas, in the order used by every array with an area axis."""

PHANTOM = "phantom"
"""Category that holds the noise floor: practice that cannot have helped."""

Load = Literal["none", "swing", "strength"]


@dataclass(frozen=True)
class Category:
    """A practice category.

    Parameters
    ----------
    name : str
        Name as it stands in the practice table.
    serves : dict of str to float
        Weight of each scoring area served, summing to 1. Prior judgement (common practice, no source).
    minutes_per_100_reps : float or None
        Pace that turns reps into minutes; None where reps are not counted.
    load : {"none", "swing", "strength"}
        Physical load, for cautions only.
    half_life_days : float
        Prior median of the time in which half of what was gained is lost without practice: 198 days
        for accuracy tasks, 335 for mixed ones, 395 for speed (6.5, 11 and 13 months; Tatel & Ackerman
        2025, Psychological Bulletin, doi 10.1037/bul0000481).
    """

    name: str
    serves: dict[str, float] = field(hash=False)
    minutes_per_100_reps: float | None
    load: Load
    half_life_days: float

    def __post_init__(self) -> None:
        unknown = set(self.serves) - set(AREAS)
        if unknown:
            raise ValueError(f"category {self.name!r} serves unknown areas {sorted(unknown)}")
        if abs(sum(self.serves.values()) - 1.0) > 1e-9 or min(self.serves.values()) < 0:
            raise ValueError(f"category {self.name!r}: weights must be non-negative and sum to 1")
        if self.minutes_per_100_reps is not None and self.minutes_per_100_reps <= 0:
            raise ValueError(f"category {self.name!r}: minutes per 100 reps must be positive")
        if self.half_life_days <= 0:
            raise ValueError(f"category {self.name!r}: half-life must be positive")


ACCURACY_DAYS, MIXED_DAYS, SPEED_DAYS = 198.0, 335.0, 395.0

# Paces and weights: common practice, no source.
SHIPPED: tuple[Category, ...] = (
    Category("short_putting", {"putting": 1.0}, 25.0, "none", ACCURACY_DAYS),
    Category("lag_putting", {"putting": 1.0}, 40.0, "none", ACCURACY_DAYS),
    Category("chipping", {"short_game": 1.0}, 40.0, "none", ACCURACY_DAYS),
    Category("pitching", {"short_game": 0.8, "approach": 0.2}, 50.0, "swing", ACCURACY_DAYS),
    Category("bunker", {"short_game": 1.0}, 60.0, "swing", ACCURACY_DAYS),
    Category("half_swing", {"approach": 0.8, "short_game": 0.2}, 60.0, "swing", ACCURACY_DAYS),
    Category("irons", {"approach": 0.9, "off_the_tee": 0.1}, 75.0, "swing", ACCURACY_DAYS),
    Category("driver", {"off_the_tee": 1.0}, 90.0, "swing", MIXED_DAYS),
    Category(
        "on_course",
        {"off_the_tee": 0.25, "approach": 0.35, "short_game": 0.22, "putting": 0.18},
        None,
        "swing",
        MIXED_DAYS,
    ),
    Category("strength", {"off_the_tee": 0.8, "approach": 0.2}, None, "strength", SPEED_DAYS),
    Category("mobility", {"off_the_tee": 0.5, "approach": 0.5}, None, "none", SPEED_DAYS),
)

BY_NAME: dict[str, Category] = {category.name: category for category in SHIPPED}

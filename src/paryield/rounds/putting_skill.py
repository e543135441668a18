"""A golfer's putting skill: the posterior of the two spreads, and what it is worth in strokes a round."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.results import QUANTILES, Problem
from paryield.rounds.putting import make_probability
from paryield.rounds.references import REFERENCES, chance_table

SHOWN_FEET = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0)
"""Distances of the answer: those of the reference curves."""

FIRST_PUTTS: dict[float, float] = {
    2.0: 1.0,
    3.0: 0.8,
    4.0: 0.7,
    5.0: 0.7,
    6.0: 0.7,
    7.0: 0.7,
    8.0: 0.7,
    9.0: 0.6,
    10.0: 1.8,
    15.0: 2.8,
    20.0: 3.0,
    30.0: 2.7,
    40.0: 1.2,
    50.0: 0.4,
    60.0: 0.2,
}
"""First putts in a round of 18 holes by feet. ASSUMED (no source), chosen so that the curves come near
published putts a round: tour 30.0 against 29, 90-golfer 33.5 against 33 (both verified:
golfsciencejournal.org/article/7732), scratch 31.0 against 31.3 (Soley 1977, quoted in a blog post)."""

LEAVE_FEET = ((0.0, 20.0, 60.0), (1.3, 2.4, 5.2))
"""Feet left after a missed first putt, by its distance: computed by turning round the tour's columns of
one-putt chances and putts taken (Broadie 2014, putts from memory), smoothed."""

LADDER_FEET = (3.0, 6.0, 9.0, 12.0)
"""Distances of a putting ladder (common practice, no source)."""

ANGLES_DEGREES = (0.2, 40.0)
"""Range of the table from spread of direction to strokes lost: no golfer is outside."""

TOUR_DISTANCE_SHARE = 0.0800665
"""Spread in distance of tour players (Stan golf case study: 0.08 verified, digits computed)."""


@dataclass(frozen=True, eq=False)
class PuttingSkill:
    """Posterior of a golfer's putting on a grid of G points.

    Parameters
    ----------
    sigma_angle : array, shape (G,)
        Spread of the direction, radians.
    sigma_distance : array, shape (G,), or None
        Spread of the roll's length as a share of it; None where the putts do not tell. Without it
        ``sigma_angle`` answers for all misses, so the two kinds are not to be compared; chances are.
    weights : array, shape (G,)
        Posterior probability of each point, summing to 1.
    tried, made : int
        Putts behind it.
    warnings : tuple of Problem
        What was odd about the file it came from.
    """

    sigma_angle: FLOATS
    sigma_distance: FLOATS | None
    weights: FLOATS
    tried: int
    made: int
    warnings: tuple[Problem, ...] = ()

    def __post_init__(self) -> None:
        if not np.isclose(self.weights.sum(), 1.0) or (self.weights < 0).any():
            raise ValueError("weights must be non-negative and sum to 1")

    def make_probability(self, distance_ft: npt.ArrayLike) -> FLOATS:
        """Return the chance to hole each distance (feet) at each point, shape (G, D)."""
        feet = np.atleast_1d(np.asarray(distance_ft, dtype=float))[None, :]
        distance = None if self.sigma_distance is None else self.sigma_distance[:, None]
        return np.asarray(make_probability(feet, self.sigma_angle[:, None], distance))

    def summary(self, values: npt.ArrayLike) -> dict[str, float]:
        """Summarise a quantity given at each point, shape (G,), by the fixed quantiles and the mean."""
        return weighted_summary(np.asarray(values, dtype=float), self.weights)

    def draws(self, count: int = 4000, seed: int = 0) -> FLOATS:
        """Return posterior draws of sigma_angle (radians) and, if learnt, sigma_distance, shape (count, P).

        Draws are points of the grid.
        """
        chosen = np.random.default_rng(seed).choice(len(self.weights), count, p=self.weights)
        spreads = (
            [self.sigma_angle] if self.sigma_distance is None else [self.sigma_angle, self.sigma_distance]
        )
        return np.column_stack([spread[chosen] for spread in spreads])

    def to_dict(self) -> dict[str, Any]:
        """Return the record that ``paryield putting --json`` prints."""
        distance = None if self.sigma_distance is None else self.summary(self.sigma_distance)
        chances = self.make_probability(SHOWN_FEET)
        made = [{"distance_ft": feet, **self.summary(chances[:, i])} for i, feet in enumerate(SHOWN_FEET)]
        return {
            "sigma_angle_degrees": self.summary(np.degrees(self.sigma_angle)),
            "sigma_distance": distance,
            "make_probability": made,
        }


def weighted_summary(values: FLOATS, weights: FLOATS) -> dict[str, float]:
    """Summarise weighted values, shape (G,), by the fixed quantiles and the mean."""
    order = np.argsort(values, kind="stable")
    below = np.cumsum(weights[order]) - 0.5 * weights[order]
    levels = np.interp(list(QUANTILES.values()), below, values[order])
    return {**dict(zip(QUANTILES, levels.tolist(), strict=True)), "mean": float(values @ weights)}


def expected_putts(
    distance_ft: FLOATS, chance: Callable[[FLOATS], FLOATS], leave_scale: FLOATS | float = 1.0
) -> FLOATS:
    """Return putts taken from a first-putt distance when the third always drops.

    Parameters
    ----------
    distance_ft : array, shape (D,)
        Feet of the first putt.
    chance : callable
        Feet, shape (D,) or (G, D), to the chance to hole, shape (..., D).
    leave_scale : float or array, shape (G, 1)
        What the feet left of a tour player are multiplied with.
    """
    leave = np.maximum(np.interp(distance_ft, *LEAVE_FEET) * leave_scale, 0.2)
    return 1.0 + (1.0 - chance(distance_ft)) * (2.0 - chance(leave))


def putts_per_round(skill: PuttingSkill) -> FLOATS:
    """Return putts in 18 holes at each point of the posterior, shape (G,), from :data:`FIRST_PUTTS`.

    Where the spread in distance was not learnt, the golfer is taken to leave what tour players leave.
    """
    feet, counts = np.array(list(FIRST_PUTTS)), np.array(list(FIRST_PUTTS.values()))
    if skill.sigma_distance is None:
        return expected_putts(feet, skill.make_probability) @ counts
    scale = skill.sigma_distance / TOUR_DISTANCE_SHARE
    leave = np.maximum(np.interp(feet, *LEAVE_FEET)[None, :] * scale[:, None], 0.2)
    second = np.column_stack([_own_chance(skill, leave[:, place]) for place in range(len(feet))])
    return (1.0 + (1.0 - skill.make_probability(feet)) * (2.0 - second)) @ counts


def _own_chance(skill: PuttingSkill, feet: FLOATS) -> FLOATS:
    return np.asarray(make_probability(feet, skill.sigma_angle, skill.sigma_distance))


def reference_putts(reference: str) -> float:
    """Return putts in 18 holes of a reference golfer: ``tour``, ``scratch`` or ``ninety``."""
    table = chance_table()
    feet, counts = np.array(list(FIRST_PUTTS)), np.array(list(FIRST_PUTTS.values()))
    return float(expected_putts(feet, lambda each: table.at(reference, each)) @ counts)


def putting_strokes_lost(skill: PuttingSkill) -> dict[str, dict[str, float]]:
    """Return strokes lost a round in putting against each reference golfer.

    Returns
    -------
    dict
        By reference, quantiles and mean; positive: more putts than the reference from the same places.
    """
    putts = putts_per_round(skill)
    return {name: skill.summary(putts - reference_putts(name)) for name in REFERENCES}


@lru_cache(maxsize=1)
def angle_to_strokes() -> tuple[FLOATS, FLOATS]:
    """Return spreads of direction (radians, rising) and strokes lost a round in putting against scratch.

    Direction alone holes too many long putts. What is missing is taken from the reference golfers: each has
    the spread that holes as many on a ladder as his curve, and loses what his curve loses; between them
    straight lines in the log of the spread, beyond them as at the nearest (computed: +0.6 stroke for tour
    players, +0.3 for scratch, -0.1 for 90-golfers).
    """
    from scipy.optimize import brentq  # here, so that answers without putts need not wait for it

    low, high = np.radians(ANGLES_DEGREES)
    spreads = np.exp(np.linspace(np.log(low), np.log(high), 400))
    table, feet = chance_table(), np.array(LADDER_FEET)
    scratch = reference_putts("scratch")
    knots, missing = [], []
    for name in REFERENCES:
        holed = float(table.at(name, feet).sum())
        spread = brentq(lambda each, goal=holed: make_probability(feet, each).sum() - goal, low, high)
        knots.append(float(np.log(spread)))
        missing.append(reference_putts(name) - float(_putts_by_angle(np.array([spread]))[0]))
    lost = _putts_by_angle(spreads) - scratch + np.interp(np.log(spreads), knots, missing)
    return spreads, lost


def _putts_by_angle(spreads: FLOATS) -> FLOATS:
    feet, counts = np.array(list(FIRST_PUTTS)), np.array(list(FIRST_PUTTS.values()))
    return expected_putts(feet, lambda each: make_probability(each, spreads[:, None])) @ counts

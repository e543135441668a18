"""A golfer's putting skill: the posterior of the two spreads, and what follows from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.results import QUANTILES, Problem
from paryield.rounds.putting import make_probability

SHOWN_FEET = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0)
"""Distances of the answer: those of the reference curves."""


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

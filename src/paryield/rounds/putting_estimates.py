"""Most likely values of the putting models: the second route to the posterior, and published checks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from paryield.arrays import FLOATS
from paryield.rounds.putting import log_likelihood, make_probability
from paryield.rounds.putts import Putts

START = (0.02, 0.08)
"""Spread of direction (radians) and of distance (share) where a search begins: near a tour player's."""


@dataclass(frozen=True)
class Estimate:
    """Most likely values and their standard errors from the curvature, by name."""

    values: dict[str, float]
    errors: dict[str, float]


def curvature(function: Callable[[FLOATS], float], at: FLOATS, step: float = 1e-4) -> FLOATS:
    """Return the matrix of second differences of a function, shape (P, P)."""
    size = len(at)
    steps = step * np.eye(size)
    found = np.empty((size, size))
    for i in range(size):
        for j in range(size):
            plus = function(at + steps[i] + steps[j]) + function(at - steps[i] - steps[j])
            minus = function(at + steps[i] - steps[j]) + function(at - steps[i] + steps[j])
            found[i, j] = (plus - minus) / (4.0 * step**2)
    return found


def lowest(function: Callable[[FLOATS], float], start: FLOATS) -> FLOATS:
    """Return where a smooth function of one to three values is lowest."""
    from scipy.optimize import minimize

    found = np.asarray(start, dtype=float)
    for _ in range(3):  # a simplex can stall; a restart from where it ended costs little
        options = {"xatol": 1e-9, "fatol": 1e-10, "maxiter": 2000}
        found = np.asarray(minimize(function, found, method="Nelder-Mead", options=options).x)  # type: ignore[call-overload]
    return np.asarray(found, dtype=float)


def _positive(names: tuple[str, ...], minus_log: Callable[[FLOATS], float], start: FLOATS) -> Estimate:
    """Search on the log scale; errors by the delta method."""
    best = lowest(minus_log, np.log(start))
    errors = np.sqrt(np.diag(np.linalg.inv(curvature(minus_log, best)))) * np.exp(best)
    values = np.exp(best).tolist()
    return Estimate(dict(zip(names, values, strict=True)), dict(zip(names, errors.tolist(), strict=True)))


def angle_estimate(putts: Putts) -> Estimate:
    """Most likely ``sigma_angle`` (radians) of the model of direction alone."""

    def minus_log(logs: FLOATS) -> float:
        rows = log_likelihood(putts.distance_ft, putts.tried, putts.made, np.exp(logs[0]))
        return -float(np.sum(rows))

    return _positive(("sigma_angle",), minus_log, np.array(START[:1]))


def angle_distance_estimate(putts: Putts) -> Estimate:
    """Most likely ``sigma_angle`` (radians) and ``sigma_distance`` (share), binomial counts."""

    def minus_log(logs: FLOATS) -> float:
        spreads = np.exp(logs)
        rows = log_likelihood(putts.distance_ft, putts.tried, putts.made, *spreads)
        return -float(np.sum(rows))

    return _positive(("sigma_angle", "sigma_distance"), minus_log, np.array(START))


def log_share_likelihood(putts: Putts, spreads: FLOATS) -> FLOATS:
    """Return the log-likelihood of the last model of the Stan golf case study.

    The share holed is normal about the chance p, with variance p (1 - p) / tried + extra squared, because
    counts in the tens of thousands show up any model of two values.

    Parameters
    ----------
    putts : Putts
    spreads : array, shape (..., 3)
        Spread of direction (radians), of distance (share), and extra sd of the share holed.
    """
    angle, distance, extra = (spreads[..., place, None] for place in range(3))
    chance = make_probability(putts.distance_ft, angle, distance)
    variance = chance * (1.0 - chance) / putts.tried + extra**2
    misfit = (putts.made / putts.tried - chance) ** 2 / variance
    return np.asarray(-0.5 * (np.log(variance) + misfit).sum(axis=-1))


def share_estimate(putts: Putts) -> Estimate:
    """Most likely ``sigma_angle``, ``sigma_distance`` and extra ``sigma_share``."""

    def minus_log(logs: FLOATS) -> float:
        return -float(log_share_likelihood(putts, np.exp(logs)))

    return _positive(("sigma_angle", "sigma_distance", "sigma_share"), minus_log, np.array([*START, 0.003]))


def logistic_estimate(putts: Putts) -> Estimate:
    """Most likely ``intercept`` and ``per_foot`` of logit(chance) = intercept + per_foot x distance."""
    from scipy.special import expit

    design = np.column_stack([np.ones_like(putts.distance_ft), putts.distance_ft])
    best, information = np.zeros(2), np.eye(2)
    for _ in range(50):
        chance = expit(design @ best)
        information = design.T @ (design * (putts.tried * chance * (1.0 - chance))[:, None])
        change = np.linalg.solve(information, design.T @ (putts.made - putts.tried * chance))
        best = best + change
        if np.max(np.abs(change)) < 1e-12:
            break
    errors = np.sqrt(np.diag(np.linalg.inv(information)))
    names = ("intercept", "per_foot")
    return Estimate(
        dict(zip(names, best.tolist(), strict=True)), dict(zip(names, errors.tolist(), strict=True))
    )

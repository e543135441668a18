"""A plain mixed model run through the compiled evidence of the engine: golfers are schools or subjects.

``y = X beta + level + slope t + luck``; level and slope of a unit are its two own effects.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.optimize import minimize

from paryield.model.kernel import evidence, solve_lower

LOG_2PI = float(np.log(2 * np.pi))


@dataclass(frozen=True)
class Growth:
    """Data sorted by unit: outcome, time, unit number and fixed columns."""

    outcome: np.ndarray
    time: np.ndarray
    unit: np.ndarray
    fixed: np.ndarray

    @property
    def bounds(self) -> np.ndarray:
        """First row of each unit, and the number of rows."""
        return np.searchsorted(self.unit, np.arange(self.unit.max() + 2))


def directions(data: Growth, sd: Any) -> np.ndarray:
    """How each outcome, over its error, moves with the level and the slope of its unit."""
    return np.column_stack([np.ones(len(data.time)), data.time]) / (sd * np.ones(len(data.time)))[:, None]


def log_likelihood(data: Growth, beta: np.ndarray, cover: np.ndarray, sd: Any) -> float:
    """Log density of the outcome, levels and slopes integrated out by the kernel."""
    direction, error = directions(data, sd), (data.outcome - data.fixed @ beta) / sd
    prior = np.linalg.inv(cover)
    none, memory = np.full(len(error), -1), (np.zeros_like(direction), *np.zeros((3, len(error))))
    value = evidence(data.bounds, none, none, direction, error, error, error, prior, *memory)[0]
    units = len(data.bounds) - 1
    each = 0.5 * error**2 + np.log(sd * np.ones(len(error))) + 0.5 * LOG_2PI
    return float(value) + 0.5 * units * float(np.linalg.slogdet(prior)[1]) - float(each.sum())


def conditional_means(data: Growth, beta: np.ndarray, cover: np.ndarray, sd: Any) -> np.ndarray:
    """Mean of each unit's level given the rest, shape (unit,)."""
    direction, error = directions(data, sd), (data.outcome - data.fixed @ beta) / sd
    prior, bounds = np.linalg.inv(cover), data.bounds
    means = np.empty((len(bounds) - 1, 2))
    for unit, (first, last) in enumerate(pairwise(bounds)):
        mine = direction[first:last]
        # A draw without shocks is the mean.
        solve_lower(mine.T @ mine + prior, error[first:last] @ mine, np.zeros(2), np.zeros(2), means[unit])
    return means[:, 0]


def restricted(data: Growth, cover: np.ndarray, sd: float) -> tuple[float, np.ndarray, np.ndarray]:
    """REML criterion, fixed effects and their errors.

    The log likelihood is a quadratic in the fixed effects: differences give its vertex and integral exactly.
    """
    size = data.fixed.shape[1]
    scale = np.sqrt(len(data.outcome)) / np.sqrt((data.fixed**2).sum(axis=0)) * data.outcome.std()
    eye = np.diag(scale)

    def value(*steps: np.ndarray) -> float:
        return log_likelihood(data, sum(steps, np.zeros(size)), cover, sd)

    here = value()
    up, down = [value(step) for step in eye], [value(-step) for step in eye]
    slope = np.array([(u - d) / 2 for u, d in zip(up, down, strict=True)])
    bend = np.empty((size, size))
    for i in range(size):
        bend[i, i] = up[i] + down[i] - 2 * here
        for j in range(i):
            bend[i, j] = bend[j, i] = value(eye[i], eye[j]) - up[i] - up[j] + here
    vertex = np.linalg.solve(-bend, slope)
    top = here + 0.5 * slope @ vertex
    inside = -bend / np.outer(scale, scale)
    criterion = -2 * top + np.linalg.slogdet(inside)[1] - size * LOG_2PI
    return float(criterion), vertex * scale, np.sqrt(np.diag(np.linalg.inv(inside)))


def cover_of(log_sds: np.ndarray, turn: float) -> np.ndarray:
    """Covariance of level and slope from log standard deviations and atanh of the correlation."""
    sds, correlation = np.exp(log_sds), np.tanh(turn)
    return np.outer(sds, sds) * np.array([[1.0, correlation], [correlation, 1.0]])


def fit_restricted(data: Growth, start: list[float]) -> dict[str, Any]:
    """Minimise the REML criterion over two standard deviations, their correlation and the luck."""

    def criterion(x: np.ndarray) -> float:
        return restricted(data, cover_of(x[:2], x[2]), float(np.exp(x[3])))[0]

    found = minimize(
        criterion, start, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-8, "maxiter": 4000}
    )
    x = found.x
    _, beta, error = restricted(data, cover_of(x[:2], x[2]), float(np.exp(x[3])))
    sds = np.exp(x[:2])
    return {
        "criterion": found.fun, "beta": beta, "error": error,
        "sds": sds, "correlation": float(np.tanh(x[2])), "luck": float(np.exp(x[3])),
    }  # fmt: skip

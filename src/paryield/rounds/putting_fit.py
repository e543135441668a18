"""Putting skill from putts tried and made: Bayes' rule on a grid, and most likely values."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.rounds.putting import Putts, log_likelihood, make_probability
from paryield.rounds.putting_skill import PuttingSkill

START = (0.02, 0.08)
"""Spread of direction (radians) and of distance (share) where a search begins: near a tour player's."""

FAR_FEET = 20.0
"""The spread in distance is looked for only where putts were tried from beyond this (common practice, no
source): nearer the hole the spread in direction explains published data well (Gelman & Nolan 2002)."""

TAP_IN_FEET = 1.0
"""Nearer putts are left out when the spread in distance is learnt: their rare misses are carelessness, yet
15 misses among 45,198 putts from 0.28 ft would move it from 0.075 to 0.137 (Broadie's table, computed)."""

LEARNT = 0.75
"""Log-sd left of the prior's, below which the spread in distance counts as learnt (our choice)."""

MANY_PUTTS = 1000
"""Putts at every distance from which on the misfit of the geometry is learnt too (our choice): then the
share holed is normal with an extra sd, as in the last model of the Stan golf case study."""

POINTS = {1: (801,), 2: (161, 161), 3: (81, 81, 13)}
"""Points of the grid along each axis, by number of axes."""

HALF_WIDTHS = (7.0, 14.0, 28.0)
"""Half-widths of the grid in curvature sds; the next is taken while mass stands on the edge."""


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


@dataclass(frozen=True)
class SpreadPrior:
    """Log-normal priors of the two spreads.

    Parameters
    ----------
    angle_degrees, angle_log_sd : float
        Median 1.5 and log-sd 0.45, 95 % within 0.6 to 3.6 degrees: professionals 1.53 (Berry's table,
        verified), one amateur 1.55 (587 putts, R package Stat2Data, computed), a golfer who holes half
        from 5 ft 1.82 (golfsciencejournal.org/article/7732 verified, computed).
    distance_share, distance_log_sd : float
        Median 0.10 and log-sd 0.5, 95 % within 0.04 to 0.27; tour players 0.08 (Stan golf case study,
        verified), amateurs taken as wider (no source).

    Raises
    ------
    ValueError
        When a value is not positive.
    """

    angle_degrees: float = 1.5
    angle_log_sd: float = 0.45
    distance_share: float = 0.10
    distance_log_sd: float = 0.5

    def __post_init__(self) -> None:
        if min(self.angle_degrees, self.angle_log_sd, self.distance_share, self.distance_log_sd) <= 0:
            raise ValueError("medians and log-sds of the spreads must be positive")

    def log_medians(self) -> FLOATS:
        """Log of the medians: radians, share."""
        return np.log([np.radians(self.angle_degrees), self.distance_share])

    def log_density(self, logs: FLOATS) -> FLOATS:
        """Return the log-density, but for a constant, of log spreads, shape (..., 1 or 2)."""
        size = logs.shape[-1]
        sds = np.array([self.angle_log_sd, self.distance_log_sd])[:size]
        return np.asarray(-0.5 * (((logs - self.log_medians()[:size]) / sds) ** 2).sum(axis=-1))


DEFAULT_PRIOR = SpreadPrior()


def fit_putting(
    distance_ft: npt.ArrayLike,
    tried: npt.ArrayLike,
    made: npt.ArrayLike,
    *,
    with_distance: bool | None = None,
    prior: SpreadPrior = DEFAULT_PRIOR,
) -> PuttingSkill:
    """Return the posterior of a golfer's putting skill.

    Parameters
    ----------
    distance_ft, tried, made : array_like, shape (D,)
        Feet, and counts of putts.
    with_distance : bool, optional
        Whether to learn the spread in distance too; None: where putts from beyond :data:`FAR_FEET` tell
        enough of it.
    prior : SpreadPrior
        Priors of the spreads.

    Raises
    ------
    InputError
        When the counts cannot be; see :class:`paryield.rounds.putting.Putts`.
    """
    putts = Putts(np.asarray(distance_ft), np.asarray(tried), np.asarray(made))
    if with_distance is not None:
        return _both(putts, prior) if with_distance else _angle(putts, prior)
    if putts.tried[putts.distance_ft > FAR_FEET].sum():
        found = _both(putts, prior)
        logs = np.log(np.asarray(found.sigma_distance))
        spread = np.sqrt(found.weights @ (logs - found.weights @ logs) ** 2)
        if spread < LEARNT * prior.distance_log_sd:
            return found
    return _angle(putts, prior)


def _skill(putts: Putts, logs: FLOATS, weights: FLOATS) -> PuttingSkill:
    spreads = np.exp(logs)
    distance = spreads[:, 1] if spreads.shape[1] > 1 else None
    return PuttingSkill(spreads[:, 0], distance, weights, int(putts.tried.sum()), int(putts.made.sum()))


def _angle(putts: Putts, prior: SpreadPrior) -> PuttingSkill:
    def log_posterior(logs: FLOATS) -> FLOATS:
        rows = log_likelihood(putts.distance_ft, putts.tried, putts.made, np.exp(logs[..., :1]))
        return np.asarray(rows.sum(axis=-1) + prior.log_density(logs))

    return _skill(putts, *grid(log_posterior, prior.log_medians()[:1]))


def _both(putts: Putts, prior: SpreadPrior) -> PuttingSkill:
    if putts.tried.min() >= MANY_PUTTS:
        return _with_misfit(putts, prior)
    far = putts.distance_ft > TAP_IN_FEET
    used = Putts(putts.distance_ft[far], putts.tried[far], putts.made[far]) if far.any() else putts

    def log_posterior(logs: FLOATS) -> FLOATS:
        angle, distance = np.exp(logs[..., :1]), np.exp(logs[..., 1:])
        rows = log_likelihood(used.distance_ft, used.tried, used.made, angle, distance)
        return np.asarray(rows.sum(axis=-1) + prior.log_density(logs))

    return _skill(putts, *grid(log_posterior, prior.log_medians()))


def _with_misfit(putts: Putts, prior: SpreadPrior) -> PuttingSkill:
    """Average over the extra sd, half-normal(0, 1) beforehand as in the Stan golf case study."""

    def log_posterior(logs: FLOATS) -> FLOATS:
        extra = np.exp(logs[..., 2])
        beforehand = prior.log_density(logs[..., :2]) - 0.5 * extra**2 + logs[..., 2]
        return np.asarray(log_share_likelihood(putts, np.exp(logs)) + beforehand)

    logs, weights = grid(log_posterior, np.append(prior.log_medians(), np.log(0.01)))
    points = POINTS[3][2]  # the extra sd is the last axis, and the first two do not move along it
    return _skill(putts, logs[::points, :2], weights.reshape(-1, points).sum(axis=1))


def grid(log_posterior: Callable[[FLOATS], FLOATS], start: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Return points, shape (G, P), and their weights, shape (G,), of a density with one mode."""
    size = len(start)

    def minus(logs: FLOATS) -> float:
        return -float(log_posterior(logs))

    mode = lowest(minus, start)
    turn = np.linalg.cholesky(np.linalg.inv(curvature(minus, mode)))
    for half in HALF_WIDTHS:
        axes = [np.linspace(-half, half, points) for points in POINTS[size]]
        steps = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, size)
        points = mode + steps @ turn.T
        heights = log_posterior(points)
        weights = np.exp(heights - heights.max())
        weights /= weights.sum()
        if weights[(np.abs(steps) == half).any(axis=1)].sum() < 1e-9:
            break
    return points, weights

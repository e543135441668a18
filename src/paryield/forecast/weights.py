"""Importance weights of draws, Pareto-smoothed, and draws picked by them."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS

MOST_K = 0.7
"""Pareto k above which weights are not to be trusted (Vehtari, Simpson, Gelman, Yao & Gabry 2024, Journal of
Machine Learning Research 25:72; from memory)."""


def smoothed(log_weights: FLOATS) -> tuple[FLOATS, float]:
    """Return Pareto-smoothed weights summing to 1, and Pareto k.

    The largest weights are replaced by expected order statistics of a generalised Pareto distribution fitted
    to them, and are cut at the largest one found (Vehtari, Simpson, Gelman, Yao & Gabry 2024; from memory).
    Tests hold it against ArviZ, which takes seconds to import: too long for an answer.

    Parameters
    ----------
    log_weights : (draws,) array
        Up to a constant; 25 or more.

    Returns
    -------
    weights : (draws,) array
    k : float
        Minus infinity for equal weights; not a number where the tail is no tail (nothing is smoothed then).
    """
    count = len(log_weights)
    if np.ptp(log_weights) < 1e-9:
        return np.full(count, 1.0 / count), float("-inf")
    logs = log_weights - log_weights.max()
    order = np.argsort(logs)
    tail = order[count - math.floor(min(count / 5, 3.0 * math.sqrt(count))) :]
    cut = math.exp(logs[order[count - len(tail) - 1]])
    k, scale = pareto(np.exp(logs[tail]) - cut)
    if math.isfinite(k) and scale > 0:
        below = np.log1p(-(np.arange(len(tail)) + 0.5) / len(tail))
        over = -below if k == 0 else np.expm1(-k * below) / k
        logs[tail] = np.minimum(np.log(cut + scale * over), 0.0)
    weights = np.exp(logs)
    return weights / weights.sum(), k


def pareto(over: FLOATS) -> tuple[float, float]:
    """Fit a generalised Pareto distribution: k and scale.

    Empirical Bayes estimate of Zhang & Stephens (2009, Technometrics 51:316-325), k drawn towards 0.5 with
    the weight of ten values (Vehtari et al. 2024, appendix C; both from memory, tests hold k against ArviZ).

    Parameters
    ----------
    over : (n,) array
        Excess over the threshold, sorted.
    """
    count = len(over)
    quarter = over[int(count / 4 + 0.5) - 1]
    if quarter <= over[0]:
        return float("nan"), float("nan")
    points = 30 + int(math.sqrt(count))
    theta = (1 - np.sqrt(points / (np.arange(points) + 0.5))) / (3 * quarter) + 1 / over[-1]
    k = np.log1p(-theta[:, None] * over).mean(axis=1)
    profile = count * (np.log(-theta / k) - k - 1)
    chance = np.exp(profile - profile.max())
    chance /= chance.sum()
    chance[chance < 10 * np.finfo(np.float64).eps] = 0.0
    best = float(theta @ chance / chance.sum())
    found = float(np.log1p(-best * over).mean())
    return (count * found + 5.0) / (count + 10.0), -found / best


def moved(values: FLOATS, weights: FLOATS) -> float:
    """Cumulative Jensen-Shannon distance of weighted draws from the same draws unweighted.

    The larger of both directions (values and minus values), each normalised to at most 1 (Nguyen & Vreeken
    2015, ECML PKDD, as used by Kallioinen et al. 2024 for power scaling; both from memory, tests hold it
    against ArviZ).

    Parameters
    ----------
    values, weights : (draws,) array
        The weights sum to 1.
    """
    return max(_moved(values, weights), _moved(-values, weights))


def _moved(values: FLOATS, weights: FLOATS) -> float:
    order = np.argsort(values)
    gaps = np.diff(values[order])
    plain = np.linspace(1 / len(values), 1 - 1 / len(values), len(values) - 1)
    other = np.cumsum(weights[order] / weights.sum())[:-1]
    middle = 0.5 * (plain + other)
    both = (_x_log(plain, plain / middle) + _x_log(other, other / middle)) / np.log(2)
    return float(np.sqrt(gaps @ both / (gaps @ (plain + other))))


def _x_log(x: FLOATS, y: FLOATS) -> FLOATS:
    """``x log(y)``, nothing where x is nothing."""
    found: FLOATS = x * np.log(np.where(x > 0, y, 1.0))
    return found


def picked(weights: FLOATS, start: float = 0.5) -> npt.NDArray[np.int64]:
    """Numbers of draws, as many as there are weights, each as often as its weight says, give or take one."""
    points = (np.arange(len(weights)) + start) / len(weights)
    return np.minimum(np.searchsorted(np.cumsum(weights), points), len(weights) - 1)

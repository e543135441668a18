"""Importance weights of draws, Pareto-smoothed, and draws picked by them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FLOATS = npt.NDArray[np.float64]
MOST_K = 0.7
"""Pareto k above which weights are not to be trusted (Vehtari, Simpson, Gelman, Yao & Gabry 2024, Journal of
Machine Learning Research 25:72; from memory)."""


def smoothed(log_weights: FLOATS) -> tuple[FLOATS, float]:
    """Pareto-smoothed weights summing to 1, and Pareto k (minus infinity for equal weights)."""
    from arviz_stats.base import array_stats  # type: ignore[attr-defined]  # slow to import: only here

    if np.ptp(log_weights) < 1e-9:
        return np.full(len(log_weights), 1.0 / len(log_weights)), float("-inf")
    # The library takes log likelihoods of points left out, that is minus the log weights.
    found, k = array_stats.psislw(-log_weights)
    weights = np.exp(found - found.max())
    return weights / weights.sum(), float(k)


def picked(weights: FLOATS, start: float = 0.5) -> npt.NDArray[np.int64]:
    """Numbers of draws, as many as there are weights, each as often as its weight says, give or take one."""
    points = (np.arange(len(weights)) + start) / len(weights)
    return np.minimum(np.searchsorted(np.cumsum(weights), points), len(weights) - 1)

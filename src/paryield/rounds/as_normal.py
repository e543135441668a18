"""What counts say of one quantity, put as a normal measurement of it."""

from __future__ import annotations

import numpy as np

from paryield.arrays import FLOATS

LEAST_SHARE = 1e-3
"""Counts that narrow the prior by less than this share of its precision are taken to narrow it by so much:
the stated error stays finite (our choice)."""


def as_normal(points: FLOATS, log_likelihood: FLOATS, mean: float, sd: float) -> tuple[FLOATS, FLOATS]:
    """Return the normal measurement that gives the posterior of counts its exact mean and variance.

    The prior is multiplied with the likelihood on a grid, the posterior's mean and variance are taken, and
    the prior is divided out again (moment matching: Minka 2001, Expectation propagation; from memory). So
    the prior times the normal returned has the mean and variance of the exact posterior.

    Parameters
    ----------
    points : array, shape (G,)
        Values of the quantity, evenly spaced, wide enough to hold the posterior.
    log_likelihood : array, shape (G, M)
        Of M tests.
    mean, sd : float
        Of the quantity beforehand.

    Returns
    -------
    value, error_sd : array, shape (M,)
        In the quantity's unit.
    """
    precision, lean = 1.0 / sd**2, mean / sd**2
    heights = log_likelihood - 0.5 * ((points - mean) / sd)[:, None] ** 2
    weights = np.exp(heights - heights.max(axis=0))
    weights = weights / weights.sum(axis=0)
    after = points @ weights
    variance = ((points[:, None] - after) ** 2 * weights).sum(axis=0)
    learnt = np.maximum(1.0 / variance - precision, LEAST_SHARE * precision)
    value = (after * (precision + learnt) - lean) / learnt
    return value, 1.0 / np.sqrt(learnt)

"""What is read off a record before the fit: level, spread of rounds, knots, who is new."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import days_since_epoch
from paryield.model.spec import ModelSpec

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]
NEWCOMER_DAYS = 60


def newcomers(golfers: pd.DataFrame, starts: INTS) -> FLOATS:
    joined = golfers["joined_on"]
    known = joined.notna().to_numpy(bool)
    out = np.zeros(len(golfers))
    if known.any():
        out[known] = (starts[known] - days_since_epoch(joined[known])) <= NEWCOMER_DAYS
    return out


def level_guess(differential: pd.Series, golfer: INTS, golfers: int, spec: ModelSpec) -> FLOATS:
    """Mean differential of each golfer, shrunk by two rounds' worth towards the reference golfer."""
    total = np.bincount(golfer, weights=differential.to_numpy(float), minlength=golfers)
    count = np.bincount(golfer, minlength=golfers)
    guess: FLOATS = (total + 2.0 * spec.reference_level) / (count + 2.0)
    return guess


def noise_guess(
    differential: pd.Series, wider: pd.Series, golfer: INTS, level: FLOATS, spec: ModelSpec
) -> tuple[FLOATS, FLOATS]:
    """Spread of each golfer's rounds about his own mean, and the degrees of freedom it is known with.

    Half the mean squared difference of successive rounds (von Neumann) estimates the variance without the
    slow changes of level; it is shrunk towards the published spread at the golfer's level with the weight
    that a log-sd of 0.2 stands for (a scaled inverse chi-square with 1 / (2 x 0.2^2) = 12.5 degrees).
    """
    priors = spec.priors
    base = priors.noise_base + priors.noise_slope * np.maximum(level - 3.0, -3.0)
    wide = wider.to_numpy(float) ** 2
    step = np.diff(differential.to_numpy(float)) / np.sqrt(0.5 * (wide[1:] + wide[:-1]))
    same = golfer[1:] == golfer[:-1]
    squares = np.bincount(golfer[1:][same], weights=0.5 * step[same] ** 2, minlength=len(level))
    # Successive differences overlap: n - 1 of them carry about 2 (n - 1) / 3 degrees of freedom.
    pairs = np.bincount(golfer[1:][same], minlength=len(level))
    known = pairs * 2.0 / 3.0
    prior_df = 1.0 / (2.0 * priors.noise_golfer_log**2)
    mean_square = np.divide(squares, pairs, out=base**2, where=pairs > 0)
    variance = (prior_df * base**2 + known * mean_square) / (prior_df + known)
    return np.asarray(np.sqrt(variance), dtype=float), np.asarray(prior_df + known, dtype=float)


def knots_of(first: int, as_of: int, spec: ModelSpec) -> FLOATS:
    span = max(as_of - first, 1)
    count = int(np.clip(np.ceil(span / spec.knot_days) + 1, 2, spec.most_knots))
    gap = max(span / (count - 1), spec.knot_days)
    places: FLOATS = as_of - gap * np.arange(count - 1, -1, -1, dtype=float)
    return places


def interpolation(day: INTS, knots: FLOATS) -> tuple[INTS, FLOATS]:
    """The knot before each day, and the weight of the next one, shape (R,) each."""
    place = (day - knots[0]) / (knots[1] - knots[0])
    knot = np.clip(np.floor(place), 0, len(knots) - 2).astype(np.int64)
    return knot, np.clip(place - knot, 0.0, 1.0)

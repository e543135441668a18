"""Scores of forecasts: coverage, bias, error and CRPS."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS

LEVELS = {"cover50": 0.50, "cover80": 0.80, "cover95": 0.95}


def crps_draws(draws: FLOATS, truth: float) -> float:
    """Continuous ranked probability score of draws: ``E|X - y| - E|X - X'| / 2``, lower is better.

    The second term uses all pairs through the sorted sample (Gneiting & Raftery 2007, JASA 102:359).
    """
    sample = np.sort(np.asarray(draws, dtype=float))
    count = len(sample)
    ranks = np.arange(1, count + 1)
    spread = 2.0 * np.sum((2 * ranks - count - 1) * sample) / count**2
    return float(np.mean(np.abs(sample - truth)) - 0.5 * spread)


def crps_normal(mean: float, sd: float, truth: float) -> float:
    """CRPS of a normal forecast: ``s [z (2 Phi(z) - 1) + 2 phi(z) - 1 / sqrt(pi)]`` (Gneiting & Raftery
    2007, JASA 102:359)."""
    from scipy.stats import norm

    z = (truth - mean) / sd
    return float(sd * (z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / np.sqrt(np.pi)))


def score_draws(draws: FLOATS, truth: float) -> dict[str, float]:
    """Score one forecast given as draws.

    Returns
    -------
    dict
        ``crps``, ``error`` (median minus truth), ``rank`` (share of draws below the truth) and whether the
        central 50, 80 and 95 % of the draws hold the truth, see :func:`held`.
    """
    sample = np.asarray(draws, dtype=float)
    out = {
        "crps": crps_draws(sample, truth),
        "error": float(np.median(sample) - truth),
        "rank": float(np.mean(sample < truth)),
    }
    return out | {name: held(sample, truth, level) for name, level in LEVELS.items()}


def held(draws: FLOATS, truth: float, level: float) -> float:
    """Return 1 where the central part of the draws holds the truth, 0 where it does not.

    Where many draws equal the truth, as those of an index do, which moves by tenths or not at all, the part
    of them inside counts; so the mean over true forecasts is ``level`` whatever the steps (the nonrandomized
    probability integral transform of Czado, Gneiting & Held 2009, Biometrics 65:1254).
    """
    below, upto = float(np.mean(draws < truth - 1e-9)), float(np.mean(draws <= truth + 1e-9))
    low, high = (1.0 - level) / 2.0, (1.0 + level) / 2.0
    if upto == below:
        return float(low <= below <= high)
    return max(0.0, min(upto, high) - max(below, low)) / (upto - below)


def pooled(scores: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """Average scores by group: n, crps, cover50/80/95, bias and rmse."""
    grouped = scores.groupby(by, sort=True)
    table = grouped[["crps", *LEVELS]].mean()
    table["n"] = grouped.size()
    table["bias"] = grouped["error"].mean()
    table["rmse"] = grouped["error"].apply(lambda error: float(np.sqrt(np.mean(np.square(error)))))
    return table.reset_index()

"""Scores of forecasts: coverage, bias, error and CRPS."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

FLOATS = npt.NDArray[np.float64]
LEVELS = {"cover50": 0.50, "cover80": 0.80, "cover95": 0.95}
PROMISED = {"cover50": "mass50", "cover80": "mass80", "cover95": "mass95"}
"""Share of the draws in each range, its ends included: what the forecast itself promises. Above the range's
name where many draws are alike, as those of an index are, which moves by tenths or not at all."""


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
        central 50, 80 and 95 % intervals hold the truth, and, as ``mass50`` to ``mass95``, which share of the
        draws they hold.
    """
    sample = np.asarray(draws, dtype=float)
    out = {
        "crps": crps_draws(sample, truth),
        "error": float(np.median(sample) - truth),
        "rank": float(np.mean(sample < truth)),
    }
    for name, level in LEVELS.items():
        low, high = np.quantile(sample, [(1 - level) / 2, (1 + level) / 2])
        out[name] = float(low - 1e-9 <= truth <= high + 1e-9)
        out[PROMISED[name]] = float(np.mean((sample >= low - 1e-9) & (sample <= high + 1e-9)))
    return out


def pooled(scores: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """Average scores by group: n, crps, cover50/80/95, bias and rmse."""
    grouped = scores.groupby(by, sort=True)
    table = grouped[["crps", *LEVELS]].mean()
    table["n"] = grouped.size()
    table["bias"] = grouped["error"].mean()
    table["rmse"] = grouped["error"].apply(lambda error: float(np.sqrt(np.mean(np.square(error)))))
    return table.reset_index()

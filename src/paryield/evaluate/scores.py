"""Scores of forecasts by method, the error that luck leaves, and whether a plain rule does as well."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NotRequired, TypedDict

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS

LEVELS = {"cover50": 0.50, "cover80": 0.80, "cover95": 0.95}

OURS = "paryield"
BINS = 10
ERRORS = 2.0
"""Errors by which a difference of CRPS must stand off zero before either side is called better."""
BEATEN, LEVEL, BETTER = "beaten", "not told apart", "better than ours"


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


class Against(TypedDict):
    """Ours less a plain rule's, CRPS in strokes, on the forecasts that both made; the word for it."""

    ours_better_by: float | None
    ours_better_by_se: float | None
    verdict: str


class Scored(TypedDict):
    """Scores of one method: counts, strokes (crps, bias, rmse) and shares (cover50 and so on, pit)."""

    n: int
    golfers: int
    origins: int
    crps: float
    crps_se: float
    cover50: float
    cover80: float
    cover95: float
    cover80_se: float
    bias: float
    rmse: float
    pit: list[float]


class Skill(Scored):
    """Scores of one method at one horizon; a plain rule's stand against ours."""

    weeks: int
    quantity: str
    method: str
    ours_better_by: NotRequired[float | None]
    ours_better_by_se: NotRequired[float | None]
    verdict: NotRequired[str]


def clustered_error(values: FLOATS, clusters: npt.NDArray[Any]) -> float:
    """Standard error of a mean whose values go together within clusters (golfers).

    ``sqrt(g / (g - 1) sum over clusters of (sum of residuals)^2) / n``, the usual sandwich for a mean; NaN
    with fewer than two clusters.
    """
    away = pd.Series(values - values.mean()).groupby(np.asarray(clusters)).sum().to_numpy()
    if len(away) < 2:
        return float("nan")
    return float(np.sqrt(len(away) / (len(away) - 1) * np.sum(away**2)) / len(values))


def skill(scores: pd.DataFrame) -> list[Skill]:
    """Summarise scores by horizon, quantity and method.

    Parameters
    ----------
    scores : DataFrame
        One row a forecast: origin, golfer_id, event (what was forecast), weeks, quantity, method, and the
        columns of :func:`paryield.evaluate.scores.score_draws`.

    Returns
    -------
    list of Skill
        One a horizon, quantity and method, ours first; ``pit`` holds the shares in ten bins.
    """
    records: list[Skill] = []
    for _, part in scores.groupby(["weeks", "quantity"], sort=True):
        weeks, quantity = int(part["weeks"].iloc[0]), str(part["quantity"].iloc[0])
        ours = part[part["method"] == OURS]
        for method, own in _in_order(part):
            record: Skill = {"weeks": weeks, "quantity": quantity, "method": method, **_one(own)}
            records.append(record if method == OURS else {**record, **_against(ours, own)})
    return records


def _in_order(part: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    names = [str(name) for name in part["method"].unique()]
    for name in sorted(names, key=lambda name: (name != OURS, names.index(name))):
        yield name, part[part["method"] == name]


def _one(own: pd.DataFrame) -> Scored:
    golfers = own["golfer_id"].to_numpy()
    error = own["error"].to_numpy(float)
    counts = np.histogram(own["rank"], bins=np.linspace(0.0, 1.0, BINS + 1))[0]
    return {
        "n": len(own),
        "golfers": int(own["golfer_id"].nunique()),
        "origins": int(own["origin"].nunique()),
        "crps": float(own["crps"].mean()),
        "crps_se": clustered_error(own["crps"].to_numpy(float), golfers),
        "cover50": float(own["cover50"].mean()),
        "cover80": float(own["cover80"].mean()),
        "cover95": float(own["cover95"].mean()),
        "cover80_se": clustered_error(own["cover80"].to_numpy(float), golfers),
        "bias": float(error.mean()),
        "rmse": float(np.sqrt(np.mean(error**2))),
        "pit": [float(count) / len(own) for count in counts],
    }


def _against(ours: pd.DataFrame, own: pd.DataFrame) -> Against:
    key = ["origin", "golfer_id", "event"]
    both = ours[[*key, "crps"]].merge(own[[*key, "crps"]], on=key, suffixes=("_ours", ""))
    if both.empty:
        return {"ours_better_by": None, "ours_better_by_se": None, "verdict": LEVEL}
    gap = (both["crps"] - both["crps_ours"]).to_numpy(float)
    mean, error = float(gap.mean()), clustered_error(gap, both["golfer_id"].to_numpy())
    verdict = LEVEL
    if abs(mean) > ERRORS * error:
        verdict = BEATEN if mean > 0 else BETTER
    return {"ours_better_by": mean, "ours_better_by_se": error, "verdict": verdict}

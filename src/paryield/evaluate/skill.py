"""Scores by method, with the error that golfers' luck leaves, and whether a plain rule does as well."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.evaluate.scores import LEVELS

OURS = "paryield"
BINS = 10
ERRORS = 2.0
"""Errors by which a difference of CRPS must stand off zero before either side is called better."""
BEATEN, LEVEL, BETTER = "beaten", "not told apart", "better than ours"
FLOATS = npt.NDArray[np.float64]


def clustered_error(values: FLOATS, clusters: npt.NDArray[Any]) -> float:
    """Standard error of a mean whose values go together within clusters (golfers).

    ``sqrt(g / (g - 1) sum over clusters of (sum of residuals)^2) / n``, the usual sandwich for a mean; NaN
    with fewer than two clusters.
    """
    away = pd.Series(values - values.mean()).groupby(np.asarray(clusters)).sum().to_numpy()
    if len(away) < 2:
        return float("nan")
    return float(np.sqrt(len(away) / (len(away) - 1) * np.sum(away**2)) / len(values))


def skill(scores: pd.DataFrame) -> list[dict[str, Any]]:
    """Summarise scores by horizon, quantity and method.

    Parameters
    ----------
    scores : DataFrame
        One row a forecast: origin, golfer_id, event (what was forecast), weeks, quantity, method, and the
        columns of :func:`paryield.evaluate.scores.score_draws`.

    Returns
    -------
    list of dict
        weeks, quantity, method, n, golfers, origins, crps, crps_se, cover50, cover80, cover95, cover80_se,
        bias, rmse, pit (shares in ten bins), and for plain rules ``ours_better_by`` with its error and a
        verdict, on the forecasts that both made.
    """
    records = []
    for _, part in scores.groupby(["weeks", "quantity"], sort=True):
        weeks, quantity = int(part["weeks"].iloc[0]), str(part["quantity"].iloc[0])
        ours = part[part["method"] == OURS]
        for method, own in _in_order(part):
            found = _one(own) if method == OURS else {**_one(own), **_against(ours, own)}
            records.append({"weeks": weeks, "quantity": quantity, "method": method, **found})
    return records


def _in_order(part: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    names = [str(name) for name in part["method"].unique()]
    for name in sorted(names, key=lambda name: (name != OURS, names.index(name))):
        yield name, part[part["method"] == name]


def _one(own: pd.DataFrame) -> dict[str, Any]:
    golfers = own["golfer_id"].to_numpy()
    error = own["error"].to_numpy(float)
    counts = np.histogram(own["rank"], bins=np.linspace(0.0, 1.0, BINS + 1))[0]
    return {
        "n": len(own),
        "golfers": int(own["golfer_id"].nunique()),
        "origins": int(own["origin"].nunique()),
        "crps": float(own["crps"].mean()),
        "crps_se": clustered_error(own["crps"].to_numpy(float), golfers),
        **{name: float(own[name].mean()) for name in LEVELS},
        "cover80_se": clustered_error(own["cover80"].to_numpy(float), golfers),
        "bias": float(error.mean()),
        "rmse": float(np.sqrt(np.mean(error**2))),
        "pit": [float(count) / len(own) for count in counts],
    }


def _against(ours: pd.DataFrame, own: pd.DataFrame) -> dict[str, Any]:
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

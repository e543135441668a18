"""The health gate: may the answers of this fit be shown?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr
from arviz_stats import ess, rhat  # type: ignore[attr-defined]

RHAT_MOST = 1.01
ESS_LEAST = 400.0
"""Thresholds of Vehtari, Gelman, Simpson, Carpenter & Buerkner 2021, Bayesian Analysis 16:667
(from memory)."""

REPORTED = (
    "gain",
    "level_now",
    "noise_total",
    "response",
    "trend",
    "start_shift",
    "season_cos",
    "season_sin",
    "programme_effect",
    "enrol_shift",
    "course_effect",
    "competition",
    "log_half_life",
    "start_share",
    "sd_wander",
    "wander_days",
    "sd_response",
    "share",
    "noise_scale",
)
"""What answers are made of; each is checked."""


@dataclass(frozen=True)
class HealthLine:
    """One quantity at its worst element."""

    quantity: str
    element: str
    rhat: float
    ess_bulk: float
    ess_tail: float
    ok: bool
    remedy: str

    def to_dict(self) -> dict[str, Any]:
        """Plain record."""
        return dict(self.__dict__)


def check_health(draws: xr.Dataset, divergences: int) -> dict[str, Any]:
    """Check every reported quantity.

    Parameters
    ----------
    draws : Dataset
        Dims chain and draw first.
    divergences : int

    Returns
    -------
    dict
        ``ok``, ``divergences`` and ``lines``, one record per quantity at its worst element.
    """
    lines = [_worst(name, draws[name]) for name in REPORTED if name in draws and draws[name].size]
    few = divergences <= 0.001 * draws.sizes["chain"] * draws.sizes["draw"]
    return {
        "ok": bool(all(line.ok for line in lines) and few),
        "divergences": int(divergences),
        "divergences_ok": bool(few),
        "lines": [line.to_dict() for line in lines],
    }


def _worst(name: str, values: xr.DataArray) -> HealthLine:
    dims = [dim for dim in values.dims if dim not in ("chain", "draw")]
    table = np.asarray(values.transpose("chain", "draw", *dims).values, dtype=float)
    shape = table.shape[2:]
    table = table.reshape(*table.shape[:2], -1)
    worst: tuple[float, float, float] = (1.0, np.inf, np.inf)
    place, badness = 0, -np.inf
    for number in range(table.shape[2]):
        sample = table[:, :, number]
        if np.ptp(sample) < 1e-12:
            continue
        found = (
            float(rhat(sample)),
            float(ess(sample, method="bulk")),
            float(ess(sample, method="tail", prob=(0.05, 0.95))),
        )
        bad = max((found[0] - 1.0) / (RHAT_MOST - 1.0), ESS_LEAST / min(found[1], found[2]))
        if bad > badness:
            worst, place, badness = found, number, bad
    element = (
        ", ".join(
            str(values[dim].values[at]) for dim, at in zip(dims, np.unravel_index(place, shape), strict=True)
        )
        if dims
        else ""
    )
    ok = worst[0] <= RHAT_MOST and min(worst[1], worst[2]) >= ESS_LEAST
    remedy = (
        "" if ok else "fit again without --quick, or with another --seed; if it stays, more rounds are needed"
    )
    return HealthLine(name, element, *worst, ok, remedy)

"""Golfers' own values given the population values: their normal prior and posterior, written plainly."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.model.design import Observations
from paryield.model.golfers import information, prior_cover
from paryield.model.likelihood import said, total_noise
from paryield.model.sheet import sheet_of
from paryield.model.terms import EFFECTS
from paryield.model.terms.level import mean_level

FLOATS = npt.NDArray[np.float64]


def golfer_information(p: Mapping[str, Any], data: Observations) -> tuple[FLOATS, FLOATS]:
    """Information and score, at zero, of every golfer's effects, shapes (..., N, D, D) and (..., N, D).

    ``p`` holds population values with any number of draws in front.
    """
    sheet = sheet_of(data)
    return information(said(p, sheet, sheet.occasions, np), sheet)[:2]


def golfer_posterior(p: dict[str, Any], data: Observations) -> tuple[FLOATS, FLOATS]:
    """Mean and covariance of every golfer's effects, shapes (N, D) and (N, D, D)."""
    gram, score = golfer_information(p, data)
    cover = np.linalg.inv(gram + np.linalg.inv(prior_cover(p, data)))
    return np.einsum("nij,nj->ni", cover, score), cover


def natural_units(p: dict[str, Any], data: Observations, effects: FLOATS) -> dict[str, FLOATS]:
    """Name the parts of the effects.

    Returns
    -------
    dict
        ``level`` (N, K) strokes lost at the start of the record, ``drift`` (N, K) strokes by the end of
        the record, ``response`` (N,) share by which practice gains differ, ``start_extra`` (N,)
        start share beyond the expected one, ``wander`` (N, W) strokes at the knots, ``noise_total`` (N,)
        strokes.
    """
    found, first = {}, 0
    for effect in EFFECTS:
        name, dims, _ = effect.stored
        size = effect.size(data)
        if name:
            mine = effects[:, first : first + size]
            found[name] = mine if len(dims) > 1 else mine[:, 0]
        first += size
    mean = mean_level(p, data.habit_area.T).T
    return {**found, "level": mean + found["level"], "noise_total": total_noise(p, data)}

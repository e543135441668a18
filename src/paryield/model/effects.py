"""Golfers' own values given the population values: their normal prior and posterior, written plainly."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.model.design import Observations
from paryield.model.kernel import gram_matrices, measurements
from paryield.model.rows import (
    AREA_COUNT,
    OWN_STATS,
    RESPONSE,
    directions,
    golfer_rows,
    mean_level,
    own_spread,
    total_noise,
    whitened,
)

FLOATS = npt.NDArray[np.float64]


def prior_cover(p: dict[str, Any], data: Observations) -> FLOATS:
    """Prior covariance of a golfer's effects, shape (effect, effect)."""
    size, count = AREA_COUNT, len(data.knots)
    out = np.zeros((data.effects, data.effects))
    out[:size, :size] = p["sd_level"] ** 2 * np.outer(p["share"], p["share"]) + np.diag(p["sd_area"] ** 2)
    own = np.array([p["sd_drift"]] * size + [p["sd_response"], p["sd_start"]])
    places = np.arange(size, 2 * size + 2)
    out[places, places] = own**2
    gap = np.abs(np.arange(count)[:, None] - np.arange(count)[None, :])
    form = slice(2 * size + 2, 2 * size + 2 + count)
    out[form, form] = p["sd_wander"] ** 2 * p["wander_keep"] ** gap
    places = np.arange(data.effects - len(OWN_STATS), data.effects)
    out[places, places] = own_spread(p, 1.0, np) ** 2
    return out


def golfer_information(p: dict[str, Any], data: Observations) -> tuple[FLOATS, FLOATS]:
    """Information and score, at zero, of every golfer's effects, shapes (N, D, D) and (N, D)."""
    rows = golfer_rows(p, data, np)
    load, error, _ = whitened(rows, data, np)
    bounds, occasion, kind = measurements(data)
    direction = directions(rows, data, p["share"], load[occasion, kind], occasion, np)
    found: Any = gram_matrices
    gram, score = found(bounds, np.ascontiguousarray(direction), error[occasion, kind])
    return gram, score


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
    return {
        "level": mean_level(p, data.habit_area) + effects[:, :AREA_COUNT],
        "drift": effects[:, AREA_COUNT : 2 * AREA_COUNT],
        "response": effects[:, RESPONSE],
        "start_extra": effects[:, RESPONSE + 1],
        "wander": effects[:, RESPONSE + 2 : -len(OWN_STATS)],
        "noise_total": total_noise(p, data),
    }

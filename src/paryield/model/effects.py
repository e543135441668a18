"""Golfers' own values given the population values: exact draws from their normal posterior."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.model.design import Observations
from paryield.model.rows import (
    AREA_COUNT,
    RESPONSE,
    golfer_rows,
    in_strokes,
    information,
    mean_level,
    total_noise,
)

FLOATS = npt.NDArray[np.float64]


def golfer_posterior(p: dict[str, Any], data: Observations) -> tuple[FLOATS, FLOATS]:
    """Mean and precision factor of every golfer's standardised effects.

    Returns
    -------
    mean : array, shape (golfer, effect)
        Standardised (standard normal beforehand).
    factor : array, shape (golfer, effect, effect)
        Lower Cholesky factor of the posterior precision.
    """
    rows = golfer_rows(p, data, np)
    gram, score = information(p, data, rows, np)
    precision = gram + np.eye(data.effects)
    mean = np.linalg.solve(precision, score[:, :, None])[:, :, 0]
    return mean, np.linalg.cholesky(precision)


def natural_units(p: dict[str, Any], data: Observations, effects: FLOATS) -> dict[str, FLOATS]:
    """Turn standardised effects into strokes.

    Returns
    -------
    dict
        ``level`` (N, K) strokes lost at the start of the record, ``drift`` (N, K) strokes by the end of
        the record, ``response`` (N,) share by which practice gains differ, ``start_extra`` (N,)
        start share beyond the expected one, ``wander`` (N, W) strokes at the knots, ``noise_total`` (N,)
        strokes.
    """
    own = in_strokes(effects, p, data, np)
    return {
        "level": mean_level(p, data.habit_area) + own[:, :AREA_COUNT],
        "drift": own[:, AREA_COUNT : 2 * AREA_COUNT],
        "response": own[:, RESPONSE],
        "start_extra": own[:, RESPONSE + 1],
        "wander": own[:, RESPONSE + 2 :],
        "noise_total": total_noise(p),
    }


def draw_golfers(
    draws: dict[str, npt.NDArray[Any]], fixed: dict[str, Any], data: Observations, rng: np.random.Generator
) -> dict[str, FLOATS]:
    """Draw every golfer's own values for every draw of the population.

    Parameters
    ----------
    draws : dict of arrays, leading axis sample
    fixed : dict
        Population values that are constants of the specification.
    """
    samples = len(draws["level_mean"])
    out: dict[str, FLOATS] = {}
    for sample in range(samples):
        p = {**fixed, **{name: values[sample] for name, values in draws.items()}}
        mean, factor = golfer_posterior(p, data)
        noise = rng.normal(size=mean.shape)
        effects = mean + np.linalg.solve(factor.transpose(0, 2, 1), noise[:, :, None])[:, :, 0]
        for name, value in natural_units(p, data, effects).items():
            if name not in out:
                out[name] = np.empty((samples, *value.shape))
            out[name][sample] = value
    return out

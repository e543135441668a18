"""Measurements drawn from the model itself: for calibration, recovery, and predictive checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.model.design import Observations
from paryield.model.golfers import in_turn, prior_cover
from paryield.model.sheet import sheet_of
from paryield.model.spec import ModelSpec
from paryield.model.terms import constants_of
from paryield.model.terms.practice import reference_gap

FLOATS = npt.NDArray[np.float64]


def simulate_rounds(
    p: Mapping[str, Any], data: Observations, rng: np.random.Generator
) -> tuple[Observations, FLOATS]:
    """Draw golfers and rounds given population values.

    Parameters
    ----------
    p : Mapping
        Population values as NumPy arrays.
    data : Observations
        The design: who played when, with which practice and which statistics kept.
    rng : Generator

    Returns
    -------
    Observations
        The same design with drawn measurements.
    effects : array, shape (golfer, effect)
        The golfers' own values that made them.
    """
    sheet = sheet_of(data)
    effects = rng.multivariate_normal(np.zeros(data.effects), prior_cover(p, data), size=len(data.golfers))
    value = {kind: np.zeros_like(known) for kind, known in data.value.items()}

    def draw(kind: str, mean: FLOATS, sd: FLOATS, _observed: FLOATS) -> FLOATS:
        drawn = mean + sd * rng.normal(size=mean.shape)
        value[kind][sheet.rows[sheet.of_kind(kind)]] = drawn
        return drawn

    mismatch = rng.normal(size=(len(data.golfers), data.kinds_of_test))
    in_turn(p, effects, sheet, draw, mismatch)
    return replace(data, value=value), effects


def draw_population(data: Observations, spec: ModelSpec, seed: int) -> dict[str, Any]:
    """Draw population values from the prior, as NumPy arrays by name."""
    import pymc as pm

    from paryield.model.build import coordinates, population

    with pm.Model(coords=coordinates(data)):
        p = population(data, spec)
        fixed = constants_of(spec.priors)
        names = [name for name in p if name not in fixed]
        values = pm.draw([p[name] for name in names], random_seed=seed, mode="FAST_COMPILE")
    return {**fixed, **dict(zip(names, values, strict=True))}


def with_gains(p: Mapping[str, Any], data: Observations, spec: ModelSpec, gains: FLOATS) -> dict[str, Any]:
    """Replace the population gains (strokes per 20 hours, shape (category,)) of drawn values."""
    rates = (gains / reference_gap(spec, spec.priors, data.serves))[:, None] * data.serves
    return {**p, "rate_area": rates}

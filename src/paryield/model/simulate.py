"""Rounds drawn from the model itself, for calibration and recovery."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pymc as pm

from paryield.model.build import coordinates, population
from paryield.model.design import Observations
from paryield.model.effects import prior_cover
from paryield.model.rows import effect_path, golfer_rows
from paryield.model.spec import ModelSpec, reference_gap

FLOATS = npt.NDArray[np.float64]


def simulate_rounds(
    p: dict[str, Any], data: Observations, rng: np.random.Generator
) -> tuple[Observations, FLOATS]:
    """Draw golfers and rounds given population values.

    Parameters
    ----------
    p : dict
        Population values as NumPy arrays, as in :func:`paryield.model.rows.golfer_rows`.
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
    blank = {kind: np.zeros_like(value) for kind, value in data.value.items()}
    rows = golfer_rows(p, replace(data, value=blank), np)
    effects = rng.multivariate_normal(np.zeros(data.effects), prior_cover(p, data), size=len(data.golfers))
    path = effect_path(effects, data, rows, p["share"])
    value: dict[str, FLOATS] = {}
    for kind, load in rows.loads.items():
        # Filling in the kinds in their order, each residual becomes that of the values drawn before it.
        now = golfer_rows(p, replace(data, value={**blank, **value}), np)
        drawn = (load * path).sum(axis=1) + rows.sd[kind] * rng.normal(size=len(path))
        value[kind] = (drawn - now.residual[kind]) * data.seen[kind]
    return replace(data, value=value), effects


def draw_population(data: Observations, spec: ModelSpec, seed: int) -> dict[str, Any]:
    """Draw population values from the prior, as NumPy arrays by name."""
    with pm.Model(coords=coordinates(data)):
        p = population(data, spec)
        names = [name for name, value in p.items() if not isinstance(value, np.floating)]
        values = pm.draw([p[name] for name in names], random_seed=seed, mode="FAST_COMPILE")
    fixed = {name: value for name, value in p.items() if name not in names}
    return {**fixed, **dict(zip(names, values, strict=True))}


def with_gains(p: dict[str, Any], data: Observations, spec: ModelSpec, gains: FLOATS) -> dict[str, Any]:
    """Replace the population gains (strokes per 20 hours, shape (category,)) of drawn values."""
    rates = (gains / reference_gap(spec, data.serves))[:, None] * data.serves
    return {**p, "rate_area": rates}

"""Rounds drawn from the model itself, for calibration and recovery."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pymc as pm

from paryield.model.build import coordinates, population, reference_gap
from paryield.model.design import Observations
from paryield.model.rows import day_luck, effect_path, golfer_rows, in_strokes
from paryield.model.spec import ModelSpec

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
        The same design with drawn differentials, greens and putts.
    effects : array, shape (golfer, effect)
        The golfers' own values that made them.
    """
    blank = np.zeros_like(data.differential)
    empty = replace(data, differential=blank, greens=blank, putts=blank)
    rows = golfer_rows(p, empty, np)
    effects = rng.normal(size=(len(data.golfers), data.effects))
    path = effect_path(in_strokes(effects, p, data, np), p, data, rows, np)
    drawn = [
        -residual + (load * path).sum(axis=2) + sd * rng.normal(size=sd.shape)
        for load, residual, sd in zip(rows.loads, rows.residual, rows.sd, strict=True)
    ]
    luck = day_luck(p, data)
    greens = drawn[0] * data.has_greens
    putts = (drawn[1] + luck["putts_on_greens"] * greens) * data.has_putts
    differential = drawn[2] + luck["diff_on_greens"] * greens + luck["diff_on_putts"] * putts
    return replace(data, differential=differential * data.has_diff, greens=greens, putts=putts), effects


def draw_population(data: Observations, spec: ModelSpec, seed: int) -> dict[str, Any]:
    """Draw population values from the prior, as NumPy arrays by name."""
    with pm.Model(coords=coordinates(data)):
        p = population(data, spec)
        names = [name for name, value in p.items() if not isinstance(value, float)]
        values = pm.draw([p[name] for name in names], random_seed=seed, mode="FAST_COMPILE")
    fixed = {name: value for name, value in p.items() if name not in names}
    return {**fixed, **dict(zip(names, values, strict=True))}


def with_gains(p: dict[str, Any], data: Observations, spec: ModelSpec, gains: FLOATS) -> dict[str, Any]:
    """Replace the population gains (strokes per 20 hours, shape (category,)) of drawn values."""
    rates = (gains / reference_gap(spec, data.serves))[:, None] * data.serves
    return {**p, "rate_area": rates}

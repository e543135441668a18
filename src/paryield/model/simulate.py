"""Measurements drawn from the model itself: for calibration, recovery, and predictive checks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.design import Observations
from paryield.model.golfers import in_turn, prior_cover
from paryield.model.population import FIXED, constants_of
from paryield.model.sheet import Sheet, sheet_of
from paryield.model.spec import ModelSpec
from paryield.model.terms.practice import rates_of, reference_gap
from paryield.model.terms.term import Values


def simulate_rounds(p: Values, data: Observations, rng: np.random.Generator) -> tuple[Observations, FLOATS]:
    """Draw golfers and rounds given population values.

    Parameters
    ----------
    p : PopulationValues
        One set of them, as NumPy arrays.
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
    effects = draw_effects(p, data, rng)
    return draw_measurements(p, data, effects, rng), effects


def draw_effects(p: Values, data: Observations, rng: np.random.Generator) -> FLOATS:
    """Draw golfers' own values given population values, shape (golfer, effect)."""
    return rng.multivariate_normal(np.zeros(data.effects), prior_cover(p, data), size=len(data.golfers))


def draw_measurements(
    p: Values, data: Observations, effects: FLOATS, rng: np.random.Generator
) -> Observations:
    """Draw what is measured of golfers with these values, and return the same design with it."""
    sheet = sheet_of(data)
    mismatch = rng.normal(size=(len(data.golfers), data.latents))
    value = {kind: np.zeros_like(known) for kind, known in data.value.items()}
    for kind, drawn in measured_again(p, sheet, np.concatenate([effects, mismatch], axis=-1), rng).items():
        value[kind][sheet.rows[sheet.of_kind(kind)]] = drawn
    return replace(data, value=value)


def measured_again(p: Values, sheet: Sheet, effects: FLOATS, rng: np.random.Generator) -> dict[str, FLOATS]:
    """Draw all measurements of a club anew from golfers' effects and mismatches (..., N, D + G).

    Returns
    -------
    dict
        By kind, shape (..., n), in the order of :meth:`paryield.model.sheet.Sheet.of_kind`.
    """
    found: dict[str, FLOATS] = {}

    def draw(kind: str, mean: FLOATS, sd: FLOATS, _observed: FLOATS) -> FLOATS:
        found[kind] = mean + sd * rng.normal(size=mean.shape)
        return found[kind]

    own = sheet.effects
    in_turn(p, effects[..., :own], sheet, draw, effects[..., own:])
    return found


def draw_population(data: Observations, spec: ModelSpec, seed: int) -> Values:
    """Draw one set of population values from the prior, as NumPy arrays."""
    return _from_prior(data, spec, 1, seed)


def draw_prior(data: Observations, spec: ModelSpec, draws: int, seed: int) -> Values:
    """Draw population values from the prior, so many draws in front of each."""
    found = _from_prior(data, spec, draws, seed)
    return found if draws > 1 else found.each(lambda value: np.asarray(value)[None])


def _from_prior(data: Observations, spec: ModelSpec, draws: int, seed: int) -> Values:
    import pymc as pm

    from paryield.model.build import coordinates, population

    with pm.Model(coords=coordinates(data)):
        p = population(data, spec)
        names = [name for name in p if name not in FIXED]
        values = pm.draw([p[name] for name in names], draws, random_seed=seed, mode="FAST_COMPILE")
    return constants_of(spec.priors) | dict(zip(names, values, strict=True))


def with_gains(p: Values, data: Observations, spec: ModelSpec, gains: FLOATS) -> Values:
    """Replace the population gains (strokes per 20 hours, shape (category,)) of drawn values."""
    gap = reference_gap(spec, spec.priors, data.serves)
    rates = rates_of(gains, p["log_bend"], gap, data.serves, spec.bend_hours)
    return p | {"rate_area": rates}

"""The PyMC model: population values and golfers' effects, and every kind of measurement observed.

With ``golfers=True`` (the reference, to read, to draw and to check) each golfer's effects are variables and
the measurements are observed; without, the effects are integrated out exactly, which is what is sampled.
"""

from __future__ import annotations

from typing import Any

import pymc as pm
import pytensor.tensor as pt

from paryield.model.design import Observations
from paryield.model.golfers import in_turn, log_likelihood, prior_cover
from paryield.model.learnt_prior import declare_learnt
from paryield.model.population import FIXED, constants_of
from paryield.model.sheet import Sheet, sheet_of
from paryield.model.spec import ModelSpec
from paryield.model.terms import ALL
from paryield.model.terms.term import Values
from paryield.tables.categories import AREAS


def coordinates(data: Observations) -> dict[str, Any]:
    """Coordinates of the model's dimensions."""
    return {
        "golfer": list(data.golfers),
        "category": [category.name for category in data.categories],
        "area": list(AREAS),
        "course": list(data.courses),
        "programme": list(data.programmes),
        "test": [task.name for task in data.tests],
    }


def population(data: Observations, spec: ModelSpec) -> Values:
    """Declare the population values in the current PyMC model and return them."""
    p = constants_of(spec.priors)
    for part in ALL:
        p = part.declare(p, data, spec.priors)
    if data.categories:
        p = p | declare_learnt([category.name for category in data.categories], spec)
    return p


def build_model(data: Observations, spec: ModelSpec, *, golfers: bool = False) -> pm.Model:
    """Build the model.

    Parameters
    ----------
    data : Observations
    spec : ModelSpec
    golfers : bool
        Keep every golfer's effects as variables, and observe the measurements, instead of integrating them
        out.
    """
    sheet = sheet_of(data)
    with pm.Model(coords=coordinates(data)) as model:
        p = population(data, spec)
        for name in p:
            if name not in FIXED and name not in model.named_vars:
                pm.Deterministic(name, p[name])
        if golfers:
            _observed(p, data, sheet)
        else:
            pm.Potential("measurements", log_likelihood(p, data, sheet, pt))
    return model


def _observed(p: Values, data: Observations, sheet: Sheet) -> None:
    """Declare golfers' effects, and their measurements as observed."""
    standard = pm.Normal("standard_effects", 0.0, 1.0, shape=(len(data.golfers), data.effects))
    effects = pm.Deterministic("effects", standard @ pt.linalg.cholesky(prior_cover(p, data, pt)).T)
    mismatch = None
    if data.kinds_of_test:
        mismatch = pm.Normal("mismatch", 0.0, 1.0, shape=(len(data.golfers), data.latents))

    def observe(kind: str, mean: Any, sd: Any, seen: Any) -> Any:
        return pm.Normal(f"{kind}_seen", mean, sd, observed=seen)

    in_turn(p, effects, sheet, observe, mismatch, pt)

"""Simulation-based calibration: truths drawn from the prior must rank evenly among the draws of their fits.

For each replicate population values are drawn from the prior, golfers and rounds from the model, the rounds
are fitted, and the rank of each truth among thinned draws is kept (Talts, Betancourt, Simpson, Vehtari &
Gelman 2018, as described in the Stan user's guide). If the engine is right the ranks are uniform.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, TypedDict

import numpy as np
import pandas as pd
import xarray as xr

from paryield.arrays import FLOATS
from paryield.forecast import golfer_draws, habit_hours
from paryield.model.design import Observations, build_observations
from paryield.model.fit import fit_observations
from paryield.model.golfers import natural_units
from paryield.model.population import PopulationValues
from paryield.model.simulate import draw_population, simulate_rounds
from paryield.model.spec import ModelSpec
from paryield.model.terms.practice import rates_of, reference_gap
from paryield.plan.worth import return_draws
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, make_club
from paryield.tables.categories import PHANTOM

CLUB = ClubSpec(
    golfers=8,
    weeks=40,
    seed=41,
    rounds_per_month=3.0,
    categories=("short_putting", "chipping", "irons"),
    late_share=0.0,
)
SPEC = ModelSpec(draws=250, tune=120, chains=2)
RETURN_WEEKS = 12
THINNED = 100
FAULTS = ("none", "luck", "gain")
FAULT_LUCK, FAULT_GAIN = 1.5, 2.0
"""Planted faults: rounds drawn with 1.5 times the luck, or gains doubled, that the fit is told of."""
SHARED = ("log_half_life", "log_bend", "sd_level", "sd_wander", "sd_drift", "sd_response", "trend")


@dataclass(frozen=True)
class Truth:
    """What made the rounds of one replicate, under the names that a fit stores."""

    values: dict[str, FLOATS]


def design(spec: ModelSpec = SPEC, club: ClubSpec = CLUB) -> Observations:
    """Who played and practised when, the same in every replicate."""
    return build_observations(make_club(club).tables, spec)


def replicate(seed: int, fault: str = "none", spec: ModelSpec = SPEC, club: ClubSpec = CLUB) -> pd.DataFrame:
    """Draw a truth, fit its rounds, and rank every quantity.

    Parameters
    ----------
    seed : int
        One seed gives one replicate.
    fault : {"none", "luck", "gain"}
        A fault planted between the truth that is kept and the rounds that are fitted.

    Returns
    -------
    DataFrame
        quantity, element, rank (0 to 1, ties broken by lot) and seed.
    """
    asked = design(spec, club)
    drawn = draw_population(asked, spec, seed)
    rng = np.random.default_rng([seed, 17])
    data, effects = simulate_rounds(faulty(drawn, fault), asked, rng)
    fit = fit_observations(data, replace(spec, seed=seed), cores=1)
    truth = Truth(known_values(drawn, data, effects, fit))
    rows = [
        {"quantity": quantity, "element": element, "rank": rank_of(draws, value, rng), "seed": seed}
        for quantity, element, draws, value in compared(fit, truth)
    ]
    return pd.DataFrame(rows)


def faulty(drawn: PopulationValues[Any], fault: str) -> PopulationValues[Any]:
    """Population values with a fault planted."""
    if fault == "luck":
        return drawn | {"noise_scale": FAULT_LUCK * drawn["noise_scale"]}
    if fault == "gain":
        return drawn | {"rate_area": FAULT_GAIN * drawn["rate_area"]}
    return drawn


def known_values(
    drawn: PopulationValues[Any], data: Observations, effects: FLOATS, fit: Posterior
) -> dict[str, FLOATS]:
    """True values under the names of a stored fit, without chain and draw."""
    values = {name: np.asarray(value, dtype=float) for name, value in drawn.items()}
    stored = fit.tree["posterior"].to_dataset()
    found = {name: value for name, value in values.items() if name in stored}
    found |= {
        name: np.asarray(v) for name, v in natural_units(drawn, data, effects).items() if name in stored
    }
    gap = reference_gap(data, fit.facts["spec"]["priors"], data.serves)
    one = rates_of(np.ones(len(gap)), values["log_bend"], gap, data.serves, data.bend_hours)
    found["gain"] = values["rate_area"].sum(axis=1) / one.sum(axis=1)
    return found


def one_draw(fit: Posterior, truth: Truth) -> Posterior:
    """The fit with the truth as its only draw, so that answers of the truth go through the same code."""
    stored = fit.tree["posterior"].to_dataset().isel(chain=[0], draw=[0])
    values = {name: (stored[name].dims, value[None, None]) for name, value in truth.values.items()}
    groups = {"/posterior": stored.assign(values), "/constant_data": fit.tree["constant_data"].to_dataset()}
    return replace(fit, tree=xr.DataTree.from_dict(groups))


def compared(fit: Posterior, truth: Truth) -> list[tuple[str, str, FLOATS, float]]:
    """Quantity, element, draws and true value of all that is ranked."""
    rows: list[tuple[str, str, FLOATS, float]] = []
    for place, name in enumerate(fit.categories):
        rows.append(("gain", name, fit.draws("gain")[:, place], float(truth.values["gain"][place])))
    for name in (*SHARED, "noise_scale"):
        value, draws = np.atleast_1d(truth.values[name]), fit.draws(name).reshape(fit.samples, -1)
        names = fit.categories if name in ("log_half_life", "log_bend") else [""]
        rows += [(name, names[at], draws[:, at], float(value[at])) for at in range(len(names))]
    golfer, only = fit.golfers[0], one_draw(fit, truth)
    level = truth.values["level"][0].sum()
    rows.append(("level of a golfer", golfer, fit.draws("level")[:, 0].sum(axis=1), float(level)))
    hours = habit_hours(fit, golfer)
    ours = return_draws(golfer_draws(fit, golfer), hours, RETURN_WEEKS)
    real = return_draws(golfer_draws(only, golfer), hours, RETURN_WEEKS)[0]
    for place, name in enumerate(fit.categories):
        if name != PHANTOM:
            rows.append(("return of a golfer", name, ours[:, place], float(real[place])))
    return rows


def rank_of(draws: FLOATS, value: float, rng: np.random.Generator) -> float:
    """Share of thinned draws below the truth, spread evenly over its gap and over draws that equal it."""
    thin = draws[:: max(len(draws) // THINNED, 1)][:THINNED]
    return float((np.sum(thin < value) + rng.random() * (np.sum(thin == value) + 1)) / (len(thin) + 1))


class Evenness(TypedDict):
    """Ranks of one quantity over the replicates, and whether their ECDF leaves its band."""

    quantity: str
    element: str
    replicates: int
    outside: bool
    ranks: list[float]


def uniformity(ranks: pd.DataFrame, chance: float = 0.95) -> list[Evenness]:
    """Check ranks against bands that uniform ECDFs keep to, all quantities together ``chance`` of the time.

    Returns
    -------
    list of Evenness
        One record a quantity and element.
    """
    from arviz_stats.ecdf_utils import ecdf_pit

    groups = [] if ranks.empty else list(ranks.groupby(["quantity", "element"], sort=False))
    each = 1.0 - (1.0 - chance) / max(len(groups), 1)
    found: list[Evenness] = []
    for (quantity, element), own in groups:
        values = np.sort(own["rank"].to_numpy())
        _, ecdf, lower, upper = ecdf_pit(values, each, 4000)
        outside = bool(((ecdf < lower - 1e-12) | (ecdf > upper + 1e-12)).any())
        found.append(
            {
                "quantity": str(quantity),
                "element": str(element),
                "replicates": len(values),
                "outside": outside,
                "ranks": [round(float(one), 4) for one in values],
            }
        )
    return found

"""Sample the model and turn the draws into a stored fit."""

from __future__ import annotations

import importlib.metadata
from collections.abc import Callable
from typing import Any

import numpy as np
import xarray as xr

from paryield.model.conditional import draw_all
from paryield.model.constants import constants
from paryield.model.context import context_of
from paryield.model.design import Observations, build_observations
from paryield.model.doses import phantom_hours
from paryield.model.health import check_health
from paryield.model.learnt_prior import practice_values
from paryield.model.noise_floor import noise_floor
from paryield.model.population import constants_of, of_draws
from paryield.model.sampling import Drawn, Sampler, Stretch, draw_until_sound
from paryield.model.spec import ModelSpec
from paryield.model.terms import KNOWN, TERMS, VALUES
from paryield.model.terms.term import Values
from paryield.posterior.contents import GOLFER, Posterior
from paryield.tables import Tables
from paryield.tables.categories import AREAS

VERSIONED = ("paryield", "pymc", "nutpie", "jax", "numpy", "xarray", "arviz")


def fit_tables(
    tables: Tables,
    spec: ModelSpec,
    *,
    as_of: int | None = None,
    cores: int = 2,
    progress: bool = False,
    say: Callable[[str], None] | None = None,
    drawn: Drawn | None = None,
    facts: dict[str, Any] | None = None,
) -> Posterior:
    """Fit a club.

    Parameters
    ----------
    tables : Tables
    spec : ModelSpec
    as_of : int, optional
        Last day that may be read, in days since 1970-01-01.
    cores : int
    progress : bool
        Draw a progress bar.
    say : callable, optional
        Receives one line per stage.
    drawn : callable, optional
        Receives the draws done and the draws to do, warm-up included, twice a second.
    facts : dict, optional
        More facts to store with the fit (fingerprint of the data, for one).
    """
    return fit_observations(
        build_observations(tables, spec, as_of),
        spec,
        cores=cores,
        progress=progress,
        say=say,
        drawn=drawn,
        facts=facts,
    )


def fit_observations(
    data: Observations,
    spec: ModelSpec,
    *,
    cores: int = 2,
    progress: bool = False,
    say: Callable[[str], None] | None = None,
    drawn: Drawn | None = None,
    facts: dict[str, Any] | None = None,
) -> Posterior:
    """Fit the arrays of a club; see :func:`fit_tables`."""
    tell = say or (lambda _line: None)
    tell("compiling and sampling")

    def judge(sampled: Stretch, last: bool) -> tuple[dict[str, Any], xr.Dataset | None]:
        return _judged(sampled, data, spec, cores, tell, last)

    sampler = Sampler(data, spec, cores=cores, progress=progress, drawn=drawn)
    ended = draw_until_sound(sampler, judge, spec.most_stretches, tell)
    statistics = ended.sampled.statistics
    tell("holding practice against that of partners")
    floor = noise_floor(centre(ended.sampled.draws, spec), data, spec.seed)
    tree = xr.DataTree.from_dict(
        {
            "/posterior": ended.kept.drop_vars("evidence"),
            "/constant_data": constants(data).assign(level_usual=("golfer", usual_level(ended.kept))),
            "/sample_stats": statistics[[n for n in ("diverging", "n_steps") if n in statistics]],
            **_rest(ended.sampled.draws, ended.kept["evidence"].values, data),
        }
    )
    known = practice_values(ended.sampled.draws, [category.name for category in data.categories], spec)
    done = {
        "draws": ended.kept.sizes["chain"] * ended.kept.sizes["draw"],
        "stretches": ended.stretches,
        "stopped": ended.stopped,
        "why": ended.why,
        "health": ended.health,
        "noise_floor": None if floor is None else floor.to_dict(),
    }
    return Posterior(tree, {**_facts(data, spec), **known, **done, **(facts or {})})


def centre(draws: xr.Dataset, spec: ModelSpec) -> Values:
    """Population values at the mean of the draws, with those that are constants."""
    known = [str(name) for name in draws if name in KNOWN]
    means = {name: draws[name].mean(("chain", "draw")).to_numpy() for name in known}
    return constants_of(spec.priors) | means


def _judged(
    sampled: Stretch,
    data: Observations,
    spec: ModelSpec,
    cores: int,
    tell: Callable[[str], None],
    last: bool,
) -> tuple[dict[str, Any], xr.Dataset | None]:
    """Health of the draws so far, and what is stored of them; the population is looked at first."""
    divergences = int(sampled.statistics["diverging"].sum())
    health = check_health(_declared(sampled.draws, {}, data), divergences)
    if not health["ok"] and not last:
        return health, None
    tell("drawing each golfer's own values")
    golfers, evidence = _golfer_draws(sampled.draws, data, spec, cores)
    kept = _declared(sampled.draws, golfers, data)
    reached = last and spec.most_stretches > 1
    level = golfer_level_now(kept, data)
    return check_health(kept.assign(level_now=level), divergences, limit_reached=reached), kept.assign(
        evidence=(("chain", "draw", "golfer"), evidence)
    )


def _golfer_draws(
    draws: xr.Dataset, data: Observations, spec: ModelSpec, cores: int
) -> tuple[dict[str, Any], Any]:
    """Draws of every golfer's own values, and the log density of his rows, chain and draw first."""
    shape = (draws.sizes["chain"], draws.sizes["draw"])
    own, evidence = draw_all(of_draws(draws), data, spec, cores)
    shaped = {name: np.asarray(value).reshape(*shape, *value.shape[1:]) for name, value in own.items()}
    return shaped, evidence.reshape(*shape, -1)


def _rest(draws: xr.Dataset, evidence: Any, data: Observations) -> dict[str, xr.Dataset]:
    """The groups from which golfers' draws are made again."""
    population = {
        str(name): (("chain", "draw"), value.values)
        for name, value in draws.items()
        if name in KNOWN and name not in VALUES and value.ndim == 2
    }
    ghosts = phantom_hours(data.diary, data.starts) if data.categories else np.zeros((len(data.golfers), 0))
    record = {
        "evidence": (("chain", "draw", "golfer"), evidence),
        "phantom_hours": (("golfer", "day"), ghosts),
    }
    return {"/population": xr.Dataset(population), "/record": xr.Dataset(record)}


def _declared(draws: xr.Dataset, golfers: dict[str, Any], data: Observations) -> xr.Dataset:
    population = {
        name: (("chain", "draw", *value.dims), draws[name].values, {"unit": value.unit})
        for name, value in VALUES.items()
        if name in draws
    }
    own = {
        name: (("chain", "draw", *dims), golfers[name], {"unit": unit})
        for name, (dims, unit) in GOLFER.items()
        if name in golfers
    }
    coords = {
        "chain": np.arange(draws.sizes["chain"]),
        "draw": np.arange(draws.sizes["draw"]),
        "golfer": list(data.golfers),
        "area": list(AREAS),
        "course": list(data.courses),
        "knot": data.knots,
        "programme": list(data.programmes),
        "test": [task.name for task in data.tests],
    }
    if data.categories:
        coords["category"] = [category.name for category in data.categories]
    return xr.Dataset({**population, **own}, coords=coords)


def golfer_level_now(draws: xr.Dataset, data: Observations) -> xr.DataArray:
    """Mean level plus form at the end of the record, for the health gate, strokes."""
    total: xr.DataArray = draws["level"].sum("area") + draws["drift"].sum("area") + draws["wander"][..., -1]
    return total


def usual_level(draws: xr.Dataset) -> Any:
    """Mean strokes lost by each golfer at the start of his record, shape (golfer,)."""
    return draws["level"].sum("area").mean(("chain", "draw")).values


def _facts(data: Observations, spec: ModelSpec) -> dict[str, Any]:
    return {
        "as_of": int(data.as_of),
        "seed": spec.seed,
        "quick": spec.quick,
        "spec": spec.to_dict(),
        "categories": [category.name for category in data.categories],
        "courses": list(data.courses),
        "programmes": list(data.programmes),
        "golfers": list(data.golfers),
        "context": context_of(data).to_dict(),
        "terms": [term.name for term in TERMS],
        "versions": {name: importlib.metadata.version(name) for name in VERSIONED},
    }

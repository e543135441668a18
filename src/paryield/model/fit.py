"""Sample the model and turn the draws into a stored fit."""

from __future__ import annotations

import importlib.metadata
import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
import pymc as pm
import xarray as xr

from paryield.dose.stock import HALF_LIFE_NODES
from paryield.errors import InternalError
from paryield.model.build import build_model, constants_of
from paryield.model.density import Density
from paryield.model.design import Observations, build_observations
from paryield.model.effects import draw_golfers
from paryield.model.health import check_health
from paryield.model.learnt_prior import practice_values
from paryield.model.noise_floor import noise_floor
from paryield.model.rows import start_share
from paryield.model.scaled import compiled_for_nutpie, scaled
from paryield.model.spec import ModelSpec
from paryield.posterior.contents import GOLFER, POPULATION, Posterior
from paryield.tables import Tables
from paryield.tables.categories import AREAS

PROGRESS_MS = 500
"""Milliseconds between two reports of the sampler."""
VERSIONED = ("paryield", "pymc", "nutpie", "jax", "numpy", "xarray", "arviz")


Drawn = Callable[[int, int], None]
"""Receives the draws done and the draws to do, warm-up included, now and then while a fit samples."""


def sample_population(
    data: Observations,
    spec: ModelSpec,
    *,
    cores: int = 2,
    progress: bool = False,
    drawn: Drawn | None = None,
) -> tuple[xr.Dataset, xr.Dataset]:
    """Sample the population values; ``drawn`` hears how far it is, in the sampler's own count.

    Returns
    -------
    draws, statistics : Dataset
        Dims chain and draw first; the draws hold every population value by name.
    """
    size = {"draws": spec.draws, "tune": spec.tune, "chains": spec.chains}
    if spec.sampler == "pymc":
        with build_model(data, spec):
            tree = pm.sample(
                **size,
                cores=min(cores, spec.chains),
                random_seed=spec.seed,
                progressbar=progress,
                callback=each_draw(drawn, spec.chains * (spec.tune + spec.draws)),
                nuts_sampler="pymc",
                compute_convergence_checks=False,
                compile_kwargs={"mode": "NUMBA"},
            )
    else:
        import nutpie

        density = Density(data, spec)
        check_density(density)
        tree = nutpie.sample(
            compiled_for_nutpie(scaled(density)),
            **size,
            cores=min(cores, spec.chains),
            seed=spec.seed,
            progress_bar=progress,
            progress_callback=all_chains(drawn),
            progress_rate=PROGRESS_MS,
            maxdepth=7,
        )
    return tree["posterior"].to_dataset(), tree["sample_stats"].to_dataset()


def all_chains(drawn: Drawn | None) -> Callable[[list[Any]], None] | None:
    """Return what nutpie calls with the progress of each chain; it tells the sums over the chains."""
    if drawn is None:
        return None
    return lambda chains: drawn(
        sum(chain.finished_draws for chain in chains), sum(chain.total_draws for chain in chains)
    )


def each_draw(drawn: Drawn | None, total: int) -> Callable[..., None] | None:
    """Return what the plain sampler calls after each draw of any chain."""
    if drawn is None:
        return None
    done = itertools.count(1)
    return lambda **_: drawn(next(done), total)


def check_density(density: Density) -> None:
    """Check that a compiled density moves along its own gradient.

    Raises
    ------
    InternalError
        When a small step does not change the density by what the gradient says: a compiler has spoilt it.
    """
    here = density.start
    direction = np.random.default_rng(0).normal(size=here.size)
    step = 1e-5
    slope = float(density(here)[1] @ direction)
    found = (density(here + step * direction)[0] - density(here - step * direction)[0]) / (2 * step)
    if not abs(found - slope) <= 1e-3 * (1.0 + abs(slope)):
        raise InternalError(
            f"the compiled model is wrong: its density changes by {found:.6g}, its gradient says {slope:.6g}",
            remedy="use the plain sampler, and report the versions of pymc, numba and jax",
        )


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
    draws, statistics = sample_population(data, spec, cores=cores, progress=progress, drawn=drawn)
    tell("drawing each golfer's own values")
    golfers = _golfer_draws(draws, data, spec, cores)
    kept = _declared(draws, golfers, data)
    level = golfer_level_now(kept, data)
    divergences = int(statistics["diverging"].sum())
    health = check_health(kept.assign(level_now=level), divergences)
    tell("holding practice against that of partners")
    floor = noise_floor(centre(draws, spec), data, spec.seed)
    tree = xr.DataTree.from_dict(
        {
            "/posterior": kept,
            "/constant_data": constants(data),
            "/sample_stats": statistics[[n for n in ("diverging", "n_steps") if n in statistics]],
        }
    )
    noise = None if floor is None else floor.to_dict()
    known = practice_values(draws, [category.name for category in data.categories], spec)
    told = {**_facts(data, spec), **known, "health": health, "noise_floor": noise}
    return Posterior(tree, {**told, **(facts or {})})


def centre(draws: xr.Dataset, spec: ModelSpec) -> dict[str, Any]:
    """Population values at the mean of the draws, by name, with those that are constants."""
    means = {str(name): value.mean(("chain", "draw")).to_numpy() for name, value in draws.items()}
    return {**constants_of(spec.priors), **means}


def _golfer_draws(draws: xr.Dataset, data: Observations, spec: ModelSpec, cores: int) -> dict[str, Any]:
    shape = (draws.sizes["chain"], draws.sizes["draw"])
    flat = {
        str(name): value.values.reshape(shape[0] * shape[1], *value.shape[2:])
        for name, value in draws.items()
    }
    fixed: dict[str, Any] = constants_of(spec.priors)
    if not data.categories:
        fixed |= {"rate_area": np.zeros((0, 4)), "log_half_life": np.zeros(0)}
        fixed |= {"start_known": np.float64(1.0), "start_new": np.float64(1.0)}
    rng = np.random.default_rng([spec.seed, 1])
    own = draw_golfers(flat, fixed, data, rng, cores)
    shares = {name: flat.get(name, np.ones(shape[0] * shape[1])) for name in ("start_known", "start_new")}
    own["start_share"] = start_share({name: value[:, None] for name, value in shares.items()}, data.joined)
    return {name: np.asarray(value).reshape(*shape, *value.shape[1:]) for name, value in own.items()}


def _declared(draws: xr.Dataset, golfers: dict[str, Any], data: Observations) -> xr.Dataset:
    population = {
        name: (("chain", "draw", *dims), draws[name].values, {"unit": unit})
        for name, (dims, unit) in POPULATION.items()
        if name in draws
    }
    own = {
        name: (("chain", "draw", *dims), golfers[name], {"unit": unit})
        for name, (dims, unit) in GOLFER.items()
    }
    coords = {
        "chain": np.arange(draws.sizes["chain"]),
        "draw": np.arange(draws.sizes["draw"]),
        "golfer": list(data.golfers),
        "area": list(AREAS),
        "course": list(data.courses),
        "knot": data.knots,
        "programme": list(data.programmes),
    }
    if data.categories:
        coords["category"] = [category.name for category in data.categories]
    return xr.Dataset({**population, **own}, coords=coords)


def golfer_level_now(draws: xr.Dataset, data: Observations) -> xr.DataArray:
    """Mean level plus form at the end of the record, for the health gate, strokes."""
    total: xr.DataArray = draws["level"].sum("area") + draws["drift"].sum("area") + draws["wander"][..., -1]
    return total


def constants(data: Observations) -> xr.Dataset:
    """Data of the fit that answers need."""
    nodes = np.array(HALF_LIFE_NODES)[:, None] * np.array([c.half_life_days for c in data.categories])
    habit, recent = data.diary.habit, data.diary.recent
    if len(data.categories) > habit.shape[1]:
        pad = np.zeros((len(data.golfers), 1))
        habit, recent = np.hstack([habit, pad]), np.hstack([recent, pad])
    node_axis = ("node", "golfer", "category")
    span = np.maximum(data.as_of - data.starts, 180.0)
    values: dict[str, Any] = {
        "starts": ("golfer", data.starts),
        "gap_guess": (("golfer", "area"), data.gap_guess),
        "habit": (("golfer", "category"), habit),
        "recent": (("golfer", "category"), recent),
        "stock_now": (node_axis, np.array(data.stock_now)),
        "decay_now": (node_axis, np.array(data.decay_now)),
        "steady": (node_axis, np.array(data.steady)),
        "node_half_life": (("node", "category"), nodes),
        "joined": ("golfer", data.joined),
        "drift_now": ("golfer", np.sin(np.pi / 2 * np.clip((data.as_of - data.starts) / span, 0.0, 1.0))),
        "has_diary": ("golfer", data.diary.has_diary.astype(np.int8)),
        "weeks_known": ("golfer", data.diary.weeks_known),
        "weeks_filled": ("golfer", data.diary.weeks_filled),
        "noise_df": ("golfer", data.noise_df),
        "rounds_seen": ("golfer", np.bincount(data.owner, data.scored, minlength=len(data.golfers))),
        "rounds_greens": ("golfer", data.count("greens")),
        "rounds_putts": ("golfer", data.count("putts")),
        "rounds_shots": ("golfer", np.bincount(data.owner, data.documented, minlength=len(data.golfers))),
        "tests_seen": ("golfer", data.count("test")),
        "serves": (("category", "area"), data.serves),
        "exposure_now": (("golfer", "programme"), data.exposure_now),
        "form_now": (("golfer", "programme"), data.form_now),
        "knots": ("knot", data.knots),
    }
    return xr.Dataset(values, coords={"golfer": list(data.golfers), "area": list(AREAS)})


def _facts(data: Observations, spec: ModelSpec) -> dict[str, Any]:
    return {
        "as_of": int(data.as_of),
        "seed": spec.seed,
        "quick": spec.quick,
        "draws": spec.chains * spec.draws,
        "spec": spec.to_dict(),
        "categories": [category.name for category in data.categories],
        "courses": list(data.courses),
        "programmes": list(data.programmes),
        "golfers": list(data.golfers),
        "versions": {name: importlib.metadata.version(name) for name in VERSIONED},
    }

"""A stored fit as a tree for ArviZ: draws beside prior, predictive draws, what was observed and its density.

The run holds its draws; the rest is made on demand from them and the rows that the fit saw, which takes about
as long as the likelihood of every draw. A point of ``log_likelihood`` is by default one round or test, given
its golfer's own values: leaving one out asks how well the others of his record foresee it. By golfer they are
integrated out, as they are for sampling.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import xarray as xr

from paryield.arrays import FLOATS
from paryield.club import Club
from paryield.errors import InputError
from paryield.model.command import of_golfers
from paryield.model.design import Observations, build_observations
from paryield.model.golfers import drawn_after, drawn_before, log_density, natural_units
from paryield.model.population import PopulationValues, constants_of, of_draws
from paryield.model.sheet import Sheet, sheet_of
from paryield.model.simulate import draw_prior, measured_again
from paryield.model.spec import ModelSpec, stored_spec
from paryield.model.terms import VALUES
from paryield.posterior.contents import GOLFER, Posterior
from paryield.posterior.current import stored_fit
from paryield.tables import Tables
from paryield.tables.digest import golfer_digests

type Draws = PopulationValues[FLOATS]
AT_ONCE = 5_000_000
"""Numbers of a batch of draws, about: measurements times effects times draws."""
PRIOR_DRAWS = 500
BY_KIND = {"differential": "strokes", "test": "strokes, probits, club spreads, logs"}
"""Units of measurements that are no strokes by area or round stats in the model's own units."""


def arviz_tree(
    club: Club, *, by: Literal["occasion", "golfer"] = "occasion", prior_draws: int = PRIOR_DRAWS
) -> xr.DataTree:
    """Return the fit that answers come from, with all that ArviZ asks for.

    Parameters
    ----------
    club : Club
        An open club that was fitted.
    by : {"occasion", "golfer"}
        What a point of the log likelihood is: a round or test given its golfer's own values, or all rows of
        a golfer.
    prior_draws : int

    Returns
    -------
    DataTree
        ``posterior`` and ``prior`` (population values and golfers' own, dims chain and draw first, with
        units), ``posterior_predictive``, ``prior_predictive`` and ``observed_data`` (by kind of measurement,
        dimension ``<kind>_at`` with coordinates golfer and day), ``log_likelihood`` (``occasion``, or
        ``record`` by golfer), ``sample_stats`` and ``constant_data``. A fit that started from what other
        clubs have learnt has no prior draws.

    Raises
    ------
    InputError
        When nothing was fitted, or rows that the fit saw have changed since.
    """
    run = stored_fit(club)[1]
    return tree_of(run, club.tables(), by=by, prior_draws=prior_draws)


def tree_of(
    run: Posterior,
    tables: Tables,
    *,
    by: Literal["occasion", "golfer"] = "occasion",
    prior_draws: int = PRIOR_DRAWS,
) -> xr.DataTree:
    """Return the tree of a fit and the tables that it was made from; see :func:`arviz_tree`."""
    spec = stored_spec(run.facts["spec"])
    data = _rows_seen(run, tables, spec)
    sheet = sheet_of(data)
    sizes = run.tree["posterior"].sizes
    rng = np.random.default_rng([spec.seed, 41])
    p = constants_of(spec.priors) | of_draws(run.population())

    def after(some: Draws) -> dict[str, FLOATS]:
        own = drawn_after(some, data, sheet, rng)
        return measured_again(some, sheet, own, rng) | {"occasion": log_density(some, sheet, own)}

    found = _in_batches(after, p, sheet)
    density = found.pop("occasion")
    if by == "golfer":
        density = np.stack([run.evidence(golfer) for golfer in run.golfers], axis=1)
    shape = sizes["chain"], sizes["draw"]
    observed = {kind: _observed(kind, data, sheet) for kind in found}
    groups = {
        "/posterior": run.tree["posterior"].to_dataset(),
        "/sample_stats": run.tree["sample_stats"].to_dataset(),
        "/constant_data": run.tree["constant_data"].to_dataset(),
        "/posterior_predictive": _measured(found, shape, data, sheet),
        "/observed_data": xr.merge(observed.values(), join="exact"),
        "/log_likelihood": _density(density.reshape(*shape, -1), by, data, sheet),
    }
    if spec.learnt is None:
        prior, before = _prior(data, sheet, spec, prior_draws, rng)
        groups["/prior"] = prior.assign_coords(_coords(run))
        groups["/prior_predictive"] = _measured(before, (1, prior_draws), data, sheet)
    return xr.DataTree.from_dict(groups)


def _rows_seen(run: Posterior, tables: Tables, spec: ModelSpec) -> Observations:
    """The observations that a fit was made from."""
    cut = of_golfers(tables, run.facts["golfers"])
    if golfer_digests(cut) != run.facts.get("rows"):
        raise InputError(
            "rows that the fit saw have changed since: they cannot be held against it",
            remedy="run paryield fit again",
        )
    return build_observations(cut, spec, run.as_of)


def _in_batches(make: Callable[[Draws], dict[str, FLOATS]], p: Draws, sheet: Sheet) -> dict[str, FLOATS]:
    """Work on some draws at a time, so that memory is bounded."""
    total = len(p["level_mean"])
    size = max(AT_ONCE // max(len(sheet.place) * sheet.effects, 1), 1)
    parts = []
    for first in range(0, total, size):
        some = slice(first, min(first + size, total))
        parts.append(make(p.each(lambda value, some=some: value[some] if np.ndim(value) else value)))  # type: ignore[misc]
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}


def _prior(
    data: Observations, sheet: Sheet, spec: ModelSpec, draws: int, rng: np.random.Generator
) -> tuple[xr.Dataset, dict[str, FLOATS]]:
    """Draws from the prior, and what would have been measured."""
    p = draw_prior(data, spec, draws, int(rng.integers(2**31)))

    def before(some: Draws) -> dict[str, FLOATS]:
        own = drawn_before(some, data, rng)
        named = natural_units(some, data, own[..., : data.effects])
        return measured_again(some, sheet, own, rng) | {f"own {name}": one for name, one in named.items()}

    found = _in_batches(before, p, sheet)
    own = {name: found.pop(f"own {name}") for name in GOLFER}
    values = {
        name: (("chain", "draw", *one.dims), p[name][None], {"unit": one.unit})
        for name, one in VALUES.items()
        if name in p
    }
    for name, (dims, unit) in GOLFER.items():
        values[name] = (("chain", "draw", *dims), own[name][None], {"unit": unit})
    return xr.Dataset(values), found


def _coords(run: Posterior) -> dict[str, Any]:
    stored = run.tree["posterior"].to_dataset().coords
    return {str(name): one.values for name, one in stored.items() if name not in ("chain", "draw")}


def _at(kind: str, data: Observations, rows: npt.NDArray[np.int64]) -> dict[str, Any]:
    """Golfer and day of occasions, as coordinates of the dimension ``<kind>_at``."""
    golfers, dim = np.array(data.golfers), f"{kind}_at"
    day = data.days[rows].astype("datetime64[D]").astype("datetime64[ns]")
    return {f"{kind}_golfer": (dim, golfers[data.owner[rows]]), f"{kind}_day": (dim, day)}


def _order(kind: str, sheet: Sheet) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Places of a kind's measurements among those of the sheet in the order of the data, and their rows."""
    rows = sheet.rows[sheet.of_kind(kind)]
    order = np.argsort(rows, kind="stable")
    return order, rows[order]


def _observed(kind: str, data: Observations, sheet: Sheet) -> xr.Dataset:
    _, rows = _order(kind, sheet)
    values = {kind: (f"{kind}_at", data.value[kind][rows], {"unit": BY_KIND.get(kind, "")})}
    return xr.Dataset(values, coords=_at(kind, data, rows))


def _measured(
    found: dict[str, FLOATS], shape: tuple[int, int], data: Observations, sheet: Sheet
) -> xr.Dataset:
    values: dict[str, Any] = {}
    coords: dict[str, Any] = {}
    for kind, drawn in found.items():
        order, rows = _order(kind, sheet)
        values[kind] = (("chain", "draw", f"{kind}_at"), drawn[:, order].reshape(*shape, -1))
        coords |= _at(kind, data, rows)
    return xr.Dataset(values, coords=coords)


def _density(density: FLOATS, by: str, data: Observations, sheet: Sheet) -> xr.Dataset:
    if by == "golfer":
        return xr.Dataset(
            {"record": (("chain", "draw", "golfer"), density)}, coords={"golfer": list(data.golfers)}
        )
    order = np.argsort(sheet.rows, kind="stable")
    values = {by: (("chain", "draw", "occasion_at"), density[..., order])}
    return xr.Dataset(values, coords=_at(by, data, sheet.rows[order]))

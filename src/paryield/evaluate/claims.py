"""What a fit says of every golfer, with its Monte Carlo error: the figures that a refresh compares."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import xarray as xr

from paryield.arrays import FLOATS, INTS
from paryield.forecast import forecast_tables, golfer_draws, habit_hours
from paryield.plan.advice import plan_tables
from paryield.plan.tied import answered, tied_groups
from paryield.plan.worth import ClubReturns, return_draws
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

WEEKS = 12
FORECASTS = ("mean_differential", "handicap_index")


@dataclass(frozen=True)
class Claim:
    """A median and its Monte Carlo standard error, in strokes."""

    value: float
    error: float


Claims = dict[tuple[str, str, str], Claim]
"""By golfer, quantity and category ('' for a forecast)."""


def claims(posterior: Posterior, tables: Tables, start: date) -> Claims:
    """Return medians of the forecasts 12 weeks after ``start`` and of the returns, for every golfer.

    Parameters
    ----------
    posterior : Posterior
    tables : Tables
        What was known at the fit; the index starts from it.
    start : date
        Not before the fit's last day.
    """
    chains = posterior.tree["posterior"].sizes["chain"]
    found: Claims = {}
    ahead = forecast_tables(posterior, tables, weeks=(WEEKS,), as_of=start).draws
    for golfer, one in ahead.items():
        for quantity, draws in zip(FORECASTS, (one.mean[:, 0], one.index[:, 0]), strict=True):
            if not np.isnan(draws).any():
                found[golfer, quantity, ""] = claim(draws, chains)
    if posterior.categories:
        for golfer in posterior.golfers:
            hours, own = habit_hours(posterior, golfer), golfer_draws(posterior, golfer)
            gains = answered(
                posterior.categories, hours, return_draws(own, hours, WEEKS), tied_groups(posterior.facts)
            )
            for place, name in enumerate(gains.names):
                if name != PHANTOM:
                    found[golfer, "return", name] = claim(gains.gains[:, place], chains)
    return found


def claim(draws: FLOATS, chains: int) -> Claim:
    """Median of draws, chains one after the other, and its Monte Carlo standard error."""
    from arviz_stats.base import array_stats  # type: ignore[attr-defined]

    shaped = draws.reshape(chains, -1)
    error = 0.0 if np.ptp(draws) < 1e-12 else float(array_stats.mcse(shaped, method="median"))
    return Claim(float(np.median(draws)), error)


def verdicts(posterior: Posterior) -> dict[str, dict[str, str]]:
    """Verdict of every category by golfer, those of the run before taken into account."""
    if not posterior.categories:
        return {}
    club = ClubReturns(posterior, WEEKS)
    found = {}
    for golfer in posterior.golfers:
        one = club.golfer(golfer)
        words = one.standings()
        found[golfer] = {name: word.verdict for name, word in zip(one.answered.names, words, strict=True)}
    return found


def week_verdicts(posterior: Posterior, tables: Tables) -> dict[str, str]:
    """What each golfer is told of his usual week (change, try, keep), the run before minded."""
    if not posterior.categories:
        return {}
    return {str(one["golfer_id"]): str(one["verdict"]) for one in plan_tables(posterior, tables).records}


def chosen(posterior: Posterior, places: INTS) -> Posterior:
    """The same fit with these of its draws, in one chain."""
    draws = posterior.tree["posterior"].to_dataset()
    kept = {}
    for name in draws.data_vars:
        values = posterior.draws(str(name))[places]
        kept[str(name)] = (draws[name].dims, values[None], draws[name].attrs)
    coords = {name: draws[name] for name in draws.coords if name not in ("chain", "draw")}
    fresh = xr.Dataset(kept, coords={**coords, "chain": [0], "draw": np.arange(len(places))})
    groups = {"/posterior": fresh, "/constant_data": posterior.tree["constant_data"].to_dataset()}
    return replace(posterior, tree=xr.DataTree.from_dict(groups))

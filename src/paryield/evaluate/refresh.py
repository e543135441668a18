"""What a new run says beside the last one, and what each change came from: data, settings, or sampling."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, TypedDict

import numpy as np
import pandas as pd
import xarray as xr

from paryield.arrays import FLOATS, INTS
from paryield.days import date_of
from paryield.evaluate.known import known_tables
from paryield.forecast import forecast_tables, golfer_draws, habit_hours
from paryield.forecast.weights import MOST_K, picked, smoothed
from paryield.model.expectations import expected_priors, read_expectations
from paryield.model.spec import GAIN_PRIOR, ModelSpec, differences, stored_spec
from paryield.plan.advice import plan_tables
from paryield.plan.checks import log_prior
from paryield.plan.evidence import answered, tied_groups
from paryield.plan.worth import ClubReturns, return_draws
from paryield.posterior import Posterior, from_bytes
from paryield.posterior.current import stored_fit
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

if TYPE_CHECKING:
    from paryield.club import Club

WEEKS = 12
FORECASTS = ("mean_differential", "handicap_index")

NEW_DATA, SAMPLING, SETTINGS, BOTH = "new data", "sampling", "settings", "data and settings, not told apart"
OTHERS = "new data of others"
THE_WEEK = "the_week"
"""Stands for the whole week's plan among categories whose verdict turned."""
ERRORS = 2.0
"""Monte Carlo errors that a change must exceed to be more than sampling."""


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


class Turned(TypedDict):
    """A verdict of one run and that of the next."""

    golfer_id: str
    category: str
    before: str
    after: str


@dataclass(frozen=True)
class Refresh:
    """What a refresh did: number of each run, records of change, verdicts that turned, and notes."""

    run: int
    run_before: int
    ok: bool
    settings: list[str]
    records: list[dict[str, Any]]
    turned: list[Turned]
    notes: tuple[str, ...] = field(default=())
    log: str = ""
    """One line with the time (UTC), for the log of a nightly job."""

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``refresh`` command."""
        return {
            "run": self.run,
            "run_before": self.run_before,
            "ok": self.ok,
            "settings": self.settings,
            "changes": self.records,
            "turned": self.turned,
            "notes": list(self.notes),
            "log": self.log,
        }

    def to_frame(self) -> pd.DataFrame:
        """One row per golfer, quantity and category."""
        return pd.DataFrame.from_records(self.records)


def refresh(
    club: Club,
    expectations: str | None = None,
    *,
    seed: int | None = None,
    progress: bool = False,
    say: Callable[[str], None] | None = None,
) -> Refresh:
    """Fit the club again with the settings of its last run and say what changed.

    Where no row, setting or seed is new, nothing is done and that is said.

    Parameters
    ----------
    club : Club
    expectations : str, optional
        Other expectations of practice than those of the last run.
    seed : int, optional
        Another seed than that of the last run.
    progress, say
        As in a fit.

    Raises
    ------
    InputError
        When nothing was fitted yet.
    """
    from paryield.model.command import fit

    number, old = stored_fit(club)
    spec = stored_spec(old.facts["spec"])
    asked = expectations is not None or seed not in (None, spec.seed)
    if not asked and old.facts.get("data") == club.data_fingerprint():
        told = f"nothing new since run {number}: nothing done"
        return Refresh(number, number, bool(old.facts["health"]["ok"]), [], [], [], (told,), _log(club, told))
    spec = spec if seed is None else replace(spec, seed=seed)
    facts = {"verdicts_before": verdicts(old), "run_before": number}
    facts["plans_before"] = week_verdicts(old, club.tables())
    if expectations is None and "expectations" in old.facts:
        facts["expectations"] = old.facts["expectations"]
    if expectations is not None:
        tables = club.tables()
        found = read_expectations(expectations, tables.categories)
        priors = expected_priors(found, tables.categories, _plain_gains(spec))
        spec, facts["expectations"] = replace(spec, priors=priors), found.name
    receipt = fit(club, spec=spec, facts=facts, progress=progress, say=say)
    new = from_bytes(club.run(receipt.run)[2])
    done = compare(old, new, club.tables(), number, receipt.run)
    word = "sound" if done.ok else "not sound"
    told = f"run {done.run}, {word}: rows of {len(moved(old, new))} golfers were new"
    return replace(done, log=_log(club, told))


def _log(club: Club, told: str) -> str:
    return f"{datetime.now(UTC).isoformat(timespec='seconds')} {club.name}: {told}"


def moved(old: Posterior, new: Posterior) -> frozenset[str]:
    """Golfers of whom rows came, went or changed between two fits."""
    before, after = (fit.facts.get("rows", {}) for fit in (old, new))
    return frozenset(golfer for golfer in before | after if before.get(golfer) != after.get(golfer))


def _plain_gains(spec: ModelSpec) -> ModelSpec:
    plain = ModelSpec().priors
    return replace(spec, priors=replace(spec.priors, **{name: getattr(plain, name) for name in GAIN_PRIOR}))


def compare(old: Posterior, new: Posterior, tables: Tables, number_before: int, number: int) -> Refresh:
    """Compare two fits of one club; see :func:`refresh`."""
    start = date_of(max(new.as_of, old.as_of))
    known = known_tables(tables, pd.Timestamp(np.datetime64(old.as_of, "D")))
    before, after = claims(old, known, start), claims(new, tables, start)
    settings = [name for name in differences(old.facts, new.facts) if name != "seed"]
    under, note = _under_new_settings(old, new, known, start, settings)
    same_data = old.facts.get("data") == new.facts.get("data") and "data" in old.facts
    fresh = moved(old, new) if "rows" in old.facts else None
    records = [
        _record(key, before, after, under, settings, same_data, fresh is not None and key[0] not in fresh)
        for key in after
        if key in before
    ]
    told, now = verdicts(old), verdicts(new)
    turned: list[Turned] = [
        {"golfer_id": golfer, "category": name, "before": told[golfer][name], "after": word}
        for golfer, words in now.items()
        for name, word in words.items()
        if told.get(golfer, {}).get(name, word) != word
    ]
    weeks_before = new.facts.get("plans_before", {})
    turned += [
        {"golfer_id": golfer, "category": THE_WEEK, "before": weeks_before[golfer], "after": word}
        for golfer, word in (week_verdicts(new, tables) if weeks_before else {}).items()
        if weeks_before.get(golfer, word) != word
    ]
    ok = bool(new.facts["health"]["ok"])
    return Refresh(number, number_before, ok, settings, records, turned, note)


def _under_new_settings(
    old: Posterior, new: Posterior, known: Tables, start: date, settings: list[str]
) -> tuple[Claims | None, tuple[str, ...]]:
    """Claims of the old data under the new settings, by weights; None where weights cannot tell."""
    if not settings:
        return None, ()
    if not set(settings) <= set(GAIN_PRIOR):
        others = ", ".join(name for name in settings if name not in GAIN_PRIOR)
        return None, (f"other settings changed too ({others}): data and settings are not told apart",)
    gains, names = old.draws("gain"), old.categories
    ratio = log_prior(gains, new.facts["spec"]["priors"], names) - log_prior(
        gains, old.facts["spec"]["priors"], names
    )
    weights, k = smoothed(ratio)
    if k > MOST_K:
        return None, (f"the expectations lie too far apart to split their share off (Pareto k {k:.2f})",)
    return claims(chosen(old, picked(weights)), known, start), ()


def _record(
    key: tuple[str, str, str],
    before: Claims,
    after: Claims,
    under: Claims | None,
    settings: list[str],
    same_data: bool,
    others: bool,
) -> dict[str, Any]:
    """One change and its parts, which add up to it; ``others`` where nothing of the golfer's own is new."""
    change = after[key].value - before[key].value
    error = float(np.hypot(after[key].error, before[key].error))
    by_settings: float | None = 0.0
    if settings:
        by_settings = under[key].value - before[key].value if under is not None and key in under else None
        by_settings = change if same_data else by_settings
    by_data = None if by_settings is None else change - by_settings
    by_data = 0.0 if same_data else by_data
    source = _source(change, by_data, by_settings, error)
    return {
        "golfer_id": key[0],
        "quantity": key[1],
        "category": key[2] or None,
        "before": before[key].value,
        "after": after[key].value,
        "change": change,
        "by_new_data": by_data,
        "by_settings": by_settings,
        "monte_carlo_error": error,
        "from": OTHERS if others and source == NEW_DATA else source,
    }


def _source(change: float, by_data: float | None, by_settings: float | None, error: float) -> str:
    if abs(change) <= ERRORS * error:
        return SAMPLING
    if by_data is None or by_settings is None:
        return BOTH
    return NEW_DATA if abs(by_data) >= abs(by_settings) else SETTINGS

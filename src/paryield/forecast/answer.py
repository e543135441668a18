"""Forecasts: mean differential, one round and the index in force, by golfer and date."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError, NotReportableError
from paryield.forecast.adherence import NOT_LEARNT, beside_plan, club_adherence, usual_plan
from paryield.forecast.habits import has_plan, plan_hours
from paryield.forecast.once import own_frame, own_record
from paryield.forecast.outlook import GolferDraws, drift_path, form_path, golfer_draws, steady_path
from paryield.forecast.rounds import (
    Pace,
    chunk_days,
    chunks,
    club_paces,
    early_notes,
    played_on,
    round_noise,
    season_on,
)
from paryield.forecast.split import because_records, change_ahead
from paryield.posterior import Posterior
from paryield.results import QUANTILES, summary
from paryield.scoring import IndexState, index_paths, index_state
from paryield.tables import Tables

DEFAULT_WEEKS = (4, 12, 26)
QUANTITIES = ("mean_differential", "score_differential", "handicap_index")
EPOCH_ORDINAL = date(1970, 1, 1).toordinal()
MOST_MISSING = 0.025
"""Share of draws that may have no index (fewer than 54 holes by then) before it is not reportable."""
BANNER = "NOT REPORTABLE: the fit does not pass its health checks; shown only because it was asked for."


@dataclass(frozen=True)
class Ahead:
    """One golfer's simulated future on the asked days, one value a draw.

    ``mean`` (S, H), ``one_round`` (S, H) and ``index`` (S, H), NaN where there is no index; H asked days.
    """

    days: FLOATS
    mean: FLOATS
    one_round: FLOATS
    index: FLOATS
    pace: Pace


@dataclass(frozen=True)
class Forecast:
    """Records of a forecast, with the draws behind them."""

    records: list[dict[str, Any]]
    draws: dict[str, Ahead] = field(repr=False)
    banner: str = ""
    notes: tuple[str, ...] = ()
    usual: dict[str, Ahead] = field(default_factory=dict, repr=False)
    """Draws if each golfer does what he usually does of the plan; empty without a plan."""

    def to_frame(self) -> pd.DataFrame:
        """One row per golfer, date and quantity."""
        return pd.DataFrame.from_records(self.records)


def look_ahead(
    golfer: GolferDraws,
    state: IndexState,
    days: FLOATS,
    hours: FLOATS,
    pace: Pace,
    seed: list[int],
) -> Ahead:
    """Simulate a golfer's rounds and index.

    Parameters
    ----------
    golfer : GolferDraws
    state : IndexState
        The golfer's real record.
    days : array, shape (H,)
        Asked days after the as-of day, rising.
    hours : array, shape (J,)
        Weekly hours by category.
    pace : Pace
        How often the golfer plays.
    seed : list of int
        Seeds of this golfer's random streams.
    """
    last = float(days[-1]) if len(days) else 0.0
    rng = np.random.default_rng([*seed, 0])
    rates = pace.draws(golfer.samples, rng)
    grid = np.concatenate([chunk_days(pace.mean, chunk) for chunk in range(chunks(last))])
    parts = [half_year(golfer, rates, pace, chunk, [*seed, 1, chunk]) for chunk in range(chunks(last))]
    reach = int(np.searchsorted(grid, last)) + 1  # the day after the last one asked is the last one needed
    grid, shocks = grid[:reach], side_by_side([part[0] for part in parts])[:, :, :reach]
    form = form_path(golfer, grid, shocks[0]) + drift_path(golfer, grid, shocks[1])
    luck = side_by_side([part[1] for part in parts])[:, :reach]
    steady = steady_path(golfer, np.concatenate([grid, days]), hours)
    scores = steady[:, :reach] + form + luck
    happened = side_by_side([part[2] for part in parts])[:, :reach]
    place = np.searchsorted(grid, days)
    mean = steady[:, reach:] + form_between(golfer, days, grid, form)
    noise = luck[:, np.minimum(place, len(grid) - 1)]
    now = np.nan if state.index is None else state.index / 10.0
    index = np.full((golfer.samples, len(days)), now)
    if pace.mean > 0:
        ordinals = (golfer.as_of + EPOCH_ORDINAL + grid).astype(np.int64)
        paths = index_paths(state, ordinals, np.where(happened, scores, np.nan))
        latest = np.searchsorted(grid, days, side="right") - 1
        reached = latest >= 0
        index[:, reached] = paths[:, latest[reached]]
    return Ahead(days, mean, mean + noise, index, pace)


def half_year(
    golfer: GolferDraws, rates: FLOATS, pace: Pace, chunk: int, seed: list[int]
) -> tuple[FLOATS, FLOATS, npt.NDArray[np.bool_]]:
    """Luck of one half year: shocks of form and drift (2, S, T), strokes of course and round, days.

    Each half year has a random stream of its own, so that an answer for one date does not depend on which
    other dates were asked.
    """
    rng = np.random.default_rng(seed)
    days = chunk_days(pace.mean, chunk)
    season = season_on(pace.season, golfer.as_of + days.astype(np.int64))
    shape = (golfer.samples, len(days))
    courses = golfer.population["course_effect"]
    course = np.take_along_axis(courses, rng.integers(courses.shape[1], size=shape), axis=1)
    luck = course + golfer.noise[:, None] * round_noise(shape, rng)
    return rng.standard_normal(size=(2, *shape)), luck, played_on(days, rates, season, rng)


def side_by_side[T: np.generic](parts: list[npt.NDArray[T]]) -> npt.NDArray[T]:
    """Put half years one after the other along their last axis; one alone is not copied."""
    return parts[0] if len(parts) == 1 else np.concatenate(parts, axis=-1)


def form_between(golfer: GolferDraws, days: FLOATS, grid: FLOATS, form: FLOATS) -> FLOATS:
    """Form on the asked days, straight between today and the days of the grid, shape (S, H)."""
    steady_grid = np.concatenate([[0.0], grid])
    form = np.hstack([golfer.form[:, None], form])
    right = np.clip(np.searchsorted(steady_grid, days), 1, len(steady_grid) - 1)
    gap = steady_grid[right] - steady_grid[right - 1]
    share = np.clip((days - steady_grid[right - 1]) / gap, 0.0, 1.0)
    between: FLOATS = form[:, right - 1] * (1.0 - share) + form[:, right] * share
    return between


def forecast(
    club: Any,
    golfer: str | None = None,
    weeks: tuple[int, ...] = DEFAULT_WEEKS,
    plan: str | None = None,
    rounds_per_month: float | None = None,
    goal: float | None = None,
    by: date | None = None,
    as_of: date | None = None,
    anyway: bool = False,
) -> Forecast:
    """Forecast every golfer (or one) from the latest stored fit.

    Parameters
    ----------
    club : Club
    golfer : str, optional
    weeks : tuple of int
        Horizons, each counted from the as-of day.
    plan : str, optional
        Name of a plan in the plans table; default is to keep doing the same.
    rounds_per_month : float, optional
        Assumed rate of counting rounds; default is the golfer's own.
    goal, by : float and date, optional
        Handicap index to reach (a plus handicap is negative) and the date.
    as_of : date, optional
        Count horizons from this day instead of the latest day of the data; not before it.
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.

    Raises
    ------
    InputError
        For an unknown golfer or plan, or a date that cannot be answered.
    NotReportableError
        When the fit is not healthy.

    Examples
    --------
    ``anyway`` because the club of this example is small and its fit short.

    >>> from paryield.club import Club
    >>> with Club.open("club.db") as club:
    ...     ahead = forecast(club, golfer="G01", weeks=(4, 12), anyway=True).to_frame()
    >>> index = ahead[ahead["quantity"] == "handicap_index"].set_index("weeks")
    >>> index[["q10", "q50", "q90"]].shape
    (2, 3)
    >>> bool((index["q10"] < index["q90"]).all())
    True
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    return forecast_tables(
        posterior,
        club.tables(),
        golfer=golfer,
        weeks=weeks,
        plan=plan,
        rate=rounds_per_month,
        goal=goal,
        by=by,
        as_of=as_of,
        banner=banner,
    )


def gate(posterior: Posterior, anyway: bool) -> str:
    """Return the banner of an answer, or refuse it.

    Raises
    ------
    NotReportableError
        When the fit is not healthy and the answer was not asked for anyway.
    """
    health = posterior.facts["health"]
    if health["ok"]:
        return ""
    if anyway:
        return BANNER
    bad = [line for line in health["lines"] if not line["ok"]]
    if bad:
        first = bad[0]
        who = f" of {first['element']}" if first["element"] else ""
        least = min(first["ess_bulk"], first["ess_tail"])
        what = f"{first['quantity']}{who} has R-hat {first['rhat']:.3f} and {least:.0f} effective draws"
        remedy = first["remedy"]
    else:
        what = f"{health['divergences']} divergent draws"
        remedy = "the model does not suit these records; look at what paryield check says of them"
    raise NotReportableError(
        f"the fit is not healthy enough to report: {what}",
        where="health gate",
        remedy=f"{remedy}; paryield health CLUB shows all, --anyway prints under a banner",
    )


def forecast_tables(
    posterior: Posterior,
    tables: Tables,
    *,
    golfer: str | None = None,
    weeks: tuple[int, ...] = DEFAULT_WEEKS,
    plan: str | None = None,
    rate: float | None = None,
    goal: float | None = None,
    by: date | None = None,
    as_of: date | None = None,
    banner: str = "",
    because: bool = True,
) -> Forecast:
    """Forecast from a fit and tables; see :func:`forecast`. ``because`` splits the change by its causes."""
    start = _start(posterior, as_of)
    horizons = _horizons(posterior, start, weeks, goal, by)
    ids = chosen(posterior, golfer)
    paces = club_paces(tables, posterior.golfers, posterior.as_of)
    notes = early_notes(posterior, paces.values() if rate is None else ())
    records: list[dict[str, Any]] = []
    draws: dict[str, Ahead] = {}
    as_usual: dict[str, Ahead] = {}
    kept = club_adherence(posterior, tables, ids) if plan is not None else None
    if plan is not None and kept is None:
        notes.append(NOT_LEARNT)
    for golfer_id in ids:
        own = golfer_draws(posterior, golfer_id)
        hours, said = plan_hours(tables, posterior, golfer_id, plan, start)
        notes.extend(said)
        record = own_record(tables, golfer_id)
        state = IndexState() if record is None else index_state(record)
        begun = state.index is not None or _counts(tables, golfer_id)
        pace = paces[golfer_id] if rate is None else Pace(rate, None, np.ones(12))
        seed = [int(posterior.facts["seed"]), posterior.seed_of(golfer_id)]
        days = np.array([day for day, _ in horizons], dtype=float)
        ahead = look_ahead(own, state, days, hours, pace, seed)
        draws[golfer_id] = ahead
        found = _records(golfer_id, posterior.as_of, start, horizons, ahead, begun, goal, by)
        if goal is not None:
            for answer in found:
                if answer.get("goal") is not None:
                    answer["reached"] = reached(state, goal)
        if because:
            parts = change_ahead(own, days, hours, ahead.mean)
            for number, one in enumerate(found):
                one["because"] = because_records(parts, number // len(QUANTITIES))
        if kept is not None and has_plan(tables, golfer_id, plan):
            done = usual_plan(posterior, kept, golfer_id, hours)
            other = look_ahead(own, state, days, done.hours, pace, seed)
            as_usual[golfer_id] = other
            also = _records(golfer_id, posterior.as_of, start, horizons, other, begun, goal, by)
            found = beside_plan(found, also, done)
        records.extend(found)
    if banner:
        records = [{"reason": banner, **record} for record in records]
    return Forecast(records, draws, banner, tuple(dict.fromkeys(notes)), as_usual)


def _counts(tables: Tables, golfer_id: str) -> bool:
    """Whether a golfer has a round that counts for the index."""
    return bool(own_frame(tables, "rounds", golfer_id)["counts_for_index"].fillna(True).any())


def reached(state: IndexState, goal: float) -> bool:
    """Whether the index in force is at the goal or below it today."""
    return state.index is not None and state.index / 10.0 <= goal + 1e-9


def _stamp(day: int) -> pd.Timestamp:
    return pd.Timestamp(np.datetime64(day, "D"))


def _day(on: date) -> int:
    return on.toordinal() - EPOCH_ORDINAL


def _start(posterior: Posterior, as_of: date | None) -> int:
    if as_of is None:
        return posterior.as_of
    if _day(as_of) < posterior.as_of:
        raise InputError(
            f"{as_of.isoformat()} is before the last day of the fit, {_stamp(posterior.as_of).date()}",
            where="--as-of",
            remedy="give that day or a later one; earlier days are answered by paryield backtest",
        )
    return _day(as_of)


def chosen(posterior: Posterior, golfer: str | None) -> list[str]:
    """Return the golfers asked for: all of the fit, or the one named; InputError for one it does not know."""
    if golfer is None:
        return posterior.golfers
    if golfer not in posterior.golfers:
        raise InputError(
            f"the fit knows no golfer {golfer!r}",
            where="--golfer",
            remedy=f"use one of {', '.join(posterior.golfers[:8])}"
            + (" ..." if len(posterior.golfers) > 8 else "")
            + ", or fit again if the golfer is new",
        )
    return [golfer]


def _horizons(
    posterior: Posterior, start: int, weeks: tuple[int, ...], goal: float | None, by: date | None
) -> list[tuple[float, int | None]]:
    """Days after the fit's as-of day and the number of weeks each stands for, rising."""
    bad = [week for week in weeks if week < 0 or week > 260]
    if bad:
        raise InputError(f"{bad[0]} weeks cannot be answered", where="--weeks", remedy="use 0 to 260")
    if (goal is None) != (by is None):
        raise InputError(
            "a goal needs both --goal and --by", where="--goal", remedy="give the index and the date"
        )
    offset = start - posterior.as_of
    found: dict[float, int | None] = {float(offset + 7 * week): week for week in sorted(set(weeks))}
    if by is not None:
        ahead = _day(by) - posterior.as_of
        if ahead < 0:
            raise InputError(
                f"{by.isoformat()} is before the last day of the data, {_stamp(posterior.as_of).date()}",
                where="--by",
                remedy="give a later date",
            )
        found.setdefault(float(ahead), None)
    return sorted(found.items())


def _records(
    golfer_id: str,
    last_day: int,
    start: int,
    horizons: list[tuple[float, int | None]],
    ahead: Ahead,
    begun: bool,
    goal: float | None,
    by: date | None,
) -> list[dict[str, Any]]:
    out = []
    for place, (day, week) in enumerate(horizons):
        on = date.fromordinal(last_day + int(day) + EPOCH_ORDINAL)
        values = dict(zip(QUANTITIES, (ahead.mean, ahead.one_round, ahead.index), strict=True))
        for quantity in QUANTITIES:
            sample = values[quantity][:, place]
            record: dict[str, Any] = {
                "golfer_id": golfer_id,
                "as_of": date.fromordinal(start + EPOCH_ORDINAL).isoformat(),
                "on": on.isoformat(),
                "weeks": week if week is not None else round((last_day + day - start) / 7, 1),
                "quantity": quantity,
                "rounds_per_month": round(ahead.pace.expected(last_day, day), 2),
            }
            record |= _summarised(sample, begun, ahead.pace.mean, quantity)
            if goal is not None and by == on and quantity == "handicap_index":
                chance = float(np.mean(sample <= goal + 1e-9)) if record["reportable"] else None
                record |= {"goal": goal, "by": by.isoformat(), "chance": chance}
            out.append(record)
    return out


def _summarised(sample: FLOATS, begun: bool, rate: float, quantity: str) -> dict[str, Any]:
    missing = float(np.mean(np.isnan(sample)))
    reason = ""
    if not begun and quantity == "handicap_index":
        reason = "no counting round yet, so there is no index to start from"
    elif missing > MOST_MISSING:
        reason = "fewer than 54 holes by then at this pace, so there may be no index"
    elif rate <= 0 and quantity == "handicap_index":
        reason = "no counting round in the last half year, so the index stays; set the rounds a month"
    if reason:
        return {"reportable": False, "reason": reason, **dict.fromkeys(QUANTILES), "mean": None}
    return {"reportable": True, **summary(sample[~np.isnan(sample)])}

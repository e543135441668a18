"""Forecasts: mean differential, one round and the index in force, by golfer and date."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast.adherence import NOT_LEARNT, beside_plan, club_adherence, usual_plan
from paryield.forecast.ahead import EPOCH_ORDINAL, Ahead, look_ahead
from paryield.forecast.gate import gate
from paryield.forecast.habits import has_plan, plan_hours
from paryield.forecast.once import own_frame, own_record
from paryield.forecast.outlook import golfer_draws
from paryield.forecast.rounds import Pace, club_paces, early_notes
from paryield.forecast.split import because_records, change_ahead
from paryield.posterior import Posterior
from paryield.results import QUANTILES, summary
from paryield.scoring import IndexState, index_state
from paryield.tables import Tables

DEFAULT_WEEKS = (4, 12, 26)
QUANTITIES = ("mean_differential", "score_differential", "handicap_index")
MOST_MISSING = 0.025
"""Share of draws that may have no index (fewer than 54 holes by then) before it is not reportable."""


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

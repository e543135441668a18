"""Saved plans: on record, taken over by another golfer or for other weeks, ended, and laid out as a week."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast.habits import weekly_minutes
from paryield.plan.advised import Advice
from paryield.plan.phases import Week
from paryield.plan.sessions import session_rows, short_notes
from paryield.tables import Tables
from paryield.tables.frames import once
from paryield.units import MINUTES_PER_HOUR

RUNNING, AHEAD, OVER = "running", "to come", "over"


@dataclass(frozen=True)
class Saved:
    """One golfer's part of a plan.

    Parameters
    ----------
    plan, golfer_id : str
    starts_on, ends_on : date
        First and last day.
    state : str
        :data:`RUNNING`, :data:`AHEAD` or :data:`OVER` on the day asked for.
    hours : dict of str to float
        Weekly hours by category that the plan holds on that day, or at its start or end.
    """

    plan: str
    golfer_id: str
    starts_on: date
    ends_on: date
    state: str
    hours: dict[str, float]

    def record(self) -> dict[str, Any]:
        """As the command writes it."""
        return {
            "plan": self.plan,
            "golfer_id": self.golfer_id,
            "starts_on": self.starts_on.isoformat(),
            "ends_on": self.ends_on.isoformat(),
            "state": self.state,
            "hours": round(sum(self.hours.values()), 2),
            "week": {name: round(hours, 2) for name, hours in self.hours.items()},
        }


def saved_plans(
    tables: Tables, day: date, *, golfer: str | None = None, plans: tuple[str, ...] = ()
) -> list[Saved]:
    """Return the plans on record, the latest first.

    Parameters
    ----------
    tables : Tables
    day : date
        On which they run, are to come, or are over.
    golfer : str, optional
        Only his.
    plans : tuple of str
        Only these; all when empty.

    Raises
    ------
    InputError
        When no plan of a name is on record.
    """
    rows = tables.plans if golfer is None else tables.plans[tables.plans["golfer_id"] == golfer]
    known = sorted(set(rows["plan"]))
    for name in plans:
        if name not in known:
            remedy = (
                f"on record are {', '.join(known)}" if known else "save one first, or import a plans table"
            )
            raise InputError(f"there is no plan {name!r}", where="--plan", remedy=remedy)
    rows = rows[rows["plan"].isin(list(plans))] if plans else rows
    found = [
        _saved(tables, str(plan), str(who), part, day)
        for (plan, who), part in rows.groupby(["plan", "golfer_id"], sort=True)
    ]
    return sorted(found, key=lambda one: (-one.starts_on.toordinal(), one.plan, one.golfer_id))


def _saved(tables: Tables, plan: str, golfer: str, rows: pd.DataFrame, day: date) -> Saved:
    first, last = rows["starts_on"].min().date(), rows["ends_on"].max().date()
    state = AHEAD if first > day else OVER if last < day else RUNNING
    on = pd.Timestamp(max(first, min(day, last)))
    hours: dict[str, float] = {}
    for row in rows.to_dict("records"):
        minutes = weekly_minutes(tables, str(row["category"]), row["minutes_per_week"], row["reps_per_week"])
        if row["starts_on"] <= on <= row["ends_on"] and minutes is not None:
            name = str(row["category"])
            hours[name] = hours.get(name, 0.0) + minutes / MINUTES_PER_HOUR
    return Saved(plan, golfer, first, last, state, hours)


def taken_over(
    tables: Tables, plan: str, source: str, *, name: str, golfer: str, start: date
) -> pd.DataFrame:
    """Return the rows of a golfer's plan as those of another plan, golfer or first day; as long as before.

    Raises
    ------
    InputError
        When there is no such plan, or the new one is on record already.
    """
    rows = tables.plans[(tables.plans["plan"] == plan) & (tables.plans["golfer_id"] == source)]
    if rows.empty:
        raise InputError(f"{source} has no plan {plan!r}", where="--take", remedy="name one that is listed")
    held = tables.plans[(tables.plans["plan"] == name) & (tables.plans["golfer_id"] == golfer)]
    if len(held):
        raise InputError(
            f"{golfer} has a plan {name!r} already", where="--as", remedy="give the new one another name"
        )
    moved = pd.Timestamp(start) - rows["starts_on"].min()
    return rows.assign(
        plan=name, golfer_id=golfer, starts_on=rows["starts_on"] + moved, ends_on=rows["ends_on"] + moved
    )


def ended(tables: Tables, plan: str, day: date, *, golfer: str | None = None) -> pd.DataFrame:
    """Return the rows of a plan that a last day changes, with that day.

    Raises
    ------
    InputError
        When there is no such plan, it begins later, or is over by then.
    """
    rows = tables.plans[tables.plans["plan"] == plan]
    rows = rows if golfer is None else rows[rows["golfer_id"] == golfer]
    if rows.empty:
        raise InputError(f"there is no plan {plan!r}", where="--end", remedy="name one that is listed")
    last = pd.Timestamp(day)
    if (rows["starts_on"] > last).all():
        raise InputError(
            f"the plan {plan!r} begins after {day.isoformat()}",
            where="--on",
            remedy=f"give {rows['starts_on'].min().date().isoformat()} or a later day",
        )
    open_rows = rows[(rows["starts_on"] <= last) & (rows["ends_on"] > last)]
    if open_rows.empty:
        raise InputError(
            f"the plan {plan!r} is over by {day.isoformat()}", where="--on", remedy="nothing to do"
        )
    return open_rows.assign(ends_on=last)


@dataclass(frozen=True)
class KeptWeek:
    """What a golfer has settled on.

    Parameters
    ----------
    plan : str
        Name of the plan.
    ends_on : date
        Its last day.
    sessions : list of dict
        Records like ``sessions`` of an advised week: on, category, minutes, reps.
    notes : list of str
        Which practice is too short for a session of its own.
    starts_on : date, optional
        Its first day.
    hours : dict of str to float
        Weekly hours by category inside the limits on file.
    """

    plan: str
    ends_on: date
    sessions: list[dict[str, Any]] = field(repr=False)
    notes: list[str] = field(default_factory=list)
    starts_on: date | None = None
    hours: dict[str, float] = field(default_factory=dict)


def running_plan(tables: Tables, golfer_id: str, day: date) -> Saved | None:
    """Return the plan of a golfer that runs on a day and after it; of several, the one begun last."""
    planned = once(tables, "planned", lambda: frozenset(map(str, tables.plans["golfer_id"].dropna())))
    if golfer_id not in planned:
        return None
    found = [one for one in saved_plans(tables, day, golfer=golfer_id) if runs_on(one, day)]
    return max(found, key=lambda one: (one.starts_on, one.ends_on), default=None)


def runs_on(plan: Saved, day: date) -> bool:
    """Whether a plan runs on a day and does not end with it."""
    return plan.state == RUNNING and plan.ends_on > day


@dataclass(frozen=True)
class Ahead:
    """What of an advised week any plan of the golfer is laid out in: weeks with phases, and limits.

    ``shares`` and ``ceiling`` are those of :class:`Advice`.
    """

    golfer_id: str
    names: tuple[str, ...]
    weeks: tuple[Week, ...]
    shares: FLOATS = field(repr=False)
    ceiling: FLOATS = field(repr=False)


def ahead_of(advice: Advice) -> Ahead:
    """Return what a plan of the golfer is laid out in."""
    return Ahead(advice.golfer_id, advice.names, advice.weeks, advice.shares, advice.bounds.ceiling)


def kept_week(tables: Tables, advice: Advice | Ahead, day: date) -> KeptWeek | None:
    """Return the week of the plan that runs on a day, inside the limits on file; None without one.

    Parameters
    ----------
    tables : Tables
    advice : Advice or Ahead
        Of the same golfer and day: the weeks ahead with their phases, and the limits.
    day : date

    Notes
    -----
    A category of the plan that the fit does not know has no session.
    """
    ahead = advice if isinstance(advice, Ahead) else ahead_of(advice)
    plan = running_plan(tables, ahead.golfer_id, day)
    if plan is None:
        return None
    hours = np.minimum(np.array([plan.hours.get(name, 0.0) for name in ahead.names]), ahead.ceiling)
    categories = [tables.category(name) for name in ahead.names]
    rows = session_rows(ahead.weeks, ahead.shares, categories, hours, {}, ahead.ceiling)
    if not rows:
        return None
    weekly = {name: value for name, value in zip(ahead.names, hours.tolist(), strict=True) if value > 0}
    notes = short_notes(ahead.names, hours, {})
    return KeptWeek(plan.plan, plan.ends_on, rows, notes, plan.starts_on, weekly)

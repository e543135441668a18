"""The week of a plan that somebody saved: its sessions, laid out like those of an advised week."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np

from paryield.plan.advice import Advice
from paryield.plan.saved import RUNNING, Saved, saved_plans
from paryield.plan.sessions import session_rows, short_notes
from paryield.tables import Tables
from paryield.tables.frames import once


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
    """

    plan: str
    ends_on: date
    sessions: list[dict[str, Any]] = field(repr=False)
    notes: list[str] = field(default_factory=list)


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


def kept_week(tables: Tables, advice: Advice, day: date) -> KeptWeek | None:
    """Return the week of the plan that runs on a day, inside the limits on file; None without one.

    Parameters
    ----------
    tables : Tables
    advice : Advice
        Of the same golfer and day: the weeks ahead with their phases, and the limits.
    day : date

    Notes
    -----
    A category of the plan that the fit does not know has no session.
    """
    plan = running_plan(tables, advice.golfer_id, day)
    if plan is None:
        return None
    planned = np.array([plan.hours.get(name, 0.0) for name in advice.names])
    hours = np.minimum(planned, advice.bounds.ceiling)
    rows = session_rows(
        advice.weeks,
        advice.shares,
        [tables.category(name) for name in advice.names],
        hours,
        {},
        advice.bounds.ceiling,
    )
    return KeptWeek(plan.plan, plan.ends_on, rows, short_notes(advice.names, hours, {})) if rows else None

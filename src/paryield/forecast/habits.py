"""Weekly hours that a forecast assumes: the golfer's own, those of a plan, and what a therapist allows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast.once import club_of, own_frame
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR


def habit_hours(posterior: Posterior, golfer_id: str) -> FLOATS:
    """Hours a week by category over the golfer's last known weeks, shape (J,); the phantom has none."""
    recent: FLOATS = posterior.constant("recent")[posterior.golfer_number(golfer_id)]
    return recent


def plan_hours(
    tables: Tables, posterior: Posterior, golfer_id: str, plan: str | None, start: int
) -> tuple[FLOATS, list[str]]:
    """Hours a week by category under a plan, or the golfer's habit when no plan is named.

    A plan states the whole week: a category that it does not name gets nothing.

    Returns
    -------
    hours : array, shape (J,)
    notes : list of str
        What was left out, if anything.
    """
    if plan is None:
        return habit_hours(posterior, golfer_id), []
    plans = tables.plans
    named = plans[plans["plan"] == plan]
    if named.empty:
        known = sorted(set(plans["plan"].dropna()))
        raise InputError(
            f"the club has no plan {plan!r}",
            where="--plan",
            remedy=f"use one of {', '.join(known)}" if known else "add a plans table and import it",
        )
    mine = named[named["golfer_id"] == golfer_id]
    if mine.empty:
        return habit_hours(posterior, golfer_id), [
            f"{golfer_id} has no plan {plan!r}: forecast with the present habit"
        ]
    day = pd.Timestamp(np.datetime64(start, "D"))
    running = mine[(mine["ends_on"].isna()) | (mine["ends_on"] >= day)]
    hours = np.zeros(len(posterior.categories))
    notes = []
    for row in running.to_dict("records"):
        name = str(row["category"])
        minutes = weekly_minutes(tables, name, row["minutes_per_week"], row["reps_per_week"])
        if name not in posterior.categories:
            notes.append(f"plan {plan!r}: {name} is not in the fit, nobody practised it; left out")
        elif minutes is None:
            notes.append(f"plan {plan!r}: {name} has repetitions but no pace to turn them into minutes")
        else:
            hours[posterior.categories.index(name)] += minutes / MINUTES_PER_HOUR
    return hours, notes


def has_plan(tables: Tables, golfer_id: str, plan: str | None) -> bool:
    """Tell whether the plans table holds this plan for the golfer."""
    plans = tables.plans
    return bool(((plans["plan"] == plan) & (plans["golfer_id"] == golfer_id)).any())


def weekly_minutes(tables: Tables, name: str, minutes: Any, reps: Any) -> float | None:
    """Minutes a week of a plan's row, from its repetitions at the category's pace; None when unknown."""
    if not pd.isna(minutes):
        return float(minutes)
    pace = tables.category(name).minutes_per_100_reps
    if pd.isna(reps) or pace is None:
        return None
    return float(reps) * pace / 100.0


def limit_hours(tables: Tables, golfer_id: str, names: Sequence[str], as_of: date, weeks: int) -> FLOATS:
    """Most weekly hours of each category that the limits allow at any time of the weeks after a day.

    Parameters
    ----------
    tables : Tables
    golfer_id : str
    names : sequence of str
        Categories.
    as_of : date
        The day before the first one looked at.
    weeks : int

    Returns
    -------
    array, shape (J,)
        Hours; infinite where there is no limit.
    """
    limits = own_frame(club_of(tables), "limits", golfer_id)
    if limits.empty:
        return np.full(len(names), math.inf)
    first, last = pd.Timestamp(as_of + timedelta(days=1)), pd.Timestamp(as_of + timedelta(days=7 * weeks))
    running = limits[
        (limits["starts_on"] <= last) & (limits["ends_on"].isna() | (limits["ends_on"] >= first))
    ]
    least = running.groupby("category")["most_minutes_per_week"].min()
    return np.array([float(least.get(name, math.inf)) / MINUTES_PER_HOUR for name in names])

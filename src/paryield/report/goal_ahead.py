"""A golfer's forecast with his goal and its chance: the same for his page and for the list of the club."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

import pandas as pd

from paryield.days import date_of
from paryield.forecast import forecast_tables
from paryield.forecast.once import own_record
from paryield.posterior import Posterior
from paryield.report.views import Goal
from paryield.report.words import index_text, missing
from paryield.tables import Tables


def looked_ahead(
    posterior: Posterior,
    tables: Tables,
    person: Mapping[Any, Any],
    weeks: tuple[int, ...],
    *,
    because: bool = True,
) -> tuple[list[dict[str, Any]], Goal | None]:
    """Return the forecast of one golfer for some weeks ahead, and the goal on file with its chance.

    Parameters
    ----------
    posterior : Posterior
    tables : Tables
    person : mapping
        The golfer's row.
    weeks : tuple of int
    because : bool
        Whether the records say why the average round moves.
    """
    golfer, today = str(person["golfer_id"]), date_of(posterior.as_of)
    aim, by = goal_of(person, today)
    asked = aim is not None and by > today
    found = forecast_tables(
        posterior,
        tables,
        golfer=golfer,
        weeks=weeks,
        goal=aim if asked else None,
        by=by if asked else None,
        because=because,
    ).records
    records = [record for record in found if record["weeks"] in weeks]
    if aim is None:
        return records, None
    if not asked:
        record = own_record(tables, golfer)
        return records, passed_goal(aim, by, None if record is None else record.index)
    answer = next(record for record in found if record.get("goal") is not None)
    return records, Goal(aim, by, answer["chance"], answer.get("reason") or "", bool(answer["reached"]))


def goal_of(person: Mapping[Any, Any], today: date) -> tuple[float | None, date]:
    """Return the goal on file and its date; one without a date is meant for a year from now."""
    aim, by = person["goal_index"], person["goal_on"]
    due = today + timedelta(weeks=52) if pd.isna(by) else pd.Timestamp(by).date()
    return None if pd.isna(aim) else float(aim), due


def passed_goal(aim: float, by: date, index: float | None) -> Goal:
    """Return a goal whose date has passed, with the index of today beside it."""
    if missing(index):
        return Goal(aim, by, None, "not known whether it was reached; set a new one", passed=True)
    met = round(float(index or 0.0), 1) <= round(aim, 1)
    said = f"{'reached' if met else 'not reached'} (the index now is {index_text(index)}); set a new one"
    return Goal(aim, by, None, said, passed=True)

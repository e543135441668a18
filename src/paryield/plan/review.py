"""What happened to a golfer since the last review: planned and done, change and its causes, tests, goal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from paryield.dose.diary import Diary, days_since_epoch, fill_minutes
from paryield.errors import InputError
from paryield.forecast.adherence import planned_by_day
from paryield.forecast.past import club_diary
from paryield.plan.change import EPOCH, split_fit
from paryield.posterior import Posterior
from paryield.results import summary
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR

NEXT_DAYS = (28, 42)
"""Days to the next review: four to six weeks (common practice, no source)."""
DRAWS = 4000
LEAST_DAYS = 7
"""Days of a plan from which it is said how it was kept: plans are made by the week."""


@dataclass(frozen=True)
class Review:
    """One golfer since the last review.

    Parameters
    ----------
    golfer_id : str
    since, until : date
        First day left out, last day included.
    practice : list of dict
        category, hours_planned (None without a plan), hours_done (of all entries that say how long),
        hours_kept (of them on the days for which a plan was on record).
    days_unknown : int
        Days of the period that the diary leaves open: nothing was written, or not how long.
    days_planned : int
        Days of the period for which a plan was on record.
    split : list of dict
        Records of :func:`paryield.plan.split` for the period.
    tests : list of dict
        test, distance_ft, unit, before_on, after_on, before, after, change (quantiles or None),
        chance_better (or None): shares for counted tests, else values.
    next_from, next_to : date
        When to review next.
    """

    golfer_id: str
    since: date
    until: date
    practice: list[dict[str, Any]]
    days_unknown: int
    split: list[dict[str, Any]] = field(repr=False)
    tests: list[dict[str, Any]] = field(repr=False)
    next_from: date
    next_to: date
    days_planned: int = 0


def review_tables(
    posterior: Posterior,
    tables: Tables,
    golfer: str,
    *,
    since: date | None = None,
    diary: Diary | None = None,
) -> Review:
    """Review a golfer from a fit and tables.

    Parameters
    ----------
    posterior : Posterior
    tables : Tables
    golfer : str
    since : date, optional
        Day of the last review; default six weeks before the last day of the data.
    diary : Diary, optional
        The club's diary where it was read already.

    Raises
    ------
    InputError
        For an unknown golfer, or a day outside his record.
    """
    found = split_fit(posterior, tables, golfer, since=since)
    if not found.records:
        raise InputError("nothing can be reviewed", where=golfer, remedy="import rounds and fit again")
    first, last = (date.fromisoformat(found.records[0][name]) for name in ("from", "to"))
    known = diary or club_diary(posterior, tables)
    practice, unknown, planned = planned_and_done(tables, known, golfer, first, last)
    return Review(
        golfer_id=golfer,
        since=first,
        until=last,
        practice=practice,
        days_unknown=unknown,
        days_planned=planned,
        split=found.records,
        tests=compare_tests(tables, golfer, first, last, int(posterior.facts["seed"])),
        **next_review(tables, golfer, last),
    )


def planned_and_done(
    tables: Tables, diary: Diary, golfer: str, since: date, until: date
) -> tuple[list[dict[str, Any]], int, int]:
    """Hours planned and done by category in a period, days that the diary leaves open, days with a plan.

    What is on record counts, also in a week of which another entry does not say how long it was.
    A plan that has run for less than a week is none yet: nothing can be said of how it is kept.
    """
    names = [category.name for category in tables.categories]
    number = diary.golfers.index(golfer)
    inside = slice(
        since.toordinal() - EPOCH + 1 - diary.first_day, until.toordinal() - EPOCH + 1 - diary.first_day
    )
    known = diary.known[number, inside]
    by_day = planned_by_day(tables, diary, names)[number, inside]
    running = by_day.sum(axis=1) > 0
    has_plan = int(running.sum()) >= LEAST_DAYS
    planned = by_day.sum(axis=0) if has_plan else np.zeros(len(names))
    done, kept = dict.fromkeys(names, 0.0), dict.fromkeys(names, 0.0)
    for name, day, hours in _entries(tables, golfer):
        place = day - (inside.start + diary.first_day)
        if name in done and 0 <= place < len(running):
            done[name] += hours
            kept[name] += hours * bool(running[place])
    rows = [
        {
            "category": name,
            "hours_planned": round(float(planned[place]), 2) if has_plan else None,
            "hours_done": round(done[name], 2),
            "hours_kept": round(kept[name], 2) if has_plan else None,
        }
        for place, name in enumerate(names)
        if planned[place] > 0 or done[name] > 0
    ]
    return rows, int((~known).sum()), int(running.sum())


def _entries(tables: Tables, golfer: str) -> Iterator[tuple[str, int, float]]:
    """Yield category, day since 1970-01-01 and hours of a golfer's entries that say how long they were."""
    mine = tables.practice[tables.practice["golfer_id"] == golfer]
    entries = mine[mine["state"].fillna("done") == "done"]
    minutes, _ = fill_minutes(entries, {one.name: one for one in tables.categories})
    days = days_since_epoch(entries["practised_on"])
    for name, day, spent in zip(entries["category"], days, minutes, strict=True):
        if not np.isnan(spent):
            yield str(name), int(day), float(spent) / MINUTES_PER_HOUR


def compare_tests(tables: Tables, golfer: str, since: date, until: date, seed: int) -> list[dict[str, Any]]:
    """Each test's last result up to a day against the last one after it, with the error of the change.

    Counted tests: chance of success before and after, each a beta law after Jeffreys' prior (Jeffreys 1946,
    from memory). A test with one value each time says nothing of its own error.
    """
    frame = tables.assessments[tables.assessments["golfer_id"] == golfer]
    start, end = pd.Timestamp(since), pd.Timestamp(until)
    rows = []
    for key, group in frame.groupby(["test", "distance_ft"], dropna=False, sort=True):
        ordered = group.sort_values("assessed_on")
        early, late = (
            ordered[ordered["assessed_on"] <= start],
            ordered[(ordered["assessed_on"] > start) & (ordered["assessed_on"] <= end)],
        )
        if len(early) and len(late):
            rows.append(_compared(key, early.iloc[-1], late.iloc[-1], seed))
    return rows


def _compared(key: Any, before: pd.Series, after: pd.Series, seed: int) -> dict[str, Any]:
    test, distance = key
    row: dict[str, Any] = {
        "test": str(test),
        "distance_ft": None if pd.isna(distance) else float(distance),
        "unit": None,
        "before_on": before["assessed_on"].date(),
        "after_on": after["assessed_on"].date(),
        "change": None,
        "chance_better": None,
    }
    counted = [
        not pd.isna(one["tried"]) and one["tried"] > 0 and not pd.isna(one["made"]) for one in (before, after)
    ]
    if all(counted):
        rng = np.random.default_rng([seed, 14])
        drawn = [
            rng.beta(float(one["made"]) + 0.5, float(one["tried"] - one["made"]) + 0.5, size=DRAWS)
            for one in (before, after)
        ]
        change = drawn[1] - drawn[0]
        shares = [f"{int(one['made'])} of {int(one['tried'])}" for one in (before, after)]
        return row | {
            "before": shares[0],
            "after": shares[1],
            "change": summary(change),
            "chance_better": float(np.mean(change > 0)),
        }
    values = [None if pd.isna(one["value"]) else float(one["value"]) for one in (before, after)]
    unit = after["unit"]
    return row | {"before": values[0], "after": values[1], "unit": None if pd.isna(unit) else str(unit)}


def next_review(tables: Tables, golfer: str, until: date) -> dict[str, date]:
    """When to review next: in four to six weeks, on the day a running plan ends if that falls between."""
    first, last = (until + timedelta(days=days) for days in NEXT_DAYS)
    plans = tables.plans[tables.plans["golfer_id"] == golfer]
    ends = plans["ends_on"].dropna()
    between = ends[(ends >= pd.Timestamp(first)) & (ends <= pd.Timestamp(last))]
    if len(between):
        first = last = between.min().date()
    return {"next_from": first, "next_to": last}

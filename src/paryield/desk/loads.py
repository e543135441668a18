"""How much a golfer practises and what limits are set: volumes only, no score and no result of a test."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pandas as pd

from paryield.dose.diary import fill_minutes
from paryield.report.sums import adding_up
from paryield.tables import Tables

WEEKS = 12


@dataclass(frozen=True)
class LoadWeek:
    """Minutes and repetitions of the 7 days up to ``last``, by practice category."""

    last: date
    minutes: float
    rows: tuple[tuple[str, float | None, int | None], ...]

    @property
    def shown(self) -> list[tuple[str, float | None, int | None]]:
        """The rows with whole minutes that add up to those of the week."""
        known = {name: minutes for name, minutes, _ in self.rows if minutes is not None}
        whole = dict(zip(known, adding_up(list(known.values()), 0), strict=True))
        return [(name, whole.get(name), reps) for name, _, reps in self.rows]


@dataclass(frozen=True)
class Limit:
    """Most minutes a week of a category from a day on; ``over`` is by how much the last week went beyond."""

    category: str
    starts_on: date
    ends_on: date | None
    minutes: float
    set_by: str
    note: str
    over: float


def last_day(tables: Tables) -> date:
    """Return the latest day with practice in the club, or the computer's day where there is none."""
    latest: Any = tables.practice["practised_on"].max()
    return date.today() if pd.isna(latest) else latest.date()


def load_weeks(tables: Tables, golfer_id: str, weeks: int = WEEKS) -> list[LoadWeek]:
    """Return the last weeks of a golfer's practice, newest first, counted back from the club's latest day.

    Minutes that are not on record are worked out from repetitions at the category's pace.
    """
    mine = tables.practice[tables.practice["golfer_id"] == golfer_id]
    minutes, _ = fill_minutes(mine, {category.name: category for category in tables.categories})
    mine, last = mine.assign(load=minutes), last_day(tables)
    found = []
    for back in range(weeks):
        end = pd.Timestamp(last - timedelta(weeks=back))
        on = mine["practised_on"]
        week = mine[(on > end - pd.Timedelta(days=7)) & (on <= end)]
        rows = tuple(
            (str(name), _number(group["load"]), _count(group["reps"]))
            for name, group in week.groupby("category", sort=True)
        )
        found.append(LoadWeek(end.date(), float(week["load"].sum()), rows))
    return found


def limits_of(tables: Tables, golfer_id: str) -> list[Limit]:
    """Return a golfer's limits, newest first."""
    latest = load_weeks(tables, golfer_id, 1)[0]
    done = {category: minutes or 0.0 for category, minutes, _ in latest.rows}
    mine = tables.limits[tables.limits["golfer_id"] == golfer_id].sort_values("starts_on", ascending=False)
    found = []
    for row in mine.to_dict("records"):
        starts, most = row["starts_on"].date(), float(row["most_minutes_per_week"])
        ends = None if pd.isna(row["ends_on"]) else row["ends_on"].date()
        holds = starts <= latest.last and (ends is None or ends >= latest.last)
        over = max(done.get(str(row["category"]), 0.0) - most, 0.0) if holds else 0.0
        found.append(
            Limit(str(row["category"]), starts, ends, most, _text(row["set_by"]), _text(row["note"]), over)
        )
    return found


def _number(minutes: pd.Series[Any]) -> float | None:
    return None if minutes.isna().all() else float(minutes.sum())


def _count(reps: pd.Series[Any]) -> int | None:
    return None if reps.isna().all() else int(reps.sum())


def _text(value: Any) -> str:
    return "" if pd.isna(value) else str(value)

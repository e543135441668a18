"""The weeks ahead by phase of the year, and what a phase does to the planned week.

The rules are common practice without a published source: nothing is planned in a break, full swings come
back in two lighter weeks after one, strength is loaded off season and maintained in season.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.forecast.once import club_of
from paryield.tables import Category, Tables
from paryield.tables.frames import once

OFF_SEASON, PRE_SEASON, IN_SEASON, BREAK = "off_season", "pre_season", "in_season", "break"
AFTER_BREAK = (0.5, 0.75)
"""Share of the planned full swings in the first and second week after a break (common practice, no
source)."""
MAINTAINED = 0.5
"""Share of the off season's strength hours that maintains it in season (common practice, no source)."""


@dataclass(frozen=True)
class Week:
    """One week ahead.

    Parameters
    ----------
    starts_on : date
        First of its seven days.
    phase : str or None
        Phase of the year that holds most of its days; None where the calendar says nothing.
    since_break : int or None
        Weeks since a break ended, 1 for the first; None when there was none within the horizon.
    competitions : tuple of date
        Competition days in season, of this week and the day after it.
    """

    starts_on: date
    phase: str | None
    since_break: int | None
    competitions: tuple[date, ...]


def weeks_ahead(tables: Tables, golfer_id: str, as_of: date, weeks: int) -> tuple[Week, ...]:
    """Read a golfer's next weeks from the calendar; his own rows stand before those of the whole club."""
    club = club_of(tables)
    spans = once(club, "calendar", lambda: _spans(club))
    rows = [*spans.get("", ()), *(spans.get(golfer_id, ()) if golfer_id else ())]
    back = 7 * len(AFTER_BREAK)
    first = as_of + timedelta(days=1 - back)
    phases = _phases(rows, first, back + 7 * weeks)
    raced = (one.competition_on for one in rows if one.phase == IN_SEASON)
    competitions = sorted({day for day in raced if day is not None})
    found: list[Week] = []
    since: int | None = None
    for number in range(-len(AFTER_BREAK), weeks):
        start = as_of + timedelta(days=1 + 7 * number)
        held = phases[back + 7 * number : back + 7 * number + 7]
        most = max(dict.fromkeys(held), key=held.count)
        since = 0 if most == BREAK else None if since is None else since + 1
        near = tuple(day for day in competitions if start <= day <= start + timedelta(days=7))
        if number >= 0:
            found.append(Week(start, most, since or None, near))
    return tuple(found)


@dataclass(frozen=True)
class _Span:
    """One row of the calendar."""

    starts_on: date
    ends_on: date
    phase: str
    competition_on: date | None


def _spans(tables: Tables) -> dict[str, list[_Span]]:
    """Rows of the calendar by golfer in the order of their first days; those of the whole club under ""."""
    found: dict[str, list[_Span]] = {}
    for row in tables.calendar.sort_values("starts_on", kind="stable").to_dict("records"):
        days = (row["starts_on"], row["ends_on"], row["competition_on"])
        start, end, race = (None if pd.isna(day) else day.date() for day in days)
        whose = "" if pd.isna(row["golfer_id"]) else str(row["golfer_id"])
        if start is not None and end is not None:
            found.setdefault(whose, []).append(_Span(start, end, str(row["phase"]), race))
    return found


def _phases(rows: Sequence[_Span], first: date, days: int) -> list[str | None]:
    """Phase of each day: that of the last row that holds it, so a golfer's own rows win."""
    found: list[str | None] = [None] * days
    for one in rows:
        begin, end = max((one.starts_on - first).days, 0), min((one.ends_on - first).days + 1, days)
        for place in range(begin, end):
            found[place] = one.phase
    return found


def is_full_swing(category: Category) -> bool:
    """Whether a category is made of full swings: swings that also serve the tee."""
    return category.load == "swing" and category.serves.get("off_the_tee", 0.0) > 0


def is_strength(category: Category) -> bool:
    """Whether a category is strength work."""
    return category.load == "strength"


def week_shares(weeks: Sequence[Week], categories: Sequence[Category], *, free: bool) -> FLOATS:
    """Share of the planned hours that each week takes, shape (weeks, J), between 0 and 1.

    Parameters
    ----------
    weeks : sequence of Week
    categories : sequence of Category
        Categories of the plan.
    free : bool
        Whether strength may be loaded in season too.
    """
    shares = np.ones((len(weeks), len(categories)))
    loaded_before = bool(weeks) and weeks[0].phase in (OFF_SEASON, PRE_SEASON)
    for row, week in enumerate(weeks):
        if week.phase == BREAK:
            shares[row] = 0.0
            continue
        for column, category in enumerate(categories):
            if is_full_swing(category) and week.since_break and week.since_break <= len(AFTER_BREAK):
                shares[row, column] = AFTER_BREAK[week.since_break - 1]
            if is_strength(category) and week.phase == IN_SEASON and loaded_before and not free:
                shares[row, column] = MAINTAINED
    return shares


def maintains_strength(weeks: Sequence[Week]) -> bool:
    """Whether the plan begins in season, when strength is kept up but not built."""
    return bool(weeks) and weeks[0].phase == IN_SEASON

"""The weeks ahead by phase of the year, and what a phase does to the planned week.

The rules are common practice without a published source: nothing is planned in a break, full swings come
back in two lighter weeks after one, strength is loaded off season and maintained in season.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.plan.outcome import FLOATS
from paryield.tables import Category, Tables

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
    calendar = tables.calendar
    mine = calendar["golfer_id"].fillna("") == golfer_id
    rows = pd.concat([calendar[calendar["golfer_id"].isna()], calendar[mine]])
    back = 7 * len(AFTER_BREAK)
    first = np.datetime64(as_of + timedelta(days=1 - back), "D")
    phases = _phases(rows, first + np.arange(back + 7 * weeks))
    raced = rows.loc[rows["phase"] == IN_SEASON, "competition_on"].dropna()
    competitions = sorted({stamp.date() for stamp in raced})
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


def _phases(rows: pd.DataFrame, days: npt.NDArray[np.datetime64]) -> list[str | None]:
    """Phase of each day: that of the last row that holds it, so a golfer's own rows win."""
    found: list[str | None] = [None] * len(days)
    ordered = rows.assign(own=rows["golfer_id"].notna()).sort_values(["own", "starts_on"], kind="stable")
    starts, ends = (ordered[name].to_numpy().astype("datetime64[D]") for name in ("starts_on", "ends_on"))
    for start, end, phase in zip(starts, ends, ordered["phase"], strict=True):
        for place in np.flatnonzero((days >= start) & (days <= end)):
            found[place] = str(phase)
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

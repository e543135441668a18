"""Practice diary -> hours by golfer, day and category, with unknown weeks kept apart from empty ones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.tables.categories import Category
from paryield.units import MINUTES_PER_HOUR

FLOATS = npt.NDArray[np.float64]
DAYS_PER_WEEK = 7
HABIT_PRIOR_WEEKS = 4.0
"""Weeks of the club's average that a golfer's own habit is shrunk towards (common practice, no source)."""

START_WEEKS = 26
"""Weeks at the start of a diary that say what was practised before it: what is practised later (a block, a
programme) says nothing about that. [judgement]"""
START_PRIOR_WEEKS = 4.0
"""Weeks of a golfer's habit over the whole record that those are shrunk towards. [judgement]"""


@dataclass(frozen=True)
class Diary:
    """Hours of practice on a grid of days.

    Parameters
    ----------
    golfers : tuple of str
    categories : tuple of Category
        Only those with entries in the diary.
    first_day, last_day : int
        Days since 1970-01-01, both included.
    hours : array, shape (golfer, day, category)
        Hours a day; days of unknown weeks carry the golfer's own habit, those before the first known week
        what he practised at the start of his diary.
    known : bool array, shape (golfer, day)
        False where the hours were filled in.
    habit : array, shape (golfer, category)
        Hours a week over the golfer's known weeks, shrunk towards the club's where few are known.
    start : array, shape (golfer, category)
        Hours a week at the start of the diary, see :func:`habit_at_start`; they stand for what was practised
        before it.
    recent : array, shape (golfer, category)
        Hours a week over the last 12 weeks' known weeks, the habit where fewer than 3 are known.
    has_diary : bool array, shape (golfer,)
    weeks_known, weeks_filled : int arrays, shape (golfer,)
    """

    golfers: tuple[str, ...]
    categories: tuple[Category, ...]
    first_day: int
    last_day: int
    hours: FLOATS
    known: npt.NDArray[np.bool_]
    habit: FLOATS
    start: FLOATS
    recent: FLOATS
    has_diary: npt.NDArray[np.bool_]
    weeks_known: npt.NDArray[np.int64]
    weeks_filled: npt.NDArray[np.int64]

    def __post_init__(self) -> None:
        days = self.last_day - self.first_day + 1
        shape = (len(self.golfers), days, len(self.categories))
        if self.hours.shape != shape:
            raise ValueError(f"hours must have shape {shape}, found {self.hours.shape}")
        if self.hours.size and float(self.hours.min()) < 0:
            raise ValueError("hours must not be negative")


def fill_minutes(
    practice: pd.DataFrame, categories: dict[str, Category]
) -> tuple[pd.Series[float], pd.Series[bool]]:
    """Minutes of each entry, filled from the category's pace where only reps were given.

    Returns
    -------
    minutes : Series of float
        NaN where neither can be known (reps without a pace).
    filled : Series of bool
        True where minutes came from reps.
    """
    minutes = practice["minutes"].astype("float64")
    pace = practice["category"].map(
        lambda name: categories[name].minutes_per_100_reps if name in categories else None
    )
    from_reps = practice["reps"].astype("float64") * pace.astype("float64") / 100.0
    filled = minutes.isna() & from_reps.notna()
    return minutes.where(~filled, from_reps), filled


def days_since_epoch(dates: pd.Series) -> npt.NDArray[np.int64]:
    """Whole days since 1970-01-01 of a series of dates."""
    return dates.to_numpy().astype("datetime64[D]").astype(np.int64)


def read_diary(
    practice: pd.DataFrame,
    golfers: pd.DataFrame,
    categories: tuple[Category, ...],
    starts: npt.NDArray[np.int64],
    as_of: int,
) -> Diary:
    """Turn diary entries into hours by day.

    Parameters
    ----------
    practice : DataFrame
        The practice table.
    golfers : DataFrame
        The golfers table; its order is the golfer axis. ``diary_complete`` makes weeks without rows zero.
    categories : tuple of Category
        All categories that the club knows.
    starts : int array, shape (golfer,)
        First day of each golfer's record.
    as_of : int
        Last day, in days since 1970-01-01.

    Returns
    -------
    Diary
    """
    ids = [str(golfer) for golfer in golfers["golfer_id"]]
    entries = practice[practice["golfer_id"].isin(ids)]
    state = entries["state"].fillna("done") if "state" in entries else pd.Series("done", index=entries.index)
    entries = entries.assign(state=state)
    present = set(entries.loc[entries["state"] == "done", "category"])
    used = tuple(category for category in categories if category.name in present)
    first = min(int(np.min(starts)), as_of) if len(starts) else as_of
    days = as_of - first + 1
    hours = np.zeros((len(ids), days, len(used)))
    marked = np.zeros((len(ids), days), dtype=bool)
    unknown = np.zeros((len(ids), days), dtype=bool)
    _enter(entries, ids, used, first, days, hours, marked, unknown)
    known = _known_days(marked, unknown, golfers, first, starts)
    habit, recent, weeks_known, weeks_filled = _habits(hours, known, first, starts, as_of)
    has_diary = weeks_known > 0
    start = habit_at_start(hours, known, habit)
    for row in range(len(ids)):
        begin, opened = int(starts[row]) - first, int(np.argmax(known[row]))
        if not has_diary[row]:
            hours[row, begin:] = 0.0
            continue
        hours[row, begin:opened] = start[row] / DAYS_PER_WEEK
        hours[row, opened:][~known[row, opened:]] = habit[row] / DAYS_PER_WEEK
    return Diary(
        tuple(ids),
        used,
        first,
        as_of,
        hours,
        known,
        habit,
        start,
        recent,
        has_diary,
        weeks_known,
        weeks_filled,
    )


def habit_at_start(hours: FLOATS, known: npt.NDArray[np.bool_], habit: FLOATS) -> FLOATS:
    """Hours a week over the known weeks at the start of each diary, shrunk towards the golfer's habit.

    Parameters
    ----------
    hours : array, shape (golfer, day, category)
        Hours a day.
    known : bool array, shape (golfer, day)
    habit : array, shape (golfer, category)
        Hours a week over the whole diary.

    Returns
    -------
    array, shape (golfer, category)
        What was practised before the first known week, as far as can be told; the habit where the diary is
        no longer than the weeks looked at.
    """
    day = np.arange(known.shape[1])[None, :]
    opened = np.argmax(known, axis=1)[:, None]
    early = known & (day < opened + DAYS_PER_WEEK * START_WEEKS)
    weeks = early.sum(axis=1) / DAYS_PER_WEEK + START_PRIOR_WEEKS
    total = np.einsum("ndj,nd->nj", hours, early.astype(float))
    goes_on = (known & ~early).any(axis=1)
    return np.where(goes_on[:, None], (total + START_PRIOR_WEEKS * habit) / weeks[:, None], habit)


def _enter(
    entries: pd.DataFrame,
    ids: list[str],
    used: tuple[Category, ...],
    first: int,
    days: int,
    hours: FLOATS,
    marked: npt.NDArray[np.bool_],
    unknown: npt.NDArray[np.bool_],
) -> None:
    if entries.empty:
        return
    minutes, _ = fill_minutes(entries, {category.name: category for category in used})
    row = entries["golfer_id"].map({golfer: number for number, golfer in enumerate(ids)}).to_numpy(int)
    day = days_since_epoch(entries["practised_on"]) - first
    inside = (day >= 0) & (day < days)
    is_unknown = ((entries["state"] == "unknown") | ((entries["state"] == "done") & minutes.isna())).to_numpy(
        bool
    )
    done = inside & (entries["state"] == "done").to_numpy(bool) & ~is_unknown
    column = (
        entries["category"].map({category.name: number for number, category in enumerate(used)}).fillna(-1)
    ).to_numpy(int)
    keep = done & (column >= 0)
    values = minutes.fillna(0.0).to_numpy(float)[keep] / MINUTES_PER_HOUR
    np.add.at(hours, (row[keep], day[keep], column[keep]), values)
    marked[row[inside & ~is_unknown], day[inside & ~is_unknown]] = True
    unknown[row[inside & is_unknown], day[inside & is_unknown]] = True


def _week_of(first: int, days: int) -> npt.NDArray[np.int64]:
    # 1970-01-01 was a Thursday, so day + 3 counts Monday-based weeks.
    return (np.arange(first, first + days) + 3) // DAYS_PER_WEEK - (first + 3) // DAYS_PER_WEEK


def _known_days(
    marked: npt.NDArray[np.bool_],
    unknown: npt.NDArray[np.bool_],
    golfers: pd.DataFrame,
    first: int,
    starts: npt.NDArray[np.int64],
) -> npt.NDArray[np.bool_]:
    days = marked.shape[1]
    week = _week_of(first, days)
    weeks = int(week[-1]) + 1 if days else 0
    per_week = np.zeros((marked.shape[0], weeks), dtype=bool)
    bad_week = np.zeros_like(per_week)
    for number in range(weeks):
        inside = week == number
        per_week[:, number] = marked[:, inside].any(axis=1)
        bad_week[:, number] = unknown[:, inside].any(axis=1)
    complete = golfers["diary_complete"].fillna(False).to_numpy(bool) if "diary_complete" in golfers else None
    known = per_week & ~bad_week
    if complete is not None:
        known |= complete[:, None] & ~bad_week
    by_day = known[:, week]
    before_start = np.arange(first, first + days)[None, :] < np.asarray(starts)[:, None]
    return by_day & ~before_start


def _habits(
    hours: FLOATS, known: npt.NDArray[np.bool_], first: int, starts: npt.NDArray[np.int64], as_of: int
) -> tuple[FLOATS, FLOATS, npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    total = (hours * known[:, :, None]).sum(axis=1)
    known_weeks = known.sum(axis=1) / DAYS_PER_WEEK
    club_weeks = float(known_weeks.sum())
    club = total.sum(axis=0) * (1.0 / club_weeks if club_weeks > 0 else 0.0)
    shrink = np.where(known_weeks < HABIT_PRIOR_WEEKS, HABIT_PRIOR_WEEKS - known_weeks, 0.0)
    habit = (total + shrink[:, None] * club) / np.maximum(known_weeks + shrink, 1e-9)[:, None]
    habit = np.where(known_weeks[:, None] > 0, habit, 0.0)
    late = known & (np.arange(first, first + known.shape[1])[None, :] > as_of - 12 * DAYS_PER_WEEK)
    late_weeks = late.sum(axis=1) / DAYS_PER_WEEK
    late_hours = (hours * late[:, :, None]).sum(axis=1) / np.maximum(late_weeks, 1e-9)[:, None]
    recent = np.where((late_weeks >= 3)[:, None], late_hours, habit)
    record_weeks = np.maximum(as_of - np.asarray(starts) + 1, 0) / DAYS_PER_WEEK
    weeks_known = np.rint(known_weeks).astype(np.int64)
    weeks_known = np.where((known_weeks > 0) & (weeks_known == 0), 1, weeks_known)
    filled = np.maximum(np.rint(record_weeks).astype(np.int64) - weeks_known, 0)
    return habit, recent, weeks_known, filled

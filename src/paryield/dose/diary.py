"""Practice diary -> hours by golfer, day and category, with unknown weeks kept apart from empty ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, FLOATS, INTS
from paryield.dose.silence import BLANK, HOURS, NONE, UNSAID, UNWATCHED, read_silence
from paryield.tables.categories import Category
from paryield.units import MINUTES_PER_HOUR

DAYS_PER_WEEK = 7
HABIT_PRIOR_WEEKS = 4.0
"""Weeks of the club's average that a golfer's own habit is shrunk towards (common practice, no source)."""

RECENT_WEEKS, LEAST_RECENT_WEEKS = 12, 3
"""Weeks that say what is practised now, and how many of them there must be. [judgement]"""
START_WEEKS = 26
"""Weeks at the start of a diary that say what was practised before it: what is practised later (a block, a
programme) says nothing about that. [judgement]"""
START_PRIOR_WEEKS = 4.0
"""Weeks of a golfer's habit over the whole record that those are shrunk towards. [judgement]"""


@dataclass(frozen=True)
class ClubDiary:
    """What short and silent diaries are read by, from those of the whole club.

    Parameters
    ----------
    weekly, session, square : mappings of category to float
        Hours a week; hours, and hours squared, of a week that holds practice.
    silent : float
        Share of golfers who write nothing for an idle week.
    """

    weekly: Mapping[str, float]
    session: Mapping[str, float]
    square: Mapping[str, float]
    silent: float


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
        Hours a day; days of unknown weeks carry what such a week may have held (see
        :mod:`paryield.dose.silence`), those before the first known week what he practised at the start of
        his diary.
    known : bool array, shape (golfer, day)
        False where the hours were filled in.
    habit : array, shape (golfer, category)
        Hours a week since the first known week, long silences left out, shrunk towards the club's where
        few weeks are known.
    start : array, shape (golfer, category)
        Hours a week at the start of the diary, see :func:`habit_at_start`; they stand for what was practised
        before it.
    recent : array, shape (golfer, category)
        Hours a week over the last 12 weeks, unknown ones as filled in.
    has_diary : bool array, shape (golfer,)
    weeks_known, weeks_filled : int arrays, shape (golfer,)
    doubt : array, shape (golfer, day, category)
        Variance of the hours of a filled day, hours squared: a week of practice comes whole or not at all.
    club : ClubDiary
        What short and silent diaries were read by.
    """

    golfers: tuple[str, ...]
    categories: tuple[Category, ...]
    first_day: int
    last_day: int
    hours: FLOATS
    known: BOOLS
    habit: FLOATS
    start: FLOATS
    recent: FLOATS
    has_diary: BOOLS
    weeks_known: INTS
    weeks_filled: INTS
    doubt: FLOATS
    club: ClubDiary

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


def days_since_epoch(dates: pd.Series) -> INTS:
    """Whole days since 1970-01-01 of a series of dates."""
    return dates.to_numpy().astype("datetime64[D]").astype(np.int64)


def read_diary(
    practice: pd.DataFrame,
    golfers: pd.DataFrame,
    categories: tuple[Category, ...],
    starts: INTS,
    as_of: int,
    club: ClubDiary | None = None,
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
    club : ClubDiary, optional
        The club towards which short diaries are shrunk; by default these golfers are the club. Its categories
        have a place in the diary, with entries or without.

    Returns
    -------
    Diary
    """
    ids = [str(golfer) for golfer in golfers["golfer_id"]]
    entries = practice[practice["golfer_id"].isin(ids)]
    state = entries["state"].fillna("done") if "state" in entries else pd.Series("done", index=entries.index)
    entries = entries.assign(state=state)
    present = set(entries.loc[entries["state"] == "done", "category"])
    used = tuple(
        one for one in categories if one.name in present or one.name in (club.weekly if club else ())
    )
    first = min(int(np.min(starts)), as_of) if len(starts) else as_of
    days = as_of - first + 1
    hours = np.zeros((len(ids), days, len(used)))
    marked = np.zeros((len(ids), days), dtype=bool)
    unknown = np.zeros((len(ids), days), dtype=bool)
    _enter(entries, ids, used, first, days, hours, marked, unknown)
    known, week = _known_days(marked, unknown, golfers, first, starts), _week_of(first, days)
    opened = np.argmax(known, axis=1)
    silence = read_silence(_shown(hours, known, unknown, week), None if club is None else club.silent)
    since = np.arange(days)[None, :] >= opened[:, None]
    practised, active = silence.practised[:, week], np.where(known, 1.0, silence.active[:, week])
    session, usual = _hours_of_a_week(hours, known, week, _of(club, used, "session", "square"))
    has_diary = known.any(axis=1)
    filled = since & ~known & has_diary[:, None]
    hours[filled] = (practised[:, :, None] * session.mean[:, None, :])[filled] / DAYS_PER_WEEK
    doubt = np.zeros_like(hours)
    doubt[filled] = session.doubt(practised)[filled] / DAYS_PER_WEEK
    weight = np.where(since & has_diary[:, None], active, 0.0)
    habit, mean = _habits(hours, known, weight, _of(club, used, "weekly"))
    recent = _recent(hours, since, habit, as_of - first)
    weeks_known, weeks_filled = _weeks(known, starts, as_of)
    start = habit_at_start(hours, weight, habit)
    for row in range(len(ids)):
        begin = int(starts[row]) - first
        if not has_diary[row]:
            hours[row, begin:] = 0.0
            continue
        hours[row, begin : opened[row]] = start[row] / DAYS_PER_WEEK
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
        doubt,
        club or _club_of(used, mean, usual, silence.share),
    )


def _shown(hours: FLOATS, known: BOOLS, unknown: BOOLS, week: INTS) -> INTS:
    """What each golfer-week shows, shape (golfer, week); see :func:`paryield.dose.silence.read_silence`."""
    golfers, days = known.shape
    weeks = int(week[-1]) + 1 if days else 0
    out = np.full((golfers, weeks), UNWATCHED, dtype=np.int64)
    # A week is in the diary from the first known one on; that of the last day only when it is over.
    over = np.bincount(week, minlength=weeks) == DAYS_PER_WEEK if days else np.zeros(0, dtype=bool)
    spent = np.add.reduceat(hours.sum(axis=2), np.searchsorted(week, np.arange(weeks)), axis=1)
    opened = np.where(known.any(axis=1), week[np.argmax(known, axis=1)], weeks)
    for number in range(weeks):
        inside = week == number
        read = known[:, inside].any(axis=1)
        out[over[number] & (number >= opened), number] = BLANK
        out[unknown[:, inside].any(axis=1) & (number >= opened), number] = UNSAID
        out[read, number] = np.where(spent[read, number] > 0, HOURS, NONE)
    return out


@dataclass(frozen=True)
class SessionWeek:
    """Hours of a week that holds practice, by golfer and category: mean, and mean square."""

    mean: FLOATS
    square: FLOATS

    def doubt(self, practised: FLOATS) -> FLOATS:
        """Variance of the hours of a week that held practice with these chances (N, D), shape (N, D, J)."""
        chance = practised[:, :, None]
        return np.asarray(chance * self.square[:, None, :] - (chance * self.mean[:, None, :]) ** 2)


def _hours_of_a_week(
    hours: FLOATS, known: BOOLS, week: INTS, settled: FLOATS | None
) -> tuple[SessionWeek, FLOATS]:
    """Hours in known weeks with practice, shrunk towards the club's (2, J) where few weeks are known."""
    starts = np.searchsorted(week, np.arange(int(week[-1]) + 1)) if len(week) else np.zeros(0, dtype=int)
    by_week = np.add.reduceat(hours * known[:, :, None], starts, axis=1)
    held = by_week.sum(axis=2) > 0
    count, total, square = held.sum(axis=1), by_week.sum(axis=1), (by_week**2).sum(axis=1)
    everyone = max(float(count.sum()), 1.0)
    short = np.maximum(HABIT_PRIOR_WEEKS - known.sum(axis=1) / DAYS_PER_WEEK, 0.0)
    weight = np.maximum(count + short, 1e-9)[:, None]
    club = np.stack([total.sum(axis=0), square.sum(axis=0)]) / everyone if settled is None else settled
    mean = (total + short[:, None] * club[0]) / weight
    return SessionWeek(mean, (square + short[:, None] * club[1]) / weight), club


def habit_at_start(hours: FLOATS, weight: npt.NDArray[Any], habit: FLOATS) -> FLOATS:
    """Hours a week at the start of each diary, shrunk towards the golfer's habit.

    Parameters
    ----------
    hours : array, shape (golfer, day, category)
        Hours a day.
    weight : array, shape (golfer, day)
        1 in known weeks, the chance of no long silence in others, 0 before the first known week.
    habit : array, shape (golfer, category)
        Hours a week over the whole diary.

    Returns
    -------
    array, shape (golfer, category)
        What was practised before the first known week, as far as can be told; the habit where the diary is
        no longer than the weeks looked at.
    """
    day = np.arange(weight.shape[1])[None, :]
    opened = np.argmax(weight > 0, axis=1)[:, None]
    inside = day < opened + DAYS_PER_WEEK * START_WEEKS
    early = np.where(inside, weight, 0.0)
    weeks = early.sum(axis=1) / DAYS_PER_WEEK + START_PRIOR_WEEKS
    total = np.einsum("ndj,nd->nj", hours, early)
    # Filled weeks alone do not carry a diary on.
    goes_on = ((weight >= 1.0) & ~inside).any(axis=1)
    return np.where(goes_on[:, None], (total + START_PRIOR_WEEKS * habit) / weeks[:, None], habit)


def _enter(
    entries: pd.DataFrame,
    ids: list[str],
    used: tuple[Category, ...],
    first: int,
    days: int,
    hours: FLOATS,
    marked: BOOLS,
    unknown: BOOLS,
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


def _week_of(first: int, days: int) -> INTS:
    # 1970-01-01 was a Thursday, so day + 3 counts Monday-based weeks.
    return (np.arange(first, first + days) + 3) // DAYS_PER_WEEK - (first + 3) // DAYS_PER_WEEK


def _known_days(
    marked: BOOLS,
    unknown: BOOLS,
    golfers: pd.DataFrame,
    first: int,
    starts: INTS,
) -> BOOLS:
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


def _club_of(used: tuple[Category, ...], weekly: FLOATS, session: FLOATS, silent: float) -> ClubDiary:
    names = [one.name for one in used]
    means = [dict(zip(names, row.tolist(), strict=True)) for row in (weekly, *session)]
    return ClubDiary(means[0], means[1], means[2], silent)


def _of(club: ClubDiary | None, used: tuple[Category, ...], *names: str) -> FLOATS | None:
    """Values of a settled club by category, shape (names, J)."""
    if club is None:
        return None
    return np.array([[getattr(club, name).get(one.name, 0.0) for one in used] for name in names])


def _habits(hours: FLOATS, known: BOOLS, weight: FLOATS, settled: FLOATS | None) -> tuple[FLOATS, FLOATS]:
    """Hours a week of days by weight, shrunk towards the club's (J,) where few are known, (N, J)."""
    total = np.einsum("ndj,nd->nj", hours, weight)
    weeks, known_weeks = weight.sum(axis=1) / DAYS_PER_WEEK, known.sum(axis=1) / DAYS_PER_WEEK
    club = total.sum(axis=0) / max(float(weeks.sum()), 1e-9) if settled is None else settled[0]
    shrink = np.maximum(HABIT_PRIOR_WEEKS - known_weeks, 0.0)
    habit = (total + shrink[:, None] * club) / np.maximum(weeks + shrink, 1e-9)[:, None]
    return np.where(known_weeks[:, None] > 0, habit, 0.0), club


def _recent(hours: FLOATS, since: BOOLS, habit: FLOATS, last: int) -> FLOATS:
    """Hours a week over the last 12 weeks; the habit where the diary is younger than 3, shape (N, J)."""
    late = since & (np.arange(since.shape[1])[None, :] > last - RECENT_WEEKS * DAYS_PER_WEEK)
    weeks = late.sum(axis=1) / DAYS_PER_WEEK
    mean = np.einsum("ndj,nd->nj", hours, late.astype(float)) / np.maximum(weeks, 1e-9)[:, None]
    practises = habit.sum(axis=1) > 0
    return np.where(((weeks >= LEAST_RECENT_WEEKS) & practises)[:, None], mean, habit)


def _weeks(known: BOOLS, starts: INTS, as_of: int) -> tuple[INTS, INTS]:
    """Weeks of each golfer's record that are known, and that were filled in."""
    known_weeks = known.sum(axis=1) / DAYS_PER_WEEK
    record_weeks = np.maximum(as_of - np.asarray(starts) + 1, 0) / DAYS_PER_WEEK
    weeks_known = np.rint(known_weeks).astype(np.int64)
    weeks_known = np.where((known_weeks > 0) & (weeks_known == 0), 1, weeks_known)
    filled = np.maximum(np.rint(record_weeks).astype(np.int64) - weeks_known, 0)
    return weeks_known, filled

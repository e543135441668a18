"""The hours of a programme: what was planned, and what those done changed against the earlier habit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from paryield.arrays import BOOLS, FLOATS, INTS
from paryield.dose.diary import DAYS_PER_WEEK, read_diary
from paryield.dose.exposure import Enrolment
from paryield.dose.stock import stock
from paryield.forecast.outlook import GolferDraws, practised
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR

HABIT_DAYS = 182
"""Half a year before joining shows the earlier habit. [judgement]"""
FEWEST_WEEKS = 3.0
"""Known weeks below which the earlier habit is not the golfer's own. [judgement]"""


@dataclass(frozen=True)
class Diaries:
    """Hours of practice of every golfer of a fit: golfer N, day D, category J as the fit orders them.

    ``hours`` (N, D, J) hours a day; ``known`` (N, D) false where hours were filled in; ``fitted`` (J,) false
    for categories that nobody practises (the phantom).
    """

    first_day: int
    hours: FLOATS
    known: BOOLS
    fitted: BOOLS

    def __post_init__(self) -> None:
        if self.hours.shape[:2] != self.known.shape or self.hours.shape[2] != len(self.fitted):
            raise ValueError(f"hours {self.hours.shape}, known {self.known.shape}: shapes disagree")


def club_diaries(tables: Tables, posterior: Posterior) -> Diaries:
    """Read the diary again, on the golfers, categories and days of the fit."""
    cut = np.datetime64(posterior.as_of, "D")
    golfers = tables.golfers.set_index("golfer_id").reindex(posterior.golfers).reset_index()
    golfers["golfer_id"] = golfers["golfer_id"].astype("string")
    golfers["diary_complete"] = golfers["diary_complete"].astype("boolean")
    practice = tables.practice[tables.practice["practised_on"].to_numpy() <= cut]
    starts = posterior.constant("starts").astype(np.int64)
    diary = read_diary(practice, golfers, tables.categories, starts, posterior.as_of)
    names = [category.name for category in diary.categories]
    hours = np.zeros((*diary.known.shape, len(posterior.categories)))
    for place, name in enumerate(posterior.categories):
        if name in names:
            hours[:, :, place] = diary.hours[:, :, names.index(name)]
    fitted = np.array([name in names for name in posterior.categories], dtype=bool)
    return Diaries(diary.first_day, hours, diary.known, fitted)


def weekly(diaries: Diaries, golfer: int, begin: int, end: int) -> tuple[FLOATS, float]:
    """Hours a week by category over the known days from ``begin`` to ``end`` (left out), and known weeks."""
    left, right = max(begin - diaries.first_day, 0), max(end - diaries.first_day, 0)
    known = diaries.known[golfer, left:right]
    weeks = float(known.sum()) / DAYS_PER_WEEK
    total = (diaries.hours[golfer, left:right] * known[:, None]).sum(axis=0)
    return total / weeks if weeks > 0 else total, weeks


def earlier_habit(diaries: Diaries, golfer: int, start: int) -> FLOATS | None:
    """Hours a week by category before joining; None where fewer than three weeks of it are known."""
    for begin in (start - HABIT_DAYS, diaries.first_day):
        habit, weeks = weekly(diaries, golfer, begin, start)
        if weeks >= FEWEST_WEEKS:
            return habit
    return None


def at_habit(diaries: Diaries, golfer: int, start: int, habit: FLOATS) -> FLOATS:
    """Hours a day (D, J) as they would have been at a weekly habit from ``start`` on.

    Days of unknown weeks stay as they were filled, so that hours nobody wrote down earn nothing.
    """
    hours = diaries.hours[golfer].copy()
    later = np.arange(len(hours)) + diaries.first_day >= start
    hours[later & diaries.known[golfer]] = habit / DAYS_PER_WEEK
    hours[:, ~diaries.fitted] = diaries.hours[golfer][:, ~diaries.fitted]
    return hours


def stock_on(
    own: GolferDraws,
    hours: FLOATS,
    diaries: Diaries,
    starts: float,
    begun: FLOATS,
    days: INTS,
) -> FLOATS:
    """Hours at work after the practice of each day, shape (S, T, J).

    Parameters
    ----------
    own : GolferDraws
    hours : array, shape (D, J)
        Hours a day from the first day of the diaries on.
    diaries : Diaries
    starts : float
        First day of the golfer's record.
    begun : array, shape (S,)
        Share of the steady stock held at the start of the record.
    days : int array, shape (T,)
        Days since 1970-01-01, none after the as-of day.
    """
    longer = np.concatenate([hours, np.zeros((1, hours.shape[1]))])
    place, elapsed = days + 1 - diaries.first_day, (days + 1 - starts).astype(float)
    record = own.as_of + 1 - starts
    total = np.zeros((own.samples, len(days), hours.shape[1]))
    for node, half_lives in enumerate(own.node_half_life):
        fresh = np.stack(
            [stock(longer[:, j], float(h), axis=0)[place] for j, h in enumerate(half_lives)], axis=1
        )
        back = 2.0 ** ((record - elapsed)[:, None] / half_lives)
        held = begun[:, None, None] * own.steady_now[node][:, None, :] * back[None, :, :]
        total += own.weights[node][:, None, :] * (fresh[None, :, :] + held)
    now = (own.weights * own.stock).sum(axis=0)
    total[:, :, ~diaries.fitted] = now[:, None, ~diaries.fitted]
    result: FLOATS = np.maximum(total, 0.0)
    return result


def hours_effect(
    own: GolferDraws,
    diaries: Diaries,
    golfer: int,
    starts: float,
    begun: FLOATS,
    begin: int,
    habit: FLOATS,
    days: INTS,
) -> FLOATS:
    """Change of the mean differential that came from practising otherwise than at the habit, (S, T) strokes.

    Negative when scores fell. Level, form, season, background and luck are the same in both and cancel.
    """
    ahead = (days - own.as_of).astype(float)
    done = stock_on(own, diaries.hours[golfer], diaries, starts, begun, days)
    instead = stock_on(own, at_habit(diaries, golfer, begin, habit), diaries, starts, begun, days)
    change: FLOATS = (practised(own, done, ahead) - practised(own, instead, ahead)).sum(axis=2)
    return change


def planned_hours(tables: Tables, member: Enrolment, on: int) -> float | None:
    """Planned hours a week from the start to day ``on``, over all plans; None without a plan."""
    plans = tables.plans[tables.plans["golfer_id"] == member.golfer_id]
    total, found = 0.0, False
    for row in plans.to_dict("records"):
        begins, ends = (_day(row[name]) for name in ("starts_on", "ends_on"))
        covered = min(member.start + 10**6 if ends is None else ends, on) - max(begins or 0, member.start) + 1
        minutes = _minutes(tables, row)
        if covered > 0 and minutes is not None:
            total += minutes / MINUTES_PER_HOUR * covered / max(on - member.start + 1, 1)
            found = True
    return total if found else None


def _day(value: object) -> int | None:
    stamp = pd.Timestamp(value)  # type: ignore[arg-type]
    return None if pd.isna(stamp) else int(np.datetime64(stamp, "D").astype(int))


def _minutes(tables: Tables, row: dict[object, object]) -> float | None:
    minutes, reps = row["minutes_per_week"], row["reps_per_week"]
    if not pd.isna(minutes):  # type: ignore[call-overload]
        return float(minutes)  # type: ignore[arg-type]
    pace = tables.category(str(row["category"])).minutes_per_100_reps
    return None if pace is None or pd.isna(reps) else float(reps) * pace / 100.0  # type: ignore[arg-type, call-overload]

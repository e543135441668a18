"""Goals: the index that is likely, even or a stretch by a date, and the hours that a goal takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast.answer import MOST_MISSING, forecast_tables, reached
from paryield.forecast.gate import gate
from paryield.forecast.habits import habit_hours
from paryield.forecast.rounds import Pace, club_paces, early_notes
from paryield.forecast.what_if import MOST_WEEKLY_HOURS, Scene, index_of, make_scene
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.tables import Tables

DEFAULT_WEEKS = (12, 26, 52)
LEVELS = {"likely": 0.8, "even": 0.5, "stretch": 0.2}
"""Chance that the index of a goal is reached or passed: 8 in 10, 5 in 10, 2 in 10."""
YEAR_DAYS = 364
GOAL_DRAWS = 400
"""Simulated futures behind a goal: a chance is then known to 2.5 % at worst (binomial standard error)."""
MOST_HOURS = 12.0
"""Most weekly hours that a goal is tried with, unless the golfer's ceiling on file is lower. [judgement]"""
HOURS_STEP = 0.25
NO_ROUNDS = "no counting round yet, so there is no index to start from"
FEW_ROUNDS = "fewer than 54 holes by then at this pace, so there may be no index"
SILENT = "no counting round in the last half year, so the index stays; set the rounds a month"
NO_HOURS = "no practice diary to scale, so hours cannot be tried"


@dataclass(frozen=True)
class Goals:
    """Records of goals, with the draws of the index behind them, shape (S, H) per golfer."""

    records: list[dict[str, Any]]
    draws: dict[str, FLOATS] = field(repr=False)
    banner: str = ""
    notes: tuple[str, ...] = ()

    def to_frame(self) -> pd.DataFrame:
        """One row per golfer and date."""
        return pd.DataFrame.from_records(self.records)


def goals(
    club: Any,
    golfer: str | None = None,
    weeks: Sequence[int] = DEFAULT_WEEKS,
    hours: float | None = None,
    goal: float | None = None,
    by: date | None = None,
    rounds_per_month: float | None = None,
    anyway: bool = False,
) -> Goals:
    """Say what a golfer can reach on some weekly hours, and how many hours his goal takes.

    Parameters
    ----------
    club : Club
    golfer : str, optional
    weeks : sequence of int
        Horizons.
    hours : float, optional
        Hours a week, split as in the present week; default the present ones.
    goal, by : float and date, optional
        Handicap Index to reach and the date; default those on file, a year from now without a date.
    rounds_per_month : float, optional
        Assumed rate of counting rounds; default the golfer's own.
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.

    Raises
    ------
    InputError
        For an unknown golfer, or hours, weeks or a date that cannot be answered.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    return goals_tables(
        posterior,
        club.tables(),
        golfer=golfer,
        weeks=weeks,
        hours=hours,
        goal=goal,
        by=by,
        rate=rounds_per_month,
        banner=gate(posterior, anyway),
    )


def goals_tables(
    posterior: Posterior,
    tables: Tables,
    *,
    golfer: str | None = None,
    weeks: Sequence[int] = DEFAULT_WEEKS,
    hours: float | None = None,
    goal: float | None = None,
    by: date | None = None,
    rate: float | None = None,
    banner: str = "",
) -> Goals:
    """Goals from a fit and tables; see :func:`goals`."""
    as_of = date(1970, 1, 1) + timedelta(days=posterior.as_of)
    _check(posterior, golfer, weeks, hours, goal, by, as_of)
    few = thinned(posterior, GOAL_DRAWS)
    paces = club_paces(tables, posterior.golfers, posterior.as_of)
    records: list[dict[str, Any]] = []
    draws: dict[str, FLOATS] = {}
    for golfer_id in posterior.golfers if golfer is None else [golfer]:
        pace = paces[golfer_id] if rate is None else Pace(rate, None, np.ones(12))
        aim, due = (goal, by) if goal is not None else goal_on_file(tables, golfer_id, as_of)
        ends = sorted({as_of + timedelta(days=7 * week) for week in weeks} | ({due} if due else set()))
        year = as_of + timedelta(days=YEAR_DAYS)
        scene = make_scene(few, tables, golfer_id, goal=aim, by=due, also=[*ends, year], pace=pace)
        habit = habit_hours(posterior, golfer_id)[: len(scene.categories)]
        index, planned = _index(scene, habit, hours)
        draws[golfer_id] = index[:, [_place(scene, day) for day in ends]]
        answer = None
        if aim is not None and due is not None:
            answer = _hours_for(scene, habit, aim, due, year, most_hours(tables, golfer_id))
        for day in ends:
            record = {
                "golfer_id": golfer_id,
                "as_of": as_of.isoformat(),
                "on": day.isoformat(),
                "weeks": round((day - as_of).days / 7, 1),
                "hours": round(planned, 2),
                "rounds_per_month": round(pace.expected(posterior.as_of, (day - as_of).days), 2),
            }
            sample = index[:, _place(scene, day)]
            record |= _levels(sample, scene)
            if aim is not None and due is not None and day == due:
                record |= {"goal": aim, "by": due.isoformat(), "chance": None, **(answer or {})}
                record["reached"] = reached(scene.state, aim)
                if record["reportable"]:
                    record["chance"] = _chance(sample, aim)
                    if hours is None:
                        record["chance"] = chance_of(posterior, tables, golfer_id, aim, due, rate)
                else:
                    record |= {"hours_even": None, "hours_even_year": None}
            records.append(record if not banner else {"reason": banner, **record})
    asked = posterior.golfers if golfer is None else [golfer]
    notes = early_notes(posterior, () if rate is not None else (paces[one] for one in asked))
    return Goals(records, draws, banner, tuple(notes))


def chance_of(
    posterior: Posterior, tables: Tables, golfer_id: str, goal: float, by: date, rate: float | None = None
) -> float | None:
    """Chance of a goal on the present practice: the answer of ``forecast`` to the same question."""
    found = forecast_tables(
        posterior, tables, golfer=golfer_id, weeks=(), goal=goal, by=by, rate=rate, because=False
    )
    answers = [record["chance"] for record in found.records if record.get("goal") is not None]
    return answers[0] if answers else None


def goal_on_file(tables: Tables, golfer_id: str, as_of: date) -> tuple[float | None, date | None]:
    """Return the goal of the golfers table and its date; a year from now without one, none if it passed."""
    rows = tables.golfers[tables.golfers["golfer_id"] == golfer_id]
    if rows.empty or pd.isna(rows["goal_index"].iloc[0]):
        return None, None
    on = rows["goal_on"].iloc[0]
    by = as_of + timedelta(days=YEAR_DAYS) if pd.isna(on) else pd.Timestamp(on).date()
    return (None, None) if by <= as_of else (float(rows["goal_index"].iloc[0]), by)


def most_hours(tables: Tables, golfer_id: str) -> float:
    """Most weekly hours that a goal is tried with."""
    rows = tables.golfers[tables.golfers["golfer_id"] == golfer_id]
    ceiling = np.nan if rows.empty else float(rows["most_weekly_hours"].iloc[0])
    return MOST_HOURS if np.isnan(ceiling) else min(ceiling, MOST_HOURS)


def _check(
    posterior: Posterior,
    golfer: str | None,
    weeks: Sequence[int],
    hours: float | None,
    goal: float | None,
    by: date | None,
    as_of: date,
) -> None:
    if golfer is not None and golfer not in posterior.golfers:
        raise InputError(
            f"the fit knows no golfer {golfer!r}",
            where="--golfer",
            remedy="use an id of the golfers table, or fit again if the golfer is new",
        )
    if bad := [week for week in weeks if not 1 <= week <= 104]:
        raise InputError(f"{bad[0]} weeks cannot be answered", where="--weeks", remedy="use 1 to 104")
    if hours is not None and not 0 <= hours <= MOST_WEEKLY_HOURS:
        raise InputError(f"{hours:g} hours a week cannot be", where="--hours", remedy="use 0 to 112")
    if (goal is None) != (by is None):
        raise InputError("a goal needs both --goal and --by", where="--goal", remedy="give index and date")
    if by is not None and not as_of < by <= as_of + timedelta(days=2 * 365):
        raise InputError(
            f"{by.isoformat()} is not within two years of the last day of the data, {as_of.isoformat()}",
            where="--by",
            remedy="give a later date, or one that is less far off",
        )


def _place(scene: Scene, day: date) -> int:
    return int(np.searchsorted(scene.days, float((day - scene.as_of).days)))


def _index(scene: Scene, habit: FLOATS, hours: float | None) -> tuple[FLOATS, float]:
    """Draws of the index on the scene's days, and the hours a week that they stand for."""
    total = float(habit.sum())
    if hours is None or total <= 0:
        return index_of(scene, scene.lost(habit)), total
    week = np.minimum(habit * (hours / total), scene.ceiling)
    return index_of(scene, scene.lost(week)), float(week.sum())


def _levels(sample: FLOATS, scene: Scene) -> dict[str, Any]:
    missing = float(np.mean(np.isnan(sample)))
    reason = ""
    if scene.state.index is None and not scene.plays:
        reason = NO_ROUNDS
    elif missing > MOST_MISSING:
        reason = FEW_ROUNDS
    elif not scene.plays:
        reason = SILENT
    if reason:
        return {"reportable": False, "reason": reason, **dict.fromkeys(LEVELS)}
    known = sample[~np.isnan(sample)]
    return {"reportable": True, **{name: float(np.quantile(known, level)) for name, level in LEVELS.items()}}


def _chance(sample: FLOATS, goal: float) -> float:
    return float(np.mean(sample <= goal + 1e-9))


def _hours_for(scene: Scene, habit: FLOATS, goal: float, by: date, year: date, most: float) -> dict[str, Any]:
    """Weekly hours for an even chance by the date and within a year; None where most do not.

    They are split as in the present week.

    The same simulated futures serve every trial, so the chance rises with the hours and can be halved in
    on, to a quarter of an hour.
    """
    total = float(habit.sum())
    if total <= 0:
        return {"hours_even": None, "hours_even_year": None, "hours_tried": None, "reason": NO_HOURS}
    steps = int(np.floor(most / HOURS_STEP + 1e-9))
    seen: dict[int, FLOATS] = {}

    def reached(step: int, day: date) -> bool:
        if step not in seen:
            seen[step] = _index(scene, habit, step * HOURS_STEP)[0]
        return _chance(seen[step][:, _place(scene, day)], goal) >= 0.5

    def least(day: date) -> float | None:
        low, high = 0, steps
        if not reached(high, day):
            return None
        while low < high:
            middle = (low + high) // 2
            low, high = (low, middle) if reached(middle, day) else (middle + 1, high)
        return low * HOURS_STEP

    return {
        "hours_even": least(by),
        "hours_even_year": least(year),
        "hours_tried": steps * HOURS_STEP,
    }

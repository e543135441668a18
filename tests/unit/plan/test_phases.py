"""Phases of the year, sessions on days, jumps stated as facts: common practice, no source."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from paryield.plan.cautions import STANDING_CAUTIONS, cautions_of, jumps
from paryield.plan.phases import Week, week_shares, weeks_ahead
from paryield.plan.sessions import (
    held_minutes,
    lay_out,
    phase_rows,
    reps_of,
    session_minutes,
    session_rows,
    short_notes,
)
from paryield.tables import SHIPPED, Category, Tables, make_tables

AS_OF = date(2026, 7, 5)
BY_NAME = {category.name: category for category in SHIPPED}
NAMES = ("short_putting", "irons", "driver", "half_swing", "strength")
CATEGORIES = [BY_NAME[name] for name in NAMES]


def club(calendar: list[dict[str, Any]], practice: list[dict[str, Any]] | None = None) -> Tables:
    frames = {
        "golfers": pd.DataFrame({"golfer_id": ["A", "B"]}),
        "calendar": pd.DataFrame(calendar),
        "practice": pd.DataFrame(practice or []),
    }
    return make_tables({name: frame for name, frame in frames.items() if len(frame)})


def span(
    start: int, end: int, phase: str, golfer: str | None = None, race: int | None = None
) -> dict[str, Any]:
    return {
        "golfer_id": golfer,
        "starts_on": pd.Timestamp(AS_OF + timedelta(days=start)),
        "ends_on": pd.Timestamp(AS_OF + timedelta(days=end)),
        "phase": phase,
        "competition_on": pd.NaT if race is None else pd.Timestamp(AS_OF + timedelta(days=race)),
    }


def test_a_golfers_own_phase_stands_before_the_clubs() -> None:
    tables = club([span(-30, 60, "in_season"), span(8, 14, "break", "A")])
    mine = [week.phase for week in weeks_ahead(tables, "A", AS_OF, 4)]
    assert mine == ["in_season", "break", "in_season", "in_season"]
    assert [week.phase for week in weeks_ahead(tables, "B", AS_OF, 4)] == ["in_season"] * 4


def test_no_calendar_no_phase() -> None:
    weeks = weeks_ahead(club([]), "A", AS_OF, 3)
    assert [week.phase for week in weeks] == [None] * 3
    assert np.all(week_shares(weeks, CATEGORIES, free=False) == 1.0)


def test_full_swings_come_back_in_two_lighter_weeks_after_a_break() -> None:
    tables = club([span(1, 14, "break", "A")])
    weeks = weeks_ahead(tables, "A", AS_OF, 5)
    shares = week_shares(weeks, CATEGORIES, free=True)
    driver, putting, half = shares[:, 2], shares[:, 0], shares[:, 3]
    assert driver.tolist() == [0.0, 0.0, 0.5, 0.75, 1.0]
    assert putting.tolist() == half.tolist() == [0.0, 0.0, 1.0, 1.0, 1.0]


def test_a_break_that_ended_before_the_plan_still_counts() -> None:
    tables = club([span(-20, 0, "break", "A")])
    shares = week_shares(weeks_ahead(tables, "A", AS_OF, 3), CATEGORIES, free=False)
    assert shares[:, 1].tolist() == [0.5, 0.75, 1.0]


def test_strength_is_loaded_off_season_and_maintained_in_season() -> None:
    tables = club([span(-30, 14, "off_season"), span(15, 90, "in_season")])
    weeks = weeks_ahead(tables, "A", AS_OF, 4)
    assert week_shares(weeks, CATEGORIES, free=False)[:, 4].tolist() == [1.0, 1.0, 0.5, 0.5]
    assert week_shares(weeks, CATEGORIES, free=True)[:, 4].tolist() == [1.0] * 4


@pytest.mark.parametrize("race", range(1, 9))
@pytest.mark.parametrize("sessions", [1, 2, 3, 5])
def test_no_strength_on_a_competition_day_or_the_day_before(race: int, sessions: int) -> None:
    """Whatever the day of the competition, the first day of the next week included."""
    (week,) = weeks_ahead(club([span(-30, 60, "in_season", race=race)]), "A", AS_OF, 1)
    hours = np.array([2.0, 1.0, 1.0, 0.5, sessions * 40 / 60])
    laid = lay_out(week, CATEGORIES, hours, {"strength": (sessions, 40.0)})
    day = AS_OF + timedelta(days=race)
    barred = {day.isoformat(), (day - timedelta(days=1)).isoformat()}
    strength = [one for one in laid if one["category"] == "strength"]
    assert len(strength) == sessions
    assert not barred & {one["on"] for one in strength}
    assert sum(one["minutes"] for one in laid) == pytest.approx(60 * hours.sum(), abs=2)


def test_a_competition_out_of_season_bars_nothing() -> None:
    (week,) = weeks_ahead(club([span(-30, 60, "off_season", race=3)]), "A", AS_OF, 1)
    assert week.competitions == ()


def test_strength_comes_after_skill_work_on_the_same_day() -> None:
    week = Week(AS_OF + timedelta(days=1), None, None, ())
    laid = lay_out(week, CATEGORIES, np.array([0.5, 0.0, 0.0, 0.0, 0.5]), {})
    assert [one["category"] for one in laid] == ["short_putting", "strength"]
    assert len({one["on"] for one in laid}) == 1


def test_reps_follow_the_pace() -> None:
    """500 chips a week in five sessions of 100 (common practice, no source) at 40 minutes per 100."""
    chipping = BY_NAME["chipping"]
    assert reps_of(chipping, 200 / 60) == 500
    assert reps_of(BY_NAME["strength"], 2.0) is None
    assert session_minutes(chipping, 90.0) == [30.0, 30.0, 30.0]
    assert session_minutes(BY_NAME["irons"], 100.0) == [50.0, 50.0]


@pytest.mark.parametrize("minutes", [0.0, 3.0, 7.5, 30.0, 44.0, 95.0, 240.0])
@pytest.mark.parametrize("category", SHIPPED, ids=lambda one: one.name)
def test_sessions_sum_to_the_week(category: Category, minutes: float) -> None:
    assert sum(session_minutes(category, minutes)) == pytest.approx(minutes)


WEEKS = st.lists(st.floats(0.0, 200.0), min_size=5, max_size=5)


@given(minutes=WEEKS, most=WEEKS)
def test_no_session_is_under_ten_minutes_and_no_ceiling_is_passed(
    minutes: list[float], most: list[float]
) -> None:
    """Time too short for a session is put together; what no category may take is left out, never added."""
    planned = np.minimum(minutes, most)
    held = held_minutes(planned, np.array(most), [False] * 5)
    assert np.all((held == 0.0) | (held >= 10.0))
    assert np.all(held <= np.array(most) + 1e-9)
    assert held.sum() <= planned.sum() + 1e-9
    free = held_minutes(planned, np.full(5, np.inf), [False] * 5)
    assert free.sum() == pytest.approx(planned.sum() if planned.sum() >= 10.0 else 0.0)
    week = Week(AS_OF + timedelta(days=1), None, None, ())
    laid = lay_out(week, CATEGORIES, planned / 60, {}, np.array(most) / 60)
    assert min((one["minutes"] for one in laid), default=10) >= 10


@pytest.mark.parametrize("begins", range(7))
def test_sessions_keep_their_weekdays_whatever_day_the_week_begins_on(begins: int) -> None:
    hours = np.array([1.5, 1.0, 0.5, 0.5, 2.0])
    weeks = [Week(AS_OF + timedelta(days=1 + later), None, None, ()) for later in (0, begins)]
    first, later = (
        sorted((date.fromisoformat(one["on"]).weekday(), one["category"], one["minutes"]) for one in laid)
        for laid in (lay_out(week, CATEGORIES, hours, {}) for week in weeks)
    )
    assert first == later
    assert len({day for day, _, _ in first}) > 3


def test_short_practice_shares_a_session_and_says_so() -> None:
    hours = np.array([90.0, 0.0, 6.0, 7.0, 40.0]) / 60
    week = Week(AS_OF + timedelta(days=1), None, None, ())
    laid = lay_out(week, CATEGORIES, hours, {})
    assert [one["minutes"] for one in laid if one["category"] == "half_swing"] == [13]
    assert "driver" not in {one["category"] for one in laid}
    (said,) = short_notes(NAMES, hours, {})
    assert said.startswith("driver and half swing: under 10 minutes a week")
    assert short_notes(NAMES, hours, {"driver": (1, 6.0), "half_swing": (1, 7.0)}) == []
    kept = lay_out(week, CATEGORIES, hours, {"driver": (1, 6.0)})
    assert [one["minutes"] for one in kept if one["category"] == "driver"] == [6]


def test_like_weeks_are_told_once_and_competitions_get_their_sessions() -> None:
    tables = club([span(-30, 20, "off_season"), span(21, 90, "in_season", race=33)])
    weeks = weeks_ahead(tables, "A", AS_OF, 6)
    shares, hours = week_shares(weeks, CATEGORIES, free=False), np.full(5, 1.0)
    rows = phase_rows(weeks, shares, NAMES, hours)
    assert [(row["phase"], row["weeks"]) for row in rows] == [("off_season", 3), ("in_season", 3)]
    assert rows[1]["hours"]["strength"] == 0.5
    days = {one["on"] for one in session_rows(weeks, shares, CATEGORIES, hours, {})}
    assert {(date.fromisoformat(day) - AS_OF - timedelta(days=1)).days // 7 for day in days} == {0, 4}


def entries(minutes: float, category: str) -> list[dict[str, Any]]:
    days = [AS_OF - timedelta(days=3 + 7 * back) for back in range(4)]
    return [
        {"golfer_id": "A", "practised_on": pd.Timestamp(day), "category": category, "minutes": minutes}
        for day in days
    ]


def test_a_jump_is_stated_as_a_fact_with_both_numbers() -> None:
    tables = club([], entries(30.0, "driver"))
    as_of = (AS_OF - date(1970, 1, 1)).days
    (line,) = jumps(tables, "A", CATEGORIES, np.array([0.0, 0.0, 1.5, 0.0, 0.0]), as_of)
    assert line.startswith("Full swings: 90 minutes a week planned, 30 on average in the last 4 weeks")
    assert "not a forecast of injury" in line
    assert jumps(tables, "A", CATEGORIES, np.array([4.0, 0.0, 0.6, 3.0, 0.0]), as_of) == ()
    assert cautions_of(tables, "A", CATEGORIES, np.zeros(5), as_of) == STANDING_CAUTIONS


def test_an_unknown_month_is_said_to_be_unknown() -> None:
    as_of = (AS_OF - date(1970, 1, 1)).days
    (line,) = jumps(club([]), "A", CATEGORIES, np.array([0.0, 0.0, 0.0, 0.0, 1.0]), as_of)
    assert line == "Strength work: 60 minutes a week planned; the last 4 weeks are not known."

"""What a week may hold, by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.dose.diary import RECENT_WEEKS
from paryield.errors import InputError
from paryield.forecast.current import current_fit
from paryield.plan import plan_tables
from paryield.plan.advised import HELD_BACK, SCALED, held_back
from paryield.plan.room import Bounds, Wishes, fit_into, make_room, present_split
from paryield.tables import read_frames
from paryield.tables.categories import PHANTOM
from paryield.tables.frames import as_table


def bounds(floor: list[float], ceiling: list[float], low: list[float], high: list[float]) -> Bounds:
    return Bounds(*(np.array(values) for values in (floor, ceiling, low, high, [low, high])))


def test_what_must_hold_is_rounded_to_the_safe_side() -> None:
    room = make_room(bounds([0.3, 0.0], [4.0, 1.1], [0.0, 0.0], [4.0, 4.0]), 4.0)
    assert room.low.tolist() == [2, 0]
    assert room.high.tolist() == [16, 4]
    assert room.total == 16


def test_a_lock_of_80_minutes_is_kept_to_the_minute() -> None:
    room = make_room(bounds([4 / 3, 0.0], [4 / 3, 4.0], [0.0, 0.0], [4.0, 4.0]), 4.0)
    assert room.hours(room.low)[0] == pytest.approx(4 / 3)
    assert room.total == 10
    assert 4.0 - (room.fixed.sum() + 0.25 * room.total) < 0.25


def test_ceilings_that_just_hold_the_hours_are_reached() -> None:
    """Three ceilings of 0.9 hours hold 2.7 hours: rounding them down to 0.75 would lose half an hour."""
    room = make_room(bounds([0.0] * 3, [0.9] * 3, [0.0] * 3, [2.7] * 3), 2.7)
    assert room.hours(room.high).sum() == pytest.approx(2.7)
    assert room.total == room.high.sum()


def test_floors_that_just_fit_are_kept() -> None:
    room = make_room(bounds([0.4, 0.4, 0.2], [1.0] * 3, [0.0] * 3, [1.0] * 3), 1.0)
    assert np.all(room.hours(room.low) >= np.array([0.4, 0.4, 0.2]) - 1e-9)
    assert room.hours(room.low).sum() <= 1.0


def test_the_box_gives_way_and_a_limit_does_not() -> None:
    room = make_room(bounds([0.0, 0.0], [0.0, 4.0], [0.5, 1.0], [3.0, 2.0]), 4.0)
    assert room.high.tolist() == [0, 16]
    assert room.total == 16
    room = make_room(bounds([0.0, 0.0], [0.0, 1.0], [0.0, 0.0], [4.0, 4.0]), 4.0)
    assert room.total == 4


def test_strength_that_the_season_holds_back_is_named_where_more_would_be_planned() -> None:
    """Golfers of like level do an hour and a half of it; the season allows the quarter that he does now."""
    names, tables = ("chipping", "strength"), read_frames({}).tables
    week = replace(
        bounds([0.0, 0.0], [4.0, 4.0], [0.0, 0.0], [4.0, 0.25]), usual=np.array([[0.0, 0.0], [3.0, 1.5]])
    )
    room = make_room(week, 4.0)
    said = HELD_BACK.format(name="strength")
    assert held_back(tables, names, week, room, np.array([3.75, 0.25])) == (said,)
    assert held_back(tables, names, week, room, np.array([4.0, 0.0])) == ()
    usual = replace(week, usual=np.array([[0.0, 0.0], [3.0, 0.4]]))
    assert held_back(tables, names, usual, room, np.array([3.75, 0.25])) == ()


def test_the_present_split_is_kept_where_it_fits() -> None:
    week = bounds([0.0, 0.0, 0.0], [4.0, 4.0, 4.0], [0.0] * 3, [4.0] * 3)
    now = np.array([1.0, 2.0, 1.0])
    assert fit_into(now, week, 4.0).tolist() == now.tolist()


def test_what_a_limit_takes_goes_to_the_others_in_proportion() -> None:
    week = bounds([0.0, 0.0, 0.0], [4.0, 1.0, 4.0], [0.0] * 3, [4.0] * 3)
    np.testing.assert_allclose(fit_into(np.array([0.5, 3.0, 1.5]), week, 5.0), [1.0, 1.0, 3.0])


def test_a_floor_is_met_at_the_cost_of_the_others() -> None:
    week = bounds([2.0, 0.0, 0.0], [4.0, 4.0, 4.0], [0.0] * 3, [4.0] * 3)
    np.testing.assert_allclose(fit_into(np.array([1.0, 2.0, 1.0]), week, 4.0), [2.0, 4 / 3, 2 / 3])


@pytest.mark.parametrize(
    ("wishes", "message"),
    [
        ({"hours": -1.0}, "-1 hours a week"),
        ({"hours": math.nan}, "nan hours a week"),
        ({"hours": 4.0, "floors": {"irons": -1.0}}, "irons cannot take -1 hours"),
        ({"hours": 4.0, "ceilings": {"irons": math.nan}}, "irons cannot take nan hours"),
        ({"hours": 4.0, "locks": {"irons": (99, 30.0)}}, "99 x 30 minutes"),
        ({"hours": 4.0, "locks": {"irons": (1, 30.0)}, "floors": {"irons": 1.0}}, "locked and bounded"),
    ],
)
def test_wishes_that_make_no_sense_are_refused(wishes: dict[str, object], message: str) -> None:
    with pytest.raises(InputError, match=message):
        Wishes(**wishes)  # type: ignore[arg-type]


def test_a_plan_says_which_hours_a_limit_has_cut(fitted_club: Path) -> None:
    """The terminal and the pages then do not call the week the present one."""
    with Club.open(fitted_club) as club:
        posterior, tables = current_fit(club)[1], club.tables()
    [free] = plan_tables(posterior, tables, golfers=["G01"]).records
    assert free["limited"] == []
    most = max(free["weeks_plan"], key=lambda row: row["hours_now"])
    row: dict[str, Any] = {"golfer_id": "G01", "category": most["category"], "most_minutes_per_week": 0.0}
    row["starts_on"] = pd.Timestamp("2026-07-01")
    held = replace(tables, limits=as_table("limits", pd.DataFrame([row])))
    [found] = plan_tables(posterior, held, golfers=["G01"]).records
    assert found["limited"] == [most["category"]]
    advised = {one["category"]: one["hours_advised"] for one in found["weeks_plan"]}
    assert advised[most["category"]] == 0.0


def test_one_entry_after_a_silence_is_no_week(fitted_club: Path) -> None:
    """Of 8 hours planned 0.2 are told of late, all of one kind: up to 2 hours the habit fills in."""
    with Club.open(fitted_club) as club:
        _, posterior = current_fit(club)
    names = tuple(name for name in posterior.categories if name != PHANTOM)
    place, width = posterior.golfer_number("G01"), len(posterior.constant("recent")[0])
    told = np.zeros(width)
    told[0] = 0.2
    habit = posterior.constant("habit")[place]
    one = _with(posterior, place, told)
    found = present_split(one, "G01", names, 8.0)
    real = habit[: len(names)] / habit[: len(names)].sum()
    expected = 8.0 * (told[: len(names)] + 1.8 * real) / 2.0
    np.testing.assert_allclose(found, expected, rtol=1e-6)
    enough = _with(posterior, place, 10.0 * told)
    assert present_split(enough, "G01", names, 8.0)[0] == pytest.approx(8.0)


def _with(posterior: Any, place: int, told: Any) -> Any:
    """The same fit with other hours of late for one golfer."""

    class Told:
        categories = posterior.categories
        golfer_number = staticmethod(posterior.golfer_number)

        @staticmethod
        def constant(name: str) -> Any:
            values = np.array(posterior.constant(name))
            if name == "recent":
                values[place] = told
            return values

    return Told()


def test_the_weeks_that_are_told_are_those_that_are_counted() -> None:
    assert f"the last {RECENT_WEEKS} weeks" in SCALED

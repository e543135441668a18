"""Hours before the record, of real practice and of the phantom, which is another golfer's practice."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.dose.diary import read_diary
from paryield.dose.stock import stock, stock_on
from paryield.model.doses import phantom_hours, with_phantom
from paryield.model.spec import ModelSpec
from paryield.tables.categories import SHIPPED


def test_hours_before_the_record_follow_each_golfers_own_start() -> None:
    """By hand: one hour a week for 26 weeks, then three; B begins ten weeks after A, so each is the other's
    phantom, cut to his own record (for A the last ten weeks begin again)."""
    monday, late = 4, 4 + 70
    rows = [
        {"golfer_id": golfer, "practised_on": pd.Timestamp(np.datetime64(start + 7 * week, "D"))}
        | {"category": "chipping", "minutes": 60.0 if week < 26 else 180.0, "reps": None, "state": "done"}
        for golfer, start, weeks in (("A", monday, 62), ("B", late, 52))
        for week in range(weeks)
    ]
    golfers = pd.DataFrame({"golfer_id": ["A", "B"], "diary_complete": [True, True]})
    starts = np.array([monday, late])
    diary = read_diary(pd.DataFrame(rows), golfers, SHIPPED, starts, monday + 7 * 62 - 1)
    categories, hours, before = with_phantom(diary, starts, ModelSpec())
    assert [category.name for category in categories] == ["chipping", "phantom"]
    assert hours.shape[2] == 2
    usual = {"A": (26 + 36 * 3) / 62, "B": (26 + 26 * 3) / 52}
    assert before[0, 0] == pytest.approx((26 + 4 * usual["A"]) / 30)
    assert before[1, 0] == pytest.approx((26 + 4 * usual["B"]) / 30)
    of_b_twice = (26 + 26 * 3 + 10) / 62
    assert before[0, 1] == pytest.approx((26 + 4 * of_b_twice) / 30)
    assert before[1, 1] == pytest.approx((26 + 4 * usual["B"]) / 30)


def test_phantom_is_the_other_writers_mean_from_the_golfers_own_start() -> None:
    """By hand: A practises 60 min on day 0 in one of two categories, B from day 2 on 30 min in each."""
    practice = pd.DataFrame(
        {
            "golfer_id": ["A", "B", "B"],
            "practised_on": pd.to_datetime(["1970-01-05", "1970-01-07", "1970-01-07"]),
            "category": ["chipping", "chipping", "irons"],
            "minutes": [60.0, 30.0, 30.0],
            "reps": [None, None, None],
            "state": ["done"] * 3,
        }
    )
    golfers = pd.DataFrame({"golfer_id": ["A", "B"], "diary_complete": [True, True]})
    starts = np.array([4, 6])
    diary = read_diary(practice, golfers, SHIPPED, starts, 9)
    found = phantom_hours(diary, starts)
    np.testing.assert_allclose(found[0], [0.5, 0, 0, 0, 0.5, 0])
    np.testing.assert_allclose(found[1], [0, 0, 0.5, 0, 0, 0])


def test_stock_on_asked_days_is_the_stock_run_day_by_day() -> None:
    rng = np.random.default_rng(1)
    hours = rng.gamma(0.5, size=(120, 3)) * (rng.random((120, 3)) < 0.3)
    half_lives = np.array([40.0, 198.0, 395.0])
    days = np.array([0, 1, 17, 60, 119, 120])
    longer = np.concatenate([hours, np.zeros((1, 3))])
    run = np.stack([stock(longer[:, j], half_lives[j], axis=0) for j in range(3)], axis=1)
    np.testing.assert_allclose(stock_on(hours, half_lives, days), run[days], rtol=1e-12)

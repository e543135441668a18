"""Hours before the record, of real practice and of the phantom, are read off the start of the diary."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.dose.diary import read_diary
from paryield.model.doses import with_phantom
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

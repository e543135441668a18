"""What moves together: planted ties, numbers against pandas."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.dose.diary import Diary, read_diary
from paryield.model.before_fit import co_movement, groups, stock_changes
from paryield.tables.categories import SHIPPED


def diary(seed: int, *, weeks: int = 60) -> tuple[Diary, np.ndarray]:
    """Six golfers: lag putting always half of short putting, chipping on its own."""
    rng = np.random.default_rng(seed)
    rows = []
    for golfer in range(6):
        for week in range(weeks):
            day = pd.Timestamp("2025-01-06") + pd.Timedelta(weeks=week)
            putting, chips = 60 * rng.gamma(0.7), 60 * rng.gamma(0.7)
            for name, minutes in (
                ("short_putting", putting),
                ("lag_putting", putting / 2),
                ("chipping", chips),
            ):
                rows.append((f"g{golfer}", day, name, minutes))
    practice = pd.DataFrame(rows, columns=["golfer_id", "practised_on", "category", "minutes"])
    practice = practice.assign(reps=np.nan, state="done")
    golfers = pd.DataFrame({"golfer_id": [f"g{one}" for one in range(6)], "diary_complete": True})
    first = int(np.datetime64("2025-01-06", "D").astype(int))
    starts = np.full(6, first)
    return read_diary(practice, golfers, SHIPPED, starts, first + 7 * weeks - 1), starts


def test_a_planted_tie_is_found_and_nothing_else() -> None:
    found = co_movement(*diary(1))
    assert found.tied == (("short_putting", "lag_putting"),)
    places = {name: place for place, name in enumerate(found.categories)}
    assert found.correlation[places["short_putting"], places["lag_putting"]] > 0.999
    assert abs(found.correlation[places["short_putting"], places["chipping"]]) < 0.5
    record = found.to_dict()
    assert record["tied"] == [["short_putting", "lag_putting"]]
    assert record["correlation"][0][0] == 1.0


def test_correlations_are_those_of_pandas_on_changes_within_golfers() -> None:
    book, starts = diary(2)
    moved = stock_changes(book, starts)
    expected = pd.DataFrame(moved).corr().to_numpy()
    np.testing.assert_allclose(co_movement(book, starts).correlation, expected, atol=2e-3)
    assert len(moved) == 6 * (60 * 7 // 28 - 1 + (60 * 7 % 28 > 0))


def test_a_short_record_says_nothing_of_ties() -> None:
    assert co_movement(*diary(3, weeks=8)).tied == ()


def test_groups_need_every_pair() -> None:
    """a-b and b-c are tied, a-c is not: the strongest pair is joined, c stays alone."""
    correlation = np.array([[1, 0.99, 0.90], [0.99, 1, 0.96], [0.90, 0.96, 1.0]])
    assert groups(("a", "b", "c"), correlation) == (("a", "b"),)
    assert groups(("a", "b", "c"), np.full((3, 3), 0.97)) == (("a", "b", "c"),)


def test_what_never_moves_has_no_correlation() -> None:
    assert groups(("a", "b"), np.array([[np.nan, np.nan], [np.nan, 1.0]])) == ()


@pytest.mark.parametrize("seed", [4, 5])
def test_ties_do_not_depend_on_the_size_of_doses(seed: int) -> None:
    book, starts = diary(seed)
    hours = book.hours * np.array([1.0, 10.0, 0.1])
    changed = Diary(**{**vars(book), "hours": hours})
    assert co_movement(changed, starts).tied == co_movement(book, starts).tied

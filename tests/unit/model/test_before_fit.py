"""The look before a fit: slopes against statsmodels, null and planted credit, ties against pandas."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from paryield.dose.diary import Diary, read_diary
from paryield.model.before_fit import (
    before_fit,
    club_diary,
    co_movement,
    groups,
    jackknife_slope,
    stock_changes,
    time_shift,
)
from paryield.scoring import differentials
from paryield.synth import ClubSpec, make_club
from paryield.tables import Tables
from paryield.tables.categories import SHIPPED


def test_slope_and_error_are_those_of_fits_with_a_column_for_each_golfer() -> None:
    """Second route: OLS with dummies in statsmodels, run again without each golfer."""
    rng = np.random.default_rng(1)
    golfer = np.repeat(np.arange(9), 20)
    design = rng.normal(size=(180, 4)) + rng.normal(size=9)[golfer, None]
    outcome = design @ [0.5, 1, -1, 0] + rng.normal(size=9)[golfer] + rng.normal(size=180)

    def first(rows: np.ndarray) -> float:
        dummies = np.column_stack([design, np.eye(9)[golfer]])[rows]
        return float(sm.OLS(outcome[rows], dummies[:, np.abs(dummies).sum(axis=0) > 0]).fit().params[0])

    left = np.array([first(golfer != one) for one in range(9)])
    slope, error = jackknife_slope(design, outcome, golfer)
    assert slope == pytest.approx(first(golfer >= 0), rel=1e-9)
    assert error == pytest.approx(np.sqrt(8 / 9 * ((left - left.mean()) ** 2).sum()), rel=1e-9)


def test_a_column_that_the_others_say_cannot_be_told() -> None:
    rng = np.random.default_rng(2)
    golfer = np.repeat(np.arange(6), 20)
    design = rng.normal(size=(120, 3))
    design[:, 0] = design[:, 1] - 2 * design[:, 2]
    assert all(np.isnan(jackknife_slope(design, rng.normal(size=120), golfer)))


@pytest.fixture(scope="module")
def club() -> tuple[Tables, Diary, np.ndarray]:
    tables = make_club(ClubSpec(golfers=16, weeks=90, seed=8)).tables
    return tables, *club_diary(tables)


def test_moved_practice_earns_nothing_where_scores_are_luck(club: tuple[Tables, Diary, np.ndarray]) -> None:
    """Scores drawn by lot, 25 times: some copy of some category is credited in about 1 of 20."""
    tables, diary, starts = club
    rounds = differentials(tables)
    wrong = 0
    for seed in range(25):
        luck = np.random.default_rng(seed).normal(15, 3, len(rounds))
        found = time_shift(diary, starts, rounds.assign(differential=luck))
        wrong += any(one["verdict"] == "earns something" for one in found)
    assert len(found) == 2 * len(diary.categories)
    assert wrong <= 6


def test_a_planted_effect_of_later_practice_is_found(club: tuple[Tables, Diary, np.ndarray]) -> None:
    """Scores that fall with the practice of half a year later: no practice could do that."""
    tables, diary, starts = club
    rounds = differentials(tables)
    from paryield.dose.stock import stock

    place = 0
    by_day = stock(diary.hours[:, :, place], diary.categories[place].half_life_days)
    order = {golfer: number for number, golfer in enumerate(diary.golfers)}
    day = rounds["played_on"].to_numpy().astype("datetime64[D]").astype(int) + 182 - diary.first_day
    inside = np.clip(day, 0, by_day.shape[1] - 1)
    credit = by_day[rounds["golfer_id"].map(order).to_numpy(int), inside] / 20.0
    luck = np.random.default_rng(3).normal(15, 0.5, len(rounds)) - 2.0 * credit
    found = time_shift(diary, starts, rounds.assign(differential=luck))
    planted = next(
        one for one in found if one["category"] == diary.categories[place].name and one["moved"] == "earlier"
    )
    assert planted["verdict"] == "earns something"
    assert planted["low"] < 2.0 < planted["high"]


def test_the_record_of_a_club_without_a_diary_is_empty(club: tuple[Tables, Diary, np.ndarray]) -> None:
    from paryield.tables import make_tables

    tables = club[0]
    frames = {**dict(tables.items()), "practice": pd.DataFrame()}
    found = before_fit(make_tables(frames, categories=tables.categories, settings=tables.settings))
    assert found == {
        "co_movement": {"categories": [], "correlation": [], "changes": 0, "tied": []},
        "time_shift": [],
    }


def test_the_record_is_plain_json(club: tuple[Tables, Diary, np.ndarray]) -> None:
    import json

    text = json.dumps(before_fit(club[0]), allow_nan=False)
    assert set(json.loads(text)) == {"co_movement", "time_shift"}


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

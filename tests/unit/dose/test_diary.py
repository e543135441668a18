"""A blank week is unknown, a written none is none."""

import numpy as np
import pandas as pd
import pytest

from paryield.dose.diary import Diary, read_diary
from paryield.tables import Tables, make_tables
from paryield.tables.categories import SHIPPED

MONDAY = pd.Timestamp("2026-01-05")
START = np.array([int(MONDAY.to_numpy().astype("datetime64[D]").astype(int))])


def club(practice: list[dict[str, object]], **golfer: object) -> Tables:
    golfers = pd.DataFrame([{"golfer_id": "A", **golfer}])
    rows = [{"golfer_id": "A", "entry_no": number, **row} for number, row in enumerate(practice, 1)]
    frames = {"golfers": golfers}
    if rows:
        frames["practice"] = pd.DataFrame(rows)
    return make_tables(frames)


def diary(tables: Tables, weeks: int = 4) -> Diary:
    return read_diary(tables.practice, tables.golfers, SHIPPED, START, int(START[0]) + 7 * weeks - 1)


def entry(week: int, minutes: float | None = 60, category: str = "chipping", **more: object) -> dict:
    day = MONDAY + pd.Timedelta(days=7 * week + 2)
    return {"practised_on": day, "category": category, "minutes": minutes, **more}


def test_an_unknown_week_carries_a_part_of_the_golfers_habit_and_is_marked() -> None:
    """A blank after three written weeks was an idle one or a forgotten one: neither none nor all is read."""
    found = diary(club([entry(0, 120), entry(1, 120), entry(2, 120), entry(4, 120)]), weeks=5)
    assert found.weeks_known[0] == 4
    assert found.weeks_filled[0] == 1
    unknown = slice(21, 28)
    assert not found.known[0, unknown].any()
    held = found.hours[0, unknown, 0].sum()
    assert 0.5 < held < 1.5
    # Two hours or none: the variance of such a week.
    assert found.doubt[0, unknown, 0].sum() == pytest.approx(held * (2.0 - held))


def test_a_silence_is_read_as_less_and_less_practice() -> None:
    """20 weeks of two hours each, then 26 without a row; then the same with a row every other week."""
    regular = diary(club([entry(week, 120) for week in range(20)]), weeks=46)
    by_week = regular.hours[0, :, 0].reshape(46, 7).sum(axis=1)
    assert np.all(np.diff(by_week[20:]) <= 1e-3)
    assert by_week[45] < 0.05
    assert regular.recent[0, 0] < 0.1
    assert regular.habit[0, 0] == pytest.approx(2.0, abs=0.1)
    seldom = diary(club([entry(week, 120) for week in range(0, 20, 2)]), weeks=46)
    early = slice(7 * 22, 7 * 26)
    read = [one.hours[0, early].sum() / one.habit[0, 0] for one in (seldom, regular)]
    assert read[0] > read[1]


def test_a_complete_diary_is_read_as_it_stands() -> None:
    rows = [entry(week, 120) for week in range(10)]
    found = diary(club(rows, diary_complete=True), weeks=36)
    assert found.known.all()
    assert found.hours.sum() == pytest.approx(20.0)
    assert found.habit[0, 0] == pytest.approx(20.0 / 36)
    assert found.recent[0, 0] == 0.0
    assert not found.doubt.any()


def test_a_week_without_rows_is_zero_when_the_diary_is_complete() -> None:
    found = diary(club([entry(0, 120), entry(2, 120)], diary_complete=True), weeks=4)
    assert found.weeks_known[0] == 4
    assert found.hours[0, 7:14].sum() == 0.0
    assert found.hours[0].sum() == pytest.approx(4.0)


def test_a_week_written_as_none_is_zero() -> None:
    rows = [entry(0, 60), entry(1, None, category="chipping", state="none"), entry(2, 60), entry(3, 60)]
    found = diary(club(rows))
    assert found.weeks_known[0] == 4
    assert found.hours[0, 7:14].sum() == 0.0


def test_a_week_written_as_unknown_is_filled() -> None:
    rows = [entry(0, 60), entry(1, None, state="unknown"), entry(2, 60), entry(3, 60)]
    found = diary(club(rows))
    assert found.weeks_filled[0] == 1
    assert found.hours[0, 7:14].sum() > 0.5


def test_in_a_week_with_rows_a_category_without_a_row_is_zero() -> None:
    found = diary(club([entry(0, 60, "chipping"), entry(1, 60, "bunker")]), weeks=2)
    names = [category.name for category in found.categories]
    assert found.hours[0, :7, names.index("bunker")].sum() == 0.0
    assert found.hours[0, :7, names.index("chipping")].sum() == pytest.approx(1.0)


def test_repetitions_become_hours_by_the_pace() -> None:
    """Chipping is shipped with 40 minutes per 100 repetitions (common practice, no source)."""
    found = diary(club([entry(0, None, reps=300)]), weeks=1)
    assert found.hours[0].sum() == pytest.approx(2.0)


def test_a_golfer_without_any_entry_has_no_diary_and_no_hours() -> None:
    found = diary(club([]))
    assert not found.has_diary[0]
    assert found.hours.sum() == 0.0


def test_the_present_habit_is_that_of_the_last_twelve_weeks() -> None:
    rows = [entry(week, 60) for week in range(12)] + [entry(week, 180) for week in range(12, 24)]
    found = diary(club(rows), weeks=24)
    assert found.recent[0, 0] == pytest.approx(3.0)
    assert found.habit[0, 0] == pytest.approx(2.0)


def test_what_was_practised_before_the_record_is_read_off_its_first_half_year() -> None:
    """An hour a week for 26 weeks, then three: before the record it was one, shrunk by 4 weeks' worth."""
    rows = [entry(week, 60) for week in range(26)] + [entry(week, 180) for week in range(26, 52)]
    found = diary(club(rows), weeks=52)
    assert found.start[0, 0] == pytest.approx((26 * 1.0 + 4 * 2.0) / 30)


def test_a_diary_that_begins_after_the_rounds_says_at_its_start_what_was_before() -> None:
    """Rounds from week 0, a diary from week 30 on: an hour a week for half a year, then three."""
    rows = [entry(week, 60) for week in range(30, 56)] + [entry(week, 180) for week in range(56, 82)]
    found = diary(club(rows), weeks=82)
    assert found.habit[0, 0] == pytest.approx(2.0)
    assert found.start[0, 0] == pytest.approx((26 * 1.0 + 4 * 2.0) / 30)
    before = found.hours[0, : 7 * 30, 0].reshape(30, 7).sum(axis=1)
    assert before == pytest.approx(np.full(30, found.start[0, 0]))
    assert not found.known[0, : 7 * 30].any()


def test_without_a_known_week_at_the_start_the_habit_stands_for_what_was_before() -> None:
    found = diary(club([entry(week, 120) for week in range(30, 40)]), weeks=40)
    assert found.start[0, 0] == pytest.approx(found.habit[0, 0]) == pytest.approx(2.0)


@pytest.mark.parametrize("weeks", [1, 3, 10])
def test_a_diary_shorter_than_half_a_year_has_its_habit_from_the_start(weeks: int) -> None:
    """Also with so few weeks that the club's average weighs in: it does so once."""
    golfers = pd.DataFrame([{"golfer_id": "A"}, {"golfer_id": "B"}])
    rows = [{"golfer_id": "A", "entry_no": week, **entry(week, 600)} for week in range(weeks)]
    rows += [{"golfer_id": "B", "entry_no": week, **entry(week, 60)} for week in range(weeks)]
    tables = make_tables({"golfers": golfers, "practice": pd.DataFrame(rows)})
    starts = np.repeat(START, 2)
    found = read_diary(tables.practice, tables.golfers, SHIPPED, starts, int(START[0]) + 7 * 40 - 1)
    assert found.start == pytest.approx(found.habit)
    assert found.weeks_known.tolist() == [weeks, weeks]

"""What belongs to a club's tables is worked out once, and goes with them."""

import gc
import weakref
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.dose.diary import days_since_epoch, fill_minutes
from paryield.forecast.once import SHARED, club_of, hand_on, own_entries, own_record, own_rows, people
from paryield.forecast.refreshed import golfers_only
from paryield.scoring import handicap_records
from paryield.tables import Tables, make_tables
from paryield.tables.frames import once


def club() -> Tables:
    return make_tables({"golfers": pd.DataFrame([{"golfer_id": "A"}])})


@pytest.fixture(scope="module")
def tables(fitted_club: Path) -> Tables:
    with Club.open(fitted_club) as opened:
        return opened.tables()


def test_the_same_question_of_the_same_tables_is_worked_out_once() -> None:
    tables, other, asked = club(), club(), []
    for who, key in ((tables, "a"), (tables, "a"), (tables, "b"), (other, "a")):
        once(who, key, lambda: asked.append(1) or len(asked))
    assert len(asked) == 3
    assert once(tables, "a", lambda: 0) == 1


def test_tables_that_nobody_holds_any_more_are_not_held_here() -> None:
    tables = club()
    once(tables, "a", lambda: 1)
    seen = weakref.ref(tables)
    del tables
    gc.collect()
    assert seen() is None


def test_the_rows_of_one_golfer_are_those_a_search_finds(tables: Tables) -> None:
    for golfer in (*tables.golfers["golfer_id"], "nobody"):
        mine = own_rows(tables, str(golfer))
        for name, frame in tables.items():
            whole = frame if name in SHARED else frame[frame["golfer_id"] == golfer]
            pd.testing.assert_frame_equal(getattr(mine, name), whole)
        assert own_rows(mine, str(golfer)).rounds.equals(mine.rounds)
        assert own_record(tables, str(golfer)) == handicap_records(tables).get(str(golfer))


def test_what_is_known_of_a_golfer_is_read_off_the_club_from_his_rows_too(tables: Tables) -> None:
    golfer = str(tables.golfers["golfer_id"].iloc[1])
    mine = own_rows(tables, golfer)
    assert club_of(mine) is tables
    assert club_of(tables) is tables
    assert list(people(mine)) == [golfer]
    assert people(tables)[golfer]["display_name"] == mine.golfers["display_name"].iloc[0]


def test_entries_of_one_golfer_are_those_of_the_table(tables: Tables) -> None:
    for golfer in (*tables.golfers["golfer_id"], "nobody"):
        rows = tables.practice[tables.practice["golfer_id"] == golfer]
        minutes, _ = fill_minutes(rows, {one.name: one for one in tables.categories})
        for asked in (tables, own_rows(tables, str(golfer))):
            found = own_entries(asked, str(golfer))
            np.testing.assert_array_equal(found.day, days_since_epoch(rows["practised_on"]))
            np.testing.assert_array_equal(found.minutes, minutes.to_numpy(float))
            assert found.category.tolist() == rows["category"].fillna("").tolist()
            assert found.state.tolist() == rows["state"].fillna("done").tolist()


def test_records_worked_out_of_some_golfers_are_not_worked_out_again(
    tables: Tables, monkeypatch: pytest.MonkeyPatch
) -> None:
    everybody = handicap_records(tables)
    first, other = list(everybody)[:2]
    club = replace(tables)
    hand_on(golfers_only(club, [first]), club)

    def never(*_: object) -> None:
        raise AssertionError("worked out again")

    monkeypatch.setattr("paryield.forecast.once.handicap_records", never)
    assert own_record(club, first) == everybody[first]
    with pytest.raises(AssertionError):
        own_record(club, other)

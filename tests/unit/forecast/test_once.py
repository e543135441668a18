"""What belongs to a club's tables is worked out once, and goes with them."""

import gc
import weakref
from pathlib import Path

import pandas as pd

from paryield.club import Club
from paryield.forecast.once import SHARED, once, own_record, own_rows
from paryield.scoring import handicap_records
from paryield.tables import Tables, make_tables


def club() -> Tables:
    return make_tables({"golfers": pd.DataFrame([{"golfer_id": "A"}])})


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


def test_the_rows_of_one_golfer_are_those_a_search_finds(tiny_club: Path) -> None:
    with Club.open(tiny_club) as opened:
        tables = opened.tables()
    for golfer in (*tables.golfers["golfer_id"], "nobody"):
        mine = own_rows(tables, str(golfer))
        for name, frame in tables.items():
            whole = frame if name in SHARED else frame[frame["golfer_id"] == golfer]
            pd.testing.assert_frame_equal(getattr(mine, name), whole)
        assert own_rows(mine, str(golfer)).rounds.equals(mine.rounds)
        assert own_record(tables, str(golfer)) == handicap_records(tables).get(str(golfer))

"""What belongs to a club's tables is worked out once, and goes with them."""

import gc
import weakref

import pandas as pd

from paryield.forecast.once import once
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

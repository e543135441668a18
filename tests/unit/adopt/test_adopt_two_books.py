"""Two workbooks that were written before anybody looked at how they are read: all of it, few questions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from blind_books import read, read_week_after_week
from own_sheets import TODAY
from two_books import Truth, italian, scottish

from paryield.adopt import Memory, adopt_folder

SAID = {
    "italian": {
        "numbered weeks": "2026",
        "kind of test": "chips that came to their spot",
        "practice: approcci": "chipping",
        "practice: palestra": "strength",
        "person": "the same",
    },
    "scottish": {
        "numbered weeks": "2026-01-12",
        "practice: holing out": "short_putting",
        "person": "the same",
    },
}
WRITE: dict[str, Callable[[Path, int], Truth]] = {"italian": italian, "scottish": scottish}


@pytest.mark.parametrize(("style", "most"), [("italian", 5), ("scottish", 3)])
def test_all_of_a_workbook_is_read_and_next_weeks_comes_without_a_question(
    tmp_path: Path, style: str, most: int
) -> None:
    read_week_after_week(tmp_path, WRITE[style], (22, 24), most, SAID[style])


@pytest.mark.parametrize("style", ["italian", "scottish"])
def test_nothing_wrong_is_taken_before_an_answer(tmp_path: Path, style: str) -> None:
    truth = WRITE[style](tmp_path, 22)
    got = read(adopt_folder(tmp_path, Memory(), today=TODAY))
    named = Truth(*([(" ".join(sorted(str(row[0]).casefold().split())), *row[1:]) for row in rows]
                    for rows in (truth.rounds, truth.practice, truth.tests)))  # fmt: skip
    assert set(got.rounds) <= set(named.rounds)
    assert set(got.practice) <= set(named.practice)
    assert set(got.tests) <= set(named.tests)

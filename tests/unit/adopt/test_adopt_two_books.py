"""Two workbooks that were written before anybody looked at how they are read: all of it, few questions."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from own_sheets import TODAY
from two_books import Truth, italian, scottish

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.tables.kinds_of_test import name_of_kind, value_kind

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


def answered(folder: Path, memory: Memory, told: dict[str, str]) -> tuple[Adoption, int]:
    """Answer every question truly; return what was read, and how many questions there were."""
    asked = set()
    for _ in range(5):
        found = adopt_folder(folder, memory, today=TODAY)
        if not found.questions:
            return found, len(asked)
        for one in found.questions:
            asked.add(one.key)
            memory.take([(one, next(said for key, said in told.items() if one.key.startswith(key)))])
    raise AssertionError(asked)


def read(found: Adoption) -> Truth:
    """Return what was read in the form of the truth; golfers as the words of their names."""
    tables, truth = found.tables(), Truth()
    who = {
        row["golfer_id"]: " ".join(sorted(row["display_name"].casefold().split()))
        for row in tables["golfers"]
    }
    for row in tables["rounds"]:
        ratings = float(row["course_rating"]), int(row["slope_rating"])
        truth.rounds.append(
            (who[row["golfer_id"]], row["played_on"], int(row["adjusted_gross_score"]), *ratings)
        )
    for row in tables["practice"]:
        week = date.fromisoformat(row["practised_on"]).isocalendar()[:2]
        truth.practice.append((who[row["golfer_id"]], *week, row["category"], int(row["minutes"])))
    for row in tables["assessments"]:
        valued = value_kind(row["test"])
        kind = name_of_kind(row["test"]) if valued is None else valued[0]
        feet = float(row["distance_ft"]) if row.get("distance_ft") else None
        tried = int(row["tried"]) if row.get("tried") else None
        result = int(row.get("made") or row["value"])
        truth.tests.append((who[row["golfer_id"]], row["assessed_on"], kind, feet, tried, result))
    return truth


def same(one: list[tuple[object, ...]], other: list[tuple[object, ...]]) -> bool:
    named = [(" ".join(sorted(str(row[0]).casefold().split())), *row[1:]) for row in other]
    return sorted(map(repr, one)) == sorted(map(repr, named))


@pytest.mark.parametrize(("style", "most"), [("italian", 5), ("scottish", 3)])
def test_all_of_a_workbook_is_read_and_next_weeks_comes_without_a_question(
    tmp_path: Path, style: str, most: int
) -> None:
    memory = Memory()
    for weeks, questions in ((22, most), (24, 0)):
        truth = WRITE[style](tmp_path, weeks)
        found, asked = answered(tmp_path, memory, SAID[style])
        assert asked <= questions
        got = read(found)
        assert same(got.rounds, truth.rounds)
        assert same(got.practice, truth.practice)
        assert same(got.tests, truth.tests)
        memory = Memory(memory.answers, memory.people | found.people.ids)


@pytest.mark.parametrize("style", ["italian", "scottish"])
def test_nothing_wrong_is_taken_before_an_answer(tmp_path: Path, style: str) -> None:
    truth = WRITE[style](tmp_path, 22)
    got = read(adopt_folder(tmp_path, Memory(), today=TODAY))
    named = Truth(*([(" ".join(sorted(str(row[0]).casefold().split())), *row[1:]) for row in rows]
                    for rows in (truth.rounds, truth.practice, truth.tests)))  # fmt: skip
    assert set(got.rounds) <= set(named.rounds)
    assert set(got.practice) <= set(named.practice)
    assert set(got.tests) <= set(named.tests)

"""Rounds read otherwise replace what was read; what somebody changed by hand stays and is listed."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder
from paryield.club import Club

HEAD = "Date,Player,Score,CR,Slope\n"
ROUNDS = ("03/04/2026,Maud,84,71.2,128\n", "05/04/2026,Maud,88,71.2,128\n")


def tables(folder: Path, name: str, text: str, **said: str) -> Path:
    """Return the tables of one sheet of rounds, read with some answers."""
    own = folder / name / "own"
    own.mkdir(parents=True)
    (own / "rounds.csv").write_text(text, encoding="utf-8")
    answers = {key.replace("_", " "): answer for key, answer in said.items()}
    found = adopt_folder(own, Memory(), known={}, today=TODAY)
    memory = Memory()
    for _ in range(3):
        if not found.questions:
            break
        memory.take(
            [(one, next(to for key, to in answers.items() if one.key.startswith(key)))
             for one in found.questions]
        )  # fmt: skip
        found = adopt_folder(own, memory, known={}, today=TODAY)
    assert found.questions == []
    out = folder / name / "tables"
    found.write(out)
    return out


def held(club: Club) -> list[tuple[str, int]]:
    frame = club.tables().rounds
    rows = zip(frame["played_on"], frame["adjusted_gross_score"], strict=True)
    return sorted((day.date().isoformat(), int(score)) for day, score in rows)


@pytest.fixture
def club(tmp_path: Path) -> Club:
    return Club.open(tmp_path / "club.db", create=True)


DAYS = {"order_of_day_and_month": "day first"}
MONTHS = {"order_of_day_and_month": "month first"}
BY_DAY = [("2026-04-03", 84), ("2026-04-05", 88)]
BY_MONTH = [("2026-03-04", 84), ("2026-05-04", 88)]


def test_rounds_whose_days_are_read_otherwise_are_not_stored_twice(tmp_path: Path, club: Club):
    text = HEAD + "".join(ROUNDS)
    club.import_folder(tables(tmp_path, "one", text, **DAYS))
    assert held(club) == BY_DAY
    other = tables(tmp_path, "two", text, **MONTHS)
    assert club.read_otherwise(other) == {"read": 2, "changed": 0, "alike": 0}
    receipt = club.import_folder(other)
    assert receipt.reread == {"rounds": 2}
    assert held(club) == BY_MONTH
    assert receipt.import_no is not None
    club.undo(receipt.import_no)
    assert held(club) == BY_DAY


def test_the_same_text_on_another_day_is_another_round(tmp_path: Path, club: Club):
    first = "Date,Player,Course,Score,CR,Slope\n13/04/2026,Maud,Low Barrow,84,71.2,128\n"
    second = first.replace("13/04", "20/04")
    club.import_folder(tables(tmp_path, "one", first))
    club.import_folder(tables(tmp_path, "two", second))
    assert held(club) == [("2026-04-13", 84), ("2026-04-20", 84)]


KEY = {"golfer_id": "G01", "played_on": "2026-04-03", "round_no": "1"}


def test_replace_keeps_a_round_changed_by_hand_and_lists_it(tmp_path: Path, club: Club):
    text = HEAD + "".join(ROUNDS)
    first = tables(tmp_path, "one", text, **DAYS)
    club.import_folder(first)
    row = club.row("rounds", KEY)
    assert row is not None
    club.edit("rounds", {**KEY, "adjusted_gross_score": "86", "course_rating": "71.2", "slope_rating": "128"},
              row.seen)  # fmt: skip
    assert not club.import_folder(first).changed
    changed = text.replace("88", "89").replace("84", "83")
    other = tables(tmp_path, "two", changed, **DAYS)
    (kept,) = club.met(other).kept
    assert kept.said == ("adjusted gross score 86 on record, 83 in the sheet",)
    receipt = club.import_folder(other, replace=True)
    assert held(club) == [("2026-04-03", 86), ("2026-04-05", 89)]
    (listed,) = [one for one in receipt.problems if "by hand" in one.message]
    assert "86 on record, 83 in the sheet" in listed.message
    club.import_folder(other, replace=True, take=("read", "changed"))
    assert held(club) == [("2026-04-03", 83), ("2026-04-05", 89)]


def test_a_round_with_holes_typed_gives_way_only_where_that_is_said(tmp_path: Path, club: Club):
    text = HEAD + "".join(ROUNDS)
    club.import_folder(tables(tmp_path, "one", text, **DAYS))
    hole = {**KEY, "hole": "1", "par": "4", "stroke_index": "7", "strokes": "5"}
    club.log("holes", hole)
    other = tables(tmp_path, "two", text, **MONTHS)
    club.import_folder(other)
    assert held(club) == sorted([("2026-04-03", 84), ("2026-05-04", 88)])
    assert len(club.tables().holes) == 1
    number = club.import_folder(other, take=("read", "changed")).import_no
    assert held(club) == BY_MONTH
    assert len(club.tables().holes) == 0
    assert number is not None
    club.undo(number)
    assert (held(club), len(club.tables().holes)) == ([("2026-04-03", 84), ("2026-05-04", 88)], 1)


def test_a_round_taken_off_by_hand_stays_off_with_replace(tmp_path: Path, club: Club):
    first = tables(tmp_path, "one", HEAD + "".join(ROUNDS), **DAYS)
    club.import_folder(first)
    row = club.row("rounds", KEY)
    assert row is not None
    club.remove("rounds", KEY, row.seen)
    club.import_folder(first, replace=True)
    assert held(club) == BY_DAY[1:]
    club.import_folder(first, replace=True, take=("read", "changed"))
    assert held(club) == BY_DAY

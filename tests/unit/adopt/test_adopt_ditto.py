"""Marks for "the same", and cells that are left blank under one that holds for them."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import DITTO

MARKS = ('"', "″", "''", "„", "ditto", "idem", "ídem", "dito", "dto.", "do.")


def adopted(folder: Path, rows: list[list[object]], answer: str | None = None) -> Adoption:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    book.save(folder / "own.xlsx")
    found = adopt_folder(folder, Memory(), today=TODAY)
    if answer is None:
        return found
    return adopt_folder(folder, Memory({one.key: answer for one in found.questions}), today=TODAY)


@pytest.mark.parametrize("mark", MARKS)
def test_a_mark_stands_for_the_cell_above_in_every_column(tmp_path: Path, mark: str) -> None:
    rows: list[list[object]] = [
        ["Date", "Player", "Course", "CR", "Slope", "Gross"],
        ["13.4.2026", "Maud", "Low Barrow", 69.8, 119, 88],
        [mark, "Olle", mark, mark, mark, 91],
        [],
        [mark, "Ines", mark, mark, mark, mark],
    ]
    found = adopted(tmp_path, rows)
    assert found.questions == []
    told = [
        (row["played_on"], row["course"], row["course_rating"], row["adjusted_gross_score"])
        for row in found.tables()["rounds"]
    ]
    day = "2026-04-13", "Low Barrow", "69.8"
    assert sorted(told) == [(*day, "88"), (*day, "91"), (*day, "91")]


def test_a_mark_with_nothing_above_stays_unread(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Date", "Player", "Course", "CR", "Slope", "Gross"],
        ["13.4.2026", "Maud", "Low Barrow", 69.8, 119, None],
        ["20.4.2026", "Olle", "Low Barrow", 69.8, 119, '"'],
    ]
    assert adopted(tmp_path, rows).tables()["rounds"] == []


WEEK: list[list[object]] = [
    ["Week", "Player", "M", "T", "W", "T", "F", "S", "S"],
    ["13.4.2026", "Maud", "sand 30 min", "idem", "", "", "", "gym 1 h", '"'],
    [None, "Olle", "driver 20 min", "idem"],
]


def test_under_a_day_of_the_week_it_is_asked_what_a_mark_says(tmp_path: Path) -> None:
    found = adopted(tmp_path, WEEK)
    (question,) = found.questions
    assert question.options == DITTO
    assert len(found.tables()["practice"]) == 3
    before = adopted(tmp_path, WEEK, DITTO[0])
    assert before.questions == []
    assert [(row["practised_on"][-2:], row["category"]) for row in before.tables()["practice"]] == [
        ("13", "bunker"),
        ("14", "bunker"),
        ("18", "strength"),
        ("19", "strength"),
        ("13", "driver"),
        ("14", "driver"),
    ]
    assert len(adopted(tmp_path, WEEK, DITTO[2]).tables()["practice"]) == 3


@pytest.mark.parametrize(
    "days",
    ["L M X J V S D", "L M M J V S D", "M D M D F S S", "Ma Di Wo Do Vr Za Zo", "M T O T F L S"],
)
def test_seven_columns_of_days_in_order_are_a_week(tmp_path: Path, days: str) -> None:
    rows: list[list[object]] = [
        ["Week", "Player", *days.split()],
        ["13.4.2026", "Maud", *["sand 30 min"] * 7],
    ]
    told = [row["practised_on"][-2:] for row in adopted(tmp_path, rows).tables()["practice"]]
    assert told == ["13", "14", "15", "16", "17", "18", "19"]


@pytest.mark.parametrize(
    ("header", "row"),
    [
        (["Date", "Player", "Exercise", "Minutes"], ["sand", 30]),
        (["Week of", "Player", "Diary"], ["sand 30 min"]),
        (["Date", "Player", "Sand", "Driver"], ["30 min", "20 min"]),
        (["Date", "Player", "CR", "Slope", "Gross"], [69.8, 119, 88]),
        (["Date", "Player", "Test", "Made", "Tried"], ["Sand", 4, 9]),
    ],
)
def test_a_blank_day_is_the_one_above(tmp_path: Path, header: list[object], row: list[object]) -> None:
    found = adopted(tmp_path, [header, ["13.4.2026", "Maud", *row], [None, "Olle", *row]])
    rows = [one for name, table in found.tables().items() if name != "golfers" for one in table]
    days = {value for one in rows for name, value in one.items() if name.endswith("_on")}
    assert days == {"2026-04-13"}
    assert {one["golfer_id"] for one in rows} == {"G01", "G02"}

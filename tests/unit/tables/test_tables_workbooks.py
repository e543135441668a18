"""Workbooks: sheets, typed cells, safety."""

from datetime import date, datetime, time, timedelta

import pytest

from malformed import package, workbook
from paryield.tables.workbooks import cell_text

HEADER = ["golfer_id", "played_on", "score_differential", "holes", "competition", "course"]
NO_ROUNDS = b"golfer_id,played_on,score_differential\n"


def test_a_workbook_named_after_its_table(read):
    row = ["G1", datetime(2026, 5, 1), 14.2, 18, True, "Old Moor"]
    reading = read(
        {
            "Rounds.xlsx": workbook({"Sheet1": [HEADER, row]}),
            "rounds.csv": NO_ROUNDS,
        }
    )
    assert reading.problems == ()
    record = reading.tables.rounds.iloc[0]
    assert str(record["played_on"].date()) == "2026-05-01"
    assert (record["score_differential"], record["holes"], record["course"]) == (14.2, 18, "Old Moor")
    assert bool(record["competition"])


def test_one_workbook_with_a_sheet_a_table(read):
    book = workbook(
        {
            "Golfers": [["golfer_id", "start_index"], [7, "+2.1"]],
            "rounds": [["# practice round left out"], HEADER[:3], [7, date(2026, 5, 1), -1.5]],
            "Lists": [["x"]],
        }
    )
    reading = read({"club.xlsx": book}, bare=True)
    (problem,) = reading.problems
    assert problem.file == "club.xlsx sheet Lists"
    assert problem.severity == "warning"
    assert reading.tables.golfers["start_index"].tolist() == [-2.1]
    assert reading.tables.rounds["golfer_id"].tolist() == ["7"]
    assert [(file.name, file.table) for file in reading.files] == [
        ("club.xlsx sheet Golfers", "golfers"),
        ("club.xlsx sheet rounds", "rounds"),
    ]
    assert len({file.sha256 for file in reading.files}) == 1


def test_rows_and_problems_in_a_sheet(read):
    book = workbook({"x": [HEADER[:3], [], ["G1", 46143, 14.2], ["G1", datetime(2026, 5, 1, 14, 30), 14.2]]})
    reading = read({"rounds.xlsx": book, "rounds.csv": NO_ROUNDS})
    lines = [problem.line() for problem in reading.errors]
    assert lines[0].startswith("rounds.xlsx, row 3, column played_on: is the day number of a spreadsheet")
    assert lines[1].startswith("rounds.xlsx, row 4, column played_on: is not written as year-month-day alone")
    assert "write 2026-05-01" in lines[1]


def test_a_workbook_without_any_table_names_its_sheets(read):
    (problem,) = read({"other.xlsx": workbook({"a": [["x"]], "b": [["y"]]})}).warnings
    assert (problem.file, problem.found) == ("other.xlsx", "sheets a, b")


def test_error_words_are_values_and_not_comments(read):
    book = workbook({"x": [HEADER[:3], ["#N/A", date(2026, 5, 1), 14.2]]})
    (problem,) = read({"rounds.xlsx": book}).errors
    assert (problem.row, problem.found) == (2, "#N/A")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (True, "yes"),
        (False, "no"),
        (9.0, "9"),
        (9.5, "9.5"),
        (7, "7"),
        (date(2026, 3, 1), "2026-03-01"),
        (datetime(2026, 3, 1), "2026-03-01"),
        (time(1, 30), "01:30:00"),
        (timedelta(hours=25, minutes=5), "25:05"),
        ("a_x000D_b", "a\rb"),
        ("_x005F_x000D_", "_x000D_"),
    ],
)
def test_cells_become_the_text_of_a_csv(value, text):
    assert cell_text(value) == text


LATE = b'<?xml version="1.0"?><!--' + b" " * 200_000 + b'--><!DOCTYPE a [<!ENTITY b "b">]><a>&b;</a>'


@pytest.mark.parametrize(
    "content",
    [LATE, LATE.decode().replace('"1.0"', '"1.0" encoding="UTF-16"').encode("utf-16")],
    ids=["behind a long comment", "in UTF-16"],
)
@pytest.mark.parametrize("name", ["xl/workbook.xml", "xl/worksheets/sheet1.bin", "anything"])
def test_a_document_type_is_found_wherever_it_hides(read, content, name):
    """XML 1.0, production 22: comments of any length may stand before the document type."""
    reading = read({"rounds.xlsx": package({name: content})})
    assert any("document type declaration" in problem.message for problem in reading.errors)


def test_a_part_that_would_fill_the_memory_is_refused(read, monkeypatch):
    monkeypatch.setattr("paryield.tables.workbooks.LARGEST_PART", 2**16)
    book = workbook({"rounds": [HEADER[:3], *([f"G{row}", "x" * 9, "1"] for row in range(3000))]})
    assert read({"rounds.xlsx": book}).rejected == {"rounds": 3000}
    padded = package({"xl/sharedStrings.xml": bytes(range(256)) * 300})
    problems = read({"rounds.xlsx": padded}).errors
    assert any("too large to be held in memory" in problem.message for problem in problems)


def test_a_member_with_a_path_is_never_unpacked_to_disk(read, tmp_path):
    reading = read({"rounds.xlsx": package({"../../escaped.csv": b"a,b\n", "/abs.csv": b"a,b\n"})})
    assert reading.errors
    assert not list(tmp_path.parent.parent.rglob("escaped.csv"))

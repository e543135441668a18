"""Sheets of tests: read with what was made of how many, and never taken as practice without a question."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.choosing import KINDS_OF_WORK
from paryield.adopt.found import FRACTIONS, LEAVE, USUAL


def adopted(folder: Path, *lines: str, name: str = "own", memory: Memory | None = None) -> Adoption:
    (folder / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def results(found: Adoption) -> list[tuple[str, ...]]:
    names = found.people.names
    return [
        (names[row["golfer_id"]], row["assessed_on"], row["test"], row["made"], row["tried"])
        for row in found.tables()["assessments"]
    ]


@pytest.mark.parametrize("said", ["out of", "von", "sur", "de", "su", "van", "av"])
def test_a_row_of_how_many_were_tried_makes_a_sheet_one_of_tests(tmp_path: Path, said: str) -> None:
    found = adopted(
        tmp_path,
        "Date;Player;Chip inside 2m;Sand on green;Total",
        f";{said};12;8;20",
        "13.4.2026;Maud;7;3;10",
        ";Olle;9;5/6;14",
        "20.4.2026;Maud;x;4;4",
    )
    assert found.questions == []
    assert found.tables()["practice"] == []
    assert results(found) == [
        ("Maud", "2026-04-13", "chip_inside_2m", "7", "12"),
        ("Maud", "2026-04-13", "sand_on_green", "3", "8"),
        ("Olle", "2026-04-13", "chip_inside_2m", "9", "12"),
        ("Olle", "2026-04-13", "sand_on_green", "5", "6"),
        ("Maud", "2026-04-20", "sand_on_green", "4", "8"),
    ]


def test_tests_below_one_another_with_a_column_a_golfer(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Test Montag 13.4.2026;;",
        "Übung;MAU;OLL",
        "Putt 2 m;7/10;8 von 10",
        "Chip < 1 m (15 Bälle);9;-",
        "Summe Putts;7/10;8/10",
        ";;",
        "Test 27.4.;;",
        "Übung;MAU;OLL",
        "Putt 2 m;6/10;12/10",
        "Chip < 1 m (15 Bälle);4;11",
    )
    assert found.questions == []
    assert results(found) == [
        ("MAU", "2026-04-13", "putting_ladder", "7", "10"),
        ("OLL", "2026-04-13", "putting_ladder", "8", "10"),
        ("MAU", "2026-04-13", "chip_1_m", "9", "15"),
        ("MAU", "2026-04-27", "putting_ladder", "6", "10"),
        ("MAU", "2026-04-27", "chip_1_m", "4", "15"),
        ("OLL", "2026-04-27", "chip_1_m", "11", "15"),
    ]


def test_a_line_above_a_list_without_its_day_leaves_the_day_open(tmp_path: Path) -> None:
    lines = ("Probe;MAU;OLL", "Putt 2 m;7/10;8/10", "Putt 3 m;7/10;8/10")
    found = adopted(tmp_path, "Test 13.4.2026;;", *lines, "Test am Samstag;;", *lines)
    assert {row[1] for row in results(found)} == {"2026-04-13"}
    assert len(results(found)) == 4


@pytest.mark.parametrize(
    ("name", "header"),
    [
        ("Skills tests", "Date;Player;Chipping;Bunker"),
        ("Pruebas", "Date;Player;Chipping;Bunker"),
        ("own", "Date;Player;Chip inside 1yd;Pitch 40yds, 3yd ring;Bunker on green"),
    ],
)
def test_what_may_be_tests_is_asked_about_before_it_is_practice(
    tmp_path: Path, name: str, header: str
) -> None:
    lines = (header, "13.4.2026;Maud;7;3;4", "20.4.2026;Maud;9;5;6")
    found = adopted(tmp_path, *lines, name=name)
    question = next(one for one in found.questions if one.key.startswith("practice or tests"))
    assert question.options == KINDS_OF_WORK
    assert question.proposal is None
    assert found.tables()["practice"] == []
    left = adopted(tmp_path, *lines, name=name, memory=Memory({question.key: LEAVE}))
    assert left.questions == []
    assert left.tables()["practice"] == []


def test_a_sheet_of_practice_stays_one(tmp_path: Path) -> None:
    found = adopted(tmp_path, "Date;Player;Chipping;Bunker", "13.4.2026;Maud;35 min;20 min", name="latest")
    assert not any(one.key.startswith("practice or tests") for one in found.questions)
    assert len(found.tables()["practice"]) == 2


def test_a_result_of_which_a_spreadsheet_made_a_date_is_asked_about_once(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.append(["Date", "Player", "Sand on green", "Chip inside 2m"])
    sheet.append([None, "out of", 10, 10])
    sheet.append([date(2026, 4, 13), "Maud", date(2026, 9, 4), 7])
    book.save(tmp_path / "Tests.xlsx")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = found.questions
    assert "4 September in row 3" in question.text
    assert [row[3:] for row in results(found)] == [("7", "10")]
    told = adopt_folder(tmp_path, Memory({question.key: FRACTIONS[0]}), today=TODAY)
    assert [row[3:] for row in results(told)] == [("4", "9"), ("7", "10")]
    other = adopt_folder(tmp_path, Memory({question.key: FRACTIONS[1]}), today=TODAY)
    assert [row[3:] for row in results(other)] == [("7", "10")]


def test_a_number_alone_among_results_made_of_tried_is_asked_about_once(tmp_path: Path) -> None:
    lines = (
        "Date;Player;Chip inside 2m;Sand on green",
        "13.4.2026;Maud;7/12;3/8",
        ";Olle;9/12;5",
        "20.4.2026;Maud;6;4/8",
        ";Olle;8/12;4/8",
    )
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert "2 results are a number alone (first in row 3: 5, where most are of 8)" in question.text
    assert len(results(found)) == 6
    usual = adopted(tmp_path, *lines, memory=Memory({question.key: USUAL[0]}))
    assert [row[3:] for row in results(usual)] == [
        ("7", "12"),
        ("3", "8"),
        ("9", "12"),
        ("5", "8"),
        ("6", "12"),
        ("4", "8"),
        ("8", "12"),
        ("4", "8"),
    ]
    left = adopted(tmp_path, *lines, memory=Memory({question.key: LEAVE}))
    assert left.questions == []
    assert len(results(left)) == 6

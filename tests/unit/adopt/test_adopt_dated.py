"""Tests with the golfers down, a column a day, and how many were tried in a heading."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.dated import heading_of
from paryield.adopt.found import FRACTIONS


def adopted(folder: Path, *lines: str, name: str = "Proben 2026") -> Adoption:
    (folder / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


def results(found: Adoption) -> list[tuple[str, ...]]:
    names = found.people.names
    columns = ("assessed_on", "test", "distance_ft", "made", "tried")
    return [
        (names[row["golfer_id"]], *(row[name] for name in columns)) for row in found.tables()["assessments"]
    ]


def test_lists_below_one_another_under_headings(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Putts 2 m (aus 12);;;",
        "Name;13.4.;27.4.;Schnitt",
        "Maud F.;7;9;8",
        "Olle;-;6;6",
        "Schnitt;7;7,5;",
        ";;;",
        "Chip, in 1-m-Kreis (aus 15);;;",
        "Name;27.4.;4.5.;Bemerkung",
        "Maud F.;11;8 v. 10;müde",
        "Olle;;16;",
    )
    assert found.questions == []
    assert results(found) == [
        ("Maud F.", "2026-04-13", "putting_ladder", "6.6", "7", "12"),
        ("Maud F.", "2026-04-27", "putting_ladder", "6.6", "9", "12"),
        ("Olle", "2026-04-27", "putting_ladder", "6.6", "6", "12"),
        ("Maud F.", "2026-04-27", "chip_in_1_m_kreis", "", "11", "15"),
        ("Maud F.", "2026-05-04", "chip_in_1_m_kreis", "", "8", "10"),
    ]
    assert any("more were made than tried" in line for line in found.lines())


def test_the_year_of_days_across_is_that_of_the_file(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Bunker on green, out of 8",
        "Player;24/4;8/5",
        "Maud;3;5",
        name="Spring 2025",
    )
    assert [row[1] for row in results(found)] == ["2025-04-24", "2025-05-08"]


def test_a_list_without_a_heading_of_its_own_is_left_out(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Putts 2 m (aus 12);;",
        "Name;13.4.;27.4.",
        "Maud;7;9",
        ";;",
        "Name;13.4.;27.4.",
        "Maud;5;6",
    )
    assert [row[4] for row in results(found)] == ["7", "9"]
    assert any("it is not settled how many were tried, or in which test" in line for line in found.lines())


def test_a_result_of_which_a_spreadsheet_made_a_date_is_asked_about(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.append(["Bunker, näher als 3 m (aus 9)"])
    sheet.append(["Name", date(2026, 4, 13), date(2026, 4, 27)])
    sheet.append(["Maud", 4, date(2026, 7, 5)])
    book.save(tmp_path / "Proben.xlsx")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = found.questions
    assert question.options == FRACTIONS
    assert len(results(found)) == 1
    told = adopt_folder(tmp_path, Memory({question.key: FRACTIONS[0]}), today=TODAY)
    assert [row[4:] for row in results(told)] == [("4", "9"), ("5", "7")]
    assert {row[2] for row in results(told)} == {"bunker_naher_als_3_m"}


@pytest.mark.parametrize(
    ("line", "found"),
    [
        (["Putts 5 ft", "out of 10"], ("Putts 5 ft", 10.0)),
        (["Putts 5 ft (10 balls)"], ("Putts 5 ft", 10.0)),
        (["Chip sur 20", None], None),
        (["Chip (sur 20)", None], ("Chip", 20.0)),
        (["Two rounds (of 4)"], None),
        (["Putts 5 ft"], None),
        (["Putts", 10.0], None),
    ],
)
def test_what_a_heading_says(line: list[str | float | None], found: tuple[str, float] | None) -> None:
    assert heading_of(line) == found

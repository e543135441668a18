"""Practice with a row a week or a day and a column a golfer, in short words of the coach's own."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.days import week_number
from paryield.adopt.log import Entry, read_log
from paryield.adopt.people import SAME

LIST = "Nachname;Vorname;HCPI\nFerrin;Maud;12\nAakre;Olle;15\nQuist;Sigrid;18"


def adopted(folder: Path, *lines: str, answers: dict[str, str] | None = None) -> Adoption:
    (folder / "Spieler.csv").write_text(LIST, encoding="utf-8")
    (folder / "Training 2026.csv").write_text("\n".join(lines), encoding="utf-8")
    memory = Memory()
    found = adopt_folder(folder, memory, today=TODAY)
    for _ in range(3):
        for one in found.questions:
            told = (answers or {}).get(one.key.partition(" |")[0])
            if one.key.startswith("person"):
                told = one.proposal or SAME
            if told is not None:
                memory.take([(one, told)])
        found = adopt_folder(folder, memory, today=TODAY)
    return found


def entries(found: Adoption) -> list[tuple[str, ...]]:
    names = found.people.names
    columns = ("practised_on", "category", "minutes", "reps")
    return sorted(
        (names[row["golfer_id"]], *(row.get(name, "") for name in columns))
        for row in found.tables()["practice"]
    )


WEEKS = (
    "Training;;;",
    "KW;Maud;Olle;Siggi",
    "KW 16 (13.4.-19.4.);Putten 30 min;ZW 2x20, Bunker 40 min;ZW 50",
    "KW 17 (20.4.-26.4.);Chip 45 min / ZW 30;;ZW 20 / Chip 15 min",
    "KW 18 (20.4.-26.4.);Chip 45 min;;",
)


def test_columns_headed_by_call_names_that_a_list_of_the_folder_knows(tmp_path: Path) -> None:
    answers = {"practice: zw": "pitching", "bare numbers: kw": "minutes", "practice: putten": "short_putting"}
    found = adopted(tmp_path, *WEEKS, answers=answers)
    assert found.questions == []
    assert any("the date cannot be read" in line for line in found.lines())
    assert entries(found) == [
        ("Maud Ferrin", "2026-04-13", "short_putting", "30", ""),
        ("Maud Ferrin", "2026-04-20", "chipping", "45", ""),
        ("Maud Ferrin", "2026-04-20", "pitching", "30", ""),
        ("Olle Aakre", "2026-04-13", "bunker", "40", ""),
        ("Olle Aakre", "2026-04-13", "pitching", "40", ""),
        ("Sigrid Quist", "2026-04-13", "pitching", "50", ""),
        ("Sigrid Quist", "2026-04-20", "chipping", "15", ""),
        ("Sigrid Quist", "2026-04-20", "pitching", "20", ""),
    ]


def test_a_short_word_is_asked_about_once_and_not_taken_before(tmp_path: Path) -> None:
    found = adopted(tmp_path, *WEEKS)
    assert [one.key for one in found.questions if one.key.startswith("practice: zw")] == ["practice: zw"]
    assert not any(row[2] == "pitching" for row in entries(found))


def test_a_number_without_a_word_is_left_out_with_a_line(tmp_path: Path) -> None:
    found = adopted(tmp_path, "KW;Maud;Olle", "KW 16;Chip 45 min;90", "KW 17;Chip 30 min;Bunker 20 min")
    assert [row[1:4] for row in entries(found)] == [
        ("2026-04-13", "chipping", "45"),
        ("2026-04-20", "chipping", "30"),
        ("2026-04-20", "bunker", "20"),
    ]
    assert any("a number without a word for what was practised" in line for line in found.lines())


def test_a_cell_over_the_columns_of_several_golfers_holds_for_each(tmp_path: Path) -> None:
    (tmp_path / "Spieler.csv").write_text(LIST, encoding="utf-8")
    book = Workbook()
    sheet = book.active
    sheet.append(["KW", "Maud", "Olle", "Sigrid", "Notiz"])
    sheet.append(["KW 16", "Chip 45 min", "Bunker 20 min", "Chip 15 min", None])
    sheet.append(["KW 17", "Trainingsfrei", None, None, "Feiertag"])
    sheet.append(["KW 18", "Chip 30 min", None, "Chip 20 min", None])
    sheet.merge_cells("B3:C3")
    book.save(tmp_path / "Training 2026.xlsx")
    memory = Memory()
    for _ in range(2):
        found = adopt_folder(tmp_path, memory, today=TODAY)
        memory.take((one, SAME) for one in found.questions)
    found = adopt_folder(tmp_path, memory, today=TODAY)
    assert found.questions == []
    idle = [row for row in found.tables()["practice"] if row.get("state") == "none"]
    assert [found.people.names[row["golfer_id"]] for row in idle] == ["Maud Ferrin", "Olle Aakre"]
    assert {row["practised_on"] for row in idle} == {"2026-04-20"}


@pytest.mark.parametrize(
    ("cell", "monday"),
    [
        ("KW 14 (30.3.-5.4.)", date(2026, 3, 30)),
        ("Week 14 [3/30 - 4/5]", date(2026, 3, 30)),
        ("KW 14 (30.3.2026 bis 5.4.2026)", date(2026, 3, 30)),
        ("KW 14 (6.4.-12.4.)", None),
        ("KW 14", date(2026, 3, 30)),
    ],
)
def test_a_week_with_its_days_in_brackets(cell: str, monday: date | None) -> None:
    assert week_number(cell, 2026) == monday


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("ZW 2x45", [Entry("zw", bare=90)]),
        ("2x45 chips", [Entry("chips", reps=90)]),
        ("Chip 45 / ZW 50", [Entry("chip", bare=45), Entry("zw", bare=50)]),
        ("ZW 60 / 9L", [Entry("zw", bare=60), Entry("9l", state="unknown")]),
        ("chip 45 at 50", [Entry("chip 45 at", state="unknown")]),
    ],
)
def test_what_short_words_say(text: str, found: list[Entry]) -> None:
    assert read_log(text) == found

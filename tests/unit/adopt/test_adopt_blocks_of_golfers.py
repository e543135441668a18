"""Blocks of practice under golfers' names, columns of kinds nobody knows, and names in two columns."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import LEAVE
from paryield.adopt.values import read_minutes
from paryield.adopt.words import practice_of

HEAD = ["Date", "Chipping", "Bunker", "Schaukel", "Total"]
FIRST = [["2026-05-05", 20, 30, 25, 75], ["2026-05-06", 30, 45, "-", 75]]
NEXT = [["2026-05-05", 40, None, 15, 55]]


def read(folder: Path, rows: list[list[object]], memory: Memory) -> Adoption:
    book = Workbook()
    book.active.title = "Practice"
    for row in rows:
        book.active.append(row)
    book.create_sheet("Empty").append(["nothing here"])
    book.save(folder / "spring.xlsx")
    return adopt_folder(folder, memory, today=TODAY)


def told(found: Adoption) -> list[tuple[str, str, str]]:
    names = found.people.names
    rows = found.tables().get("practice", [])
    return [(names[row["golfer_id"]], row["category"], row["minutes"]) for row in rows]


def test_the_line_over_the_first_block_is_its_golfer(tmp_path: Path) -> None:
    rows = [["Minutes"], [], ["Maud Ferrin"], HEAD, *FIRST, [], ["Olle Brandvik"], HEAD, *NEXT]
    found = read(tmp_path, rows, Memory({"practice: schaukel": LEAVE}))
    assert found.questions == []
    assert told(found) == [
        ("Maud Ferrin", "chipping", "20"),
        ("Maud Ferrin", "bunker", "30"),
        ("Maud Ferrin", "chipping", "30"),
        ("Maud Ferrin", "bunker", "45"),
        ("Olle Brandvik", "chipping", "40"),
    ]


def test_the_name_of_a_sheet_is_nobodys_where_lines_name_golfers(tmp_path: Path) -> None:
    rows = [["Minutes, spring 2026"], HEAD, *FIRST, ["Olle Brandvik"], *NEXT]
    found = read(tmp_path, rows, Memory({"practice: schaukel": LEAVE}))
    assert [one.text for one in found.questions] == ["Whose rows are these? No column names a golfer."]


def test_a_column_of_minutes_among_kinds_of_practice_is_asked_about(tmp_path: Path) -> None:
    rows = [["Minutes"], ["Player", *HEAD], *(["Maud", *row] for row in FIRST)]
    found = read(tmp_path, rows, Memory())
    (question,) = found.questions
    assert question.text == "Which practice is 'Schaukel'?"
    memory = Memory()
    memory.take([(question, "half_swing")])
    found = read(tmp_path, rows, memory)
    assert ("Maud", "half_swing", "25") in told(found)
    assert len(told(found)) == 5


@pytest.mark.parametrize("name", ["Nome", "Name", "Navn"])
def test_a_name_beside_last_names_is_the_first_name(tmp_path: Path, name: str) -> None:
    lines = (f"Cognome;{name};HCP", "Bellandi;Chiara;14,3", "Corsetti;Davide;9,8")
    (tmp_path / "soci.csv").write_text("\n".join(lines), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    shown = [row["display_name"] for row in found.tables()["golfers"]]
    assert shown == ["Chiara Bellandi", "Davide Corsetti"]


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [("1 1/2 hrs", 90.0), ("1½ h", 90.0), ("3/4 hr", 45.0), ("2 1/4 hours", 135.0), ("1/2", None)],
)
def test_parts_of_an_hour(cell: str, minutes: float | None) -> None:
    assert read_minutes(cell) == minutes


@pytest.mark.parametrize(
    ("phrase", "category"),
    [
        ("Putt lunghi", "lag_putting"),
        ("Putt corti", "short_putting"),
        ("Putts largos", "lag_putting"),
        ("Putts cortos", "short_putting"),
        ("Putts courts", "short_putting"),
        ("Putts longs", "lag_putting"),
        ("Korta puttar", "short_putting"),
        ("Långa puttar", "lag_putting"),
    ],
)
def test_short_and_long_putts_in_several_languages(phrase: str, category: str) -> None:
    assert practice_of(phrase) == category

"""Practice of one golfer, day and kind in two sheets is asked about once, and the answer is remembered."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY, save
from two_books import Rows
from typer.testing import CliRunner

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.twice import BOTH, ONE
from paryield.cli import app

LOG: Rows = [
    ["Date", "Player", "Area", "Minutes"],
    ["13.04.2026", "Maud Ferrin", "chipping", 30],
    ["14.04.2026", "Maud Ferrin", "bunker", 20],
    ["15.04.2026", "Maud Ferrin", "irons", 45],
]
WIDE: Rows = [
    ["Date", "Player", "Chipping min", "Bunker min"],
    ["13.04.2026", "Maud Ferrin", "30 min", None],
    ["14.04.2026", "Maud Ferrin", None, "20 min"],
    ["16.04.2026", "Maud Ferrin", "15 min", None],
]


def read(folder: Path, memory: Memory, **sheets: Rows) -> Adoption:
    save(folder / "book.xlsx", sheets)
    return adopt_folder(folder, memory, today=TODAY)


def practised(found: Adoption) -> list[tuple[str, str, str]]:
    rows = found.tables()["practice"]
    return sorted((row["practised_on"][-2:], row["category"], row["minutes"]) for row in rows)


ALONE = [("13", "chipping", "30"), ("14", "bunker", "20"), ("15", "irons", "45"), ("16", "chipping", "15")]


@pytest.mark.parametrize(
    ("said", "rows"),
    [(ONE, ALONE), (BOTH, sorted([*ALONE, ("13", "chipping", "30"), ("14", "bunker", "20")]))],
)
def test_it_is_asked_once_and_remembered(tmp_path: Path, said: str, rows: list[tuple[str, str, str]]) -> None:
    memory = Memory()
    (question,) = read(tmp_path, memory, Log=LOG, Wide=WIDE).questions
    assert (question.options, question.proposal) == ((BOTH, ONE), ONE)
    assert "On 2026-04-13 Maud Ferrin has chipping in book.xlsx, sheet Log (30 minutes)" in question.text
    assert "and 1 more such" in question.text
    memory.take([(question, said)])
    found = read(tmp_path, memory, Log=LOG, Wide=WIDE)
    assert (found.questions, practised(found)) == ([], rows)
    more: Rows = [*LOG, ["16.04.2026", "Maud Ferrin", "chipping", 15]]
    later = read(tmp_path, Memory(memory.answers), Log=more, Wide=WIDE)
    assert later.questions == []
    assert len(practised(later)) == len(rows) + (said == BOTH)


def test_other_amounts_are_likelier_two_entries(tmp_path: Path) -> None:
    other: Rows = [WIDE[0], ["13.04.2026", "Maud Ferrin", "45 min", None]]
    (question,) = read(tmp_path, Memory(), Log=LOG, Wide=other).questions
    assert question.proposal == BOTH
    memory = Memory({question.key: ONE})
    assert ("13", "chipping", "30") in practised(read(tmp_path, memory, Log=LOG, Wide=other))


def test_a_list_that_goes_on_in_a_second_file_asks_nothing(tmp_path: Path) -> None:
    save(tmp_path / "week 1.xlsx", {"Log": LOG})
    save(tmp_path / "week 2.xlsx", {"Log": [*LOG, ["20.04.2026", "Maud Ferrin", "irons", 20]]})
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    assert len(practised(found)) == 4


def test_two_entries_of_one_sheet_are_two(tmp_path: Path) -> None:
    found = read(tmp_path, Memory(), Log=[*LOG, LOG[1]])
    assert (found.questions, len(practised(found))) == ([], 4)


def test_the_command_leaves_it_open_and_yes_takes_the_likeliest(tmp_path: Path) -> None:
    save(tmp_path / "own" / "book.xlsx", {"Log": LOG, "Wide": WIDE})
    run = CliRunner().invoke
    asked = run(app, ["adopt", str(tmp_path / "own")])
    assert asked.exit_code == 2
    assert "the same entry told twice" in asked.output
    done = run(app, ["adopt", str(tmp_path / "own"), "--yes"])
    assert done.exit_code == 0
    rows = (tmp_path / "own" / "tables" / "practice.csv").read_text(encoding="utf-8-sig").splitlines()
    assert len(rows) == 1 + len(ALONE)

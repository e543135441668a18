"""What a sheet or a word was taken for without asking can be said otherwise, and that is remembered."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY, save
from two_books import Rows
from typer.testing import CliRunner

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.cli import app
from paryield.errors import InputError

SQUAD: Rows = [["Name", "HCP"], ["Maud Ferrin", 12], ["Olle Brandvik", 20]]
TOTALS: Rows = [
    ["Date", "Player", "Area", "Course", "Score"],
    ["13.04.2026", "Maud Ferrin", "chipping", "Low Barrow", 70],
    ["20.04.2026", "Olle Brandvik", "bunker", "Low Barrow", 65],
]
LOG: Rows = [
    ["Date", "Player", "What", "Minutes"],
    ["13.04.2026", "Maud Ferrin", "range", 30],
    ["14.04.2026", "Maud Ferrin", "short putts", 30],
]


def read(folder: Path, memory: Memory, rows: Rows) -> Adoption:
    save(folder / "book.xlsx", {"Squad": SQUAD, "Sheet": rows})
    return adopt_folder(folder, memory, today=TODAY)


def held(memory: Memory, beginning: str) -> dict[str, str | None]:
    return {key: one.proposal for key, one in memory.held.items() if key.startswith(beginning)}


def test_a_sheet_taken_for_rounds_is_practice_where_that_is_said(tmp_path: Path) -> None:
    rows: Rows = [["Date", "Player", "Area", "Score"], *([*row[:3], row[4]] for row in TOTALS[1:])]
    memory = Memory({"rounds or practice: date | player | area | score": "rounds"})
    read(tmp_path, memory, rows)
    key = "kind of sheet: date | player | area | score"
    told = Memory({**memory.answers, key: "practice"})
    found = read(tmp_path, told, rows)
    assert found.questions == []
    practised = [(row["category"], row["minutes"]) for row in found.tables()["practice"]]
    assert (practised, found.tables()["rounds"]) == ([("chipping", "70"), ("bunker", "65")], [])
    assert held(told, "kind of sheet: date") == {key: "practice"}
    later = read(tmp_path, Memory(told.answers), [*rows, ["27.04.2026", "Maud Ferrin", "bunker", 40]])
    assert (later.questions, len(later.tables()["practice"])) == ([], 3)


def test_practice_said_to_be_tests_is_read_as_tests(tmp_path: Path) -> None:
    rows: Rows = [["Date", "Player", "What", "Made", "Minutes"]]
    rows += [["13.04.2026", "Maud Ferrin", "6 ft putts", "7/10", 20]]
    memory = Memory()
    first = read(tmp_path, memory, rows)
    assert len(first.tables()["practice"]) == 1
    (key,) = [key for key, kind in held(memory, "kind of sheet").items() if kind == "practice"]
    found = read(tmp_path, Memory({key: "tests"}), rows)
    assert found.tables()["practice"] == []
    (test,) = found.tables()["assessments"]
    assert (test["made"], test["tried"], test["distance_ft"]) == ("7", "10", "6")


def test_rounds_said_of_practice_ask_for_the_score_where_that_is_open(tmp_path: Path) -> None:
    rows: Rows = [["Date", "Player", "What", "Minutes", "A", "CR", "Slope"]]
    rows += [["13.04.2026", "Maud Ferrin", "chipping", 20, 84, 71.2, 128]]
    memory = Memory({"rounds or practice: date | player | what | minutes | a | cr | slope": "practice"})
    assert read(tmp_path, memory, rows).tables()["rounds"] == []
    key = "kind of sheet: date | player | what | minutes | a | cr | slope"
    told = Memory({**memory.answers, key: "rounds"})
    (question,) = read(tmp_path, told, rows).questions
    assert (question.text, question.proposal) == ("Which column holds the score?", "A")
    told.take([(question, "A")])
    found = read(tmp_path, told, rows)
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["84"]


def test_people_said_of_rounds_store_no_round(tmp_path: Path) -> None:
    rows: Rows = [["Date", "Player", "Score", "CR", "Slope"], ["13.04.2026", "Maud Ferrin", 84, 71.2, 128]]
    memory = Memory()
    assert len(read(tmp_path, memory, rows).tables()["rounds"]) == 1
    key = "kind of sheet: date | player | score | cr | slope"
    found = read(tmp_path, Memory({key: "who the golfers are"}), rows)
    assert (found.tables()["rounds"], found.questions) == ([], [])


@pytest.mark.parametrize("wide", [False, True])
def test_a_word_taken_for_a_practice_unasked_can_be_said_otherwise(tmp_path: Path, wide: bool) -> None:
    rows: Rows = LOG
    if wide:
        rows = [
            ["Date", "Player", "Wood shots", "Short putts"],
            ["13.04.2026", "Maud Ferrin", "30 min", "30 min"],
        ]
    word = "wood shots" if wide else "short putts"
    memory = Memory()
    first = read(tmp_path, memory, rows)
    taken = {"wood shots": "driver", "short putts": "short_putting"}[word]
    assert held(memory, f"practice: {word}") == {f"practice: {word}": taken}
    assert taken in {row["category"] for row in first.tables()["practice"]}
    told = Memory({**memory.answers, f"practice: {word}": "irons"})
    found = read(tmp_path, told, rows)
    assert taken not in {row["category"] for row in found.tables()["practice"]}
    assert found.questions == first.questions


def test_the_command_lists_what_holds_and_takes_another_answer(tmp_path: Path) -> None:
    """A log is practice and `range` is full swings without a question; both are changed by their number."""
    folder, out = tmp_path / "sheets", tmp_path / "out"
    folder.mkdir()
    save(folder / "book.xlsx", {"Squad": SQUAD, "Sheet": LOG})

    def run(*more: str) -> str:
        done = CliRunner().invoke(app, ["adopt", str(folder), "--out", str(out), *more])
        assert done.exit_code == 0, done.output
        return done.output

    run("--yes")
    before = (out / "practice.csv").read_text(encoding="utf-8-sig")
    listed = run("--answers")
    assert (out / "practice.csv").read_text(encoding="utf-8-sig") == before
    (line,) = [line for line in listed.splitlines() if "'range'" in line]
    number = line.split()[0]
    run("--yes", "--change", f"{number}=driver")
    after = (out / "practice.csv").read_text(encoding="utf-8-sig")
    assert "driver" in after
    assert "driver" not in before
    assert (
        "driver"
        in next(line for line in run("--answers").splitlines() if "'range'" in line).partition("(")[0]
    )
    run("--yes")
    assert (out / "practice.csv").read_text(encoding="utf-8-sig") == after


@pytest.mark.parametrize(
    ("said", "why"), [("99=x", "names no answer"), ("1", "names no answer"), ("1=x", "no answer")]
)
def test_an_answer_that_cannot_be_is_said_in_one_line(tmp_path: Path, said: str, why: str) -> None:
    save(tmp_path / "book.xlsx", {"Squad": SQUAD, "Sheet": LOG})
    done = CliRunner().invoke(app, ["adopt", str(tmp_path), "--yes", "--change", said])
    assert isinstance(done.exception, InputError)
    assert why in done.exception.line()
    assert not (tmp_path / "tables").exists()

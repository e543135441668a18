"""Numbered weeks without a year: asked once for a file, remembered, asked again where they may be others."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.days import Season
from paryield.adopt.weeks import Weeks, number_of, said

TODAY = date(2026, 7, 5)


def book(
    folder: Path, weeks: list[str], name: str = "Winter work", head: str = "Wk;Player;What;How long"
) -> None:
    folder.mkdir(exist_ok=True)
    for one in folder.iterdir():
        one.unlink()
    rows = "".join(f"{week};Maud;bunker;40 min\n" for week in weeks)
    (folder / f"{name}.csv").write_text(f"{head}\n{rows}", encoding="utf-8")


def days(found: Adoption) -> list[str]:
    return sorted(row["practised_on"] for row in found.tables().get("practice", []))


def read(folder: Path, memory: Memory, today: date = TODAY) -> Adoption:
    return adopt_folder(folder, memory, today=today)


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("2026", ["2026-03-16", "2026-03-23"]),
        ("2025-2026", ["2026-03-16", "2026-03-23"]),
        ("2026-01-12", ["2026-03-30", "2026-04-06"]),
        ("12.1.2026", ["2026-03-30", "2026-04-06"]),
    ],
)
@pytest.mark.parametrize("word", ["Week", "Wk", "Sett.", "KW", ""])
def test_one_question_says_the_year_or_the_first_day(
    tmp_path: Path, word: str, answer: str, told: list[str]
) -> None:
    memory = Memory()
    book(tmp_path / "one", [f"{word} 12".strip(), f"{word} 13".strip()])
    found = read(tmp_path / "one", memory)
    (question,) = found.questions
    assert question.proposal == "2026"
    assert days(found) == []
    assert any("the year of the week is not settled" in line for line in found.lines())
    memory.take([(question, answer)])
    found = read(tmp_path / "one", memory)
    assert found.questions == []
    assert days(found) == told


def test_higher_numbers_go_on_without_a_question_under_another_name_too(tmp_path: Path) -> None:
    memory = Memory()
    book(tmp_path / "one", ["Wk 1", "Wk 2"], "Work wk 2")
    memory.take([(read(tmp_path / "one", memory).questions[0], "2026-01-12")])
    read(tmp_path / "one", memory)
    for weeks, name in (
        (["Wk 3"], "Work wk 3"),
        (["Wk 1", "Wk 2", "Wk 3", "Wk 4"], "Work"),
        (["Wk 5"], "Other"),
    ):
        book(tmp_path / "one", weeks, name)
        found = read(tmp_path / "one", memory, date(2026, 3, 20))
        assert found.questions == []
    assert days(found) == ["2026-02-09"]
    assert read(tmp_path / "one", memory, date(2028, 1, 20)).questions == []  # the same file again


def test_a_new_season_is_asked_about(tmp_path: Path) -> None:
    memory = Memory()
    book(tmp_path / "one", ["Wk 19", "Wk 20"])
    memory.take([(read(tmp_path / "one", memory).questions[0], "2026-01-12")])
    read(tmp_path / "one", memory)
    book(tmp_path / "one", ["Wk 1", "Wk 2"])
    (question,) = read(tmp_path / "one", memory, date(2027, 1, 25)).questions
    assert "Until now they were counted by 2026-01-12." in question.text
    memory.take([(question, "2027-01-11")])
    found = read(tmp_path / "one", memory, date(2027, 1, 25))
    assert found.questions == []
    assert days(found) == ["2027-01-11", "2027-01-18"]
    book(tmp_path / "one", ["Wk 3"])
    assert days(read(tmp_path / "one", memory, date(2027, 2, 1))) == ["2027-01-25"]


def test_lower_numbers_or_another_file_with_the_same_headings_are_asked_about(tmp_path: Path) -> None:
    memory = Memory()
    book(tmp_path / "one", ["Wk 9", "Wk 10"])
    memory.take([(read(tmp_path / "one", memory).questions[0], "2026-01-12")])
    read(tmp_path / "one", memory)
    for weeks, name in (
        (["Wk 1", "Wk 2"], "Winter work"),
        (["Wk 1", "Wk 2"], "Spring"),
        (["Wk 20"], "Spring"),
    ):
        book(tmp_path / "one", weeks, name)
        assert len(read(tmp_path / "one", memory, date(2026, 6, 20)).questions) == 1
    book(tmp_path / "one", ["Wk 20"])
    assert read(tmp_path / "one", memory, date(2026, 6, 20)).questions == []


def test_no_name_of_a_file_is_kept_with_an_answer(tmp_path: Path) -> None:
    memory = Memory()
    book(tmp_path / "one", ["Wk 1"], "Wilhelmina Starling")
    (question,) = read(tmp_path / "one", memory).questions
    memory.take([(question, "2026")])
    read(tmp_path / "one", memory)
    assert "wilhelmina" not in str(memory.answers).casefold()


def test_weeks_to_come_are_asked_about(tmp_path: Path) -> None:
    memory = Memory()
    book(tmp_path / "one", ["Week 20"])
    memory.take([(read(tmp_path / "one", memory).questions[0], "2026")])
    read(tmp_path / "one", memory)
    book(tmp_path / "one", ["Week 22"])
    assert len(read(tmp_path / "one", memory, date(2026, 5, 20)).questions) == 1


def test_one_question_for_all_sheets_of_a_file(tmp_path: Path) -> None:
    from openpyxl import Workbook

    made = Workbook()
    for name in ("Maud", "Olle"):
        sheet = made.create_sheet(name)
        for row in (
            ["Week", "What", "How long"],
            ["Week 3", "bunker", "40 min"],
            ["Week 4", "chipping", "20 min"],
        ):
            sheet.append(row)
    made.remove(made.worksheets[0])
    made.save(tmp_path / "diary.xlsx")
    memory = Memory()
    (question,) = read(tmp_path, memory).questions
    memory.take([(question, "2026")])
    assert days(read(tmp_path, memory)) == ["2026-01-12"] * 2 + ["2026-01-19"] * 2


def test_a_title_tells_the_year_of_weeks_of_the_calendar_but_is_only_likely_for_others(
    tmp_path: Path,
) -> None:
    book(tmp_path / "one", ["KW 12"], "Training 2025")
    found = read(tmp_path / "one", Memory())
    assert found.questions == []
    assert days(found) == ["2025-03-17"]
    book(tmp_path / "one", ["Wk 12"], "Training 2025")
    (question,) = read(tmp_path / "one", Memory()).questions
    assert question.proposal == "2025"


def test_a_winter_over_new_year_needs_both_years(tmp_path: Path) -> None:
    memory = Memory()
    book(tmp_path / "one", ["Week 51", "Week 52", "Week 1", "Week 2"])
    (question,) = read(tmp_path / "one", memory).questions
    assert not question.takes("2025")
    assert question.proposal == "2025-2026"
    memory.take([(question, "2025-2027")])
    (again,) = read(tmp_path / "one", memory).questions
    memory.take([(again, "2025-2026")])
    assert days(read(tmp_path / "one", memory)) == ["2025-12-15", "2025-12-22", "2025-12-29", "2026-01-05"]


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        ("Week 12", 12),
        ("wk. 3", 3),
        ("Sett. 7", 7),
        ("KW12", 12),
        (12.0, 12),
        ("12", 12),
        ("W14/2026", None),
        ("KW 14 (30.3.-5.4.)", None),
        ("6 April", None),
        ("Apr 6", None),
        ("2026", None),
        (12.5, None),
        (None, None),
    ],
)
def test_what_numbers_a_week(cell: str | float | None, number: int | None) -> None:
    assert number_of(cell) == number


def test_what_an_answer_says() -> None:
    assert said("2026") == Weeks(Season(2026, 2026))
    assert said("2025-2026") == Weeks(Season(2025, 2026))
    assert said("2025-2027") is None
    assert said("2026-01-12") == Weeks(first=date(2026, 1, 12))
    assert said("2026-13-12") is None
    assert said("soon") is None

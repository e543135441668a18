"""How a workbook with its truth beside it is held against what is read: this week's, and the next one's."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from own_sheets import TODAY, save
from two_books import Rows, Truth

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.tables.kinds_of_test import name_of_kind, value_kind


def book(folder: Path, memory: Memory | None = None, **sheets: Rows) -> Adoption:
    """Write a workbook and return what is read of it."""
    save(folder / "book.xlsx", sheets)
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def answered(folder: Path, memory: Memory, told: dict[str, str]) -> tuple[Adoption, int]:
    """Answer every question truly; return what was read, and how many questions there were."""
    asked = set()
    for _ in range(5):
        found = adopt_folder(folder, memory, today=TODAY)
        if not found.questions:
            return found, len(asked)
        for one in found.questions:
            asked.add(one.key)
            memory.take([(one, next(said for key, said in told.items() if one.key.startswith(key)))])
    raise AssertionError(asked)


def read(found: Adoption) -> Truth:
    """Return what was read in the form of the truth; golfers as the words of their names."""
    tables, truth = found.tables(), Truth()
    who = {
        row["golfer_id"]: " ".join(sorted(row["display_name"].casefold().split()))
        for row in tables["golfers"]
    }
    for row in tables["rounds"]:
        ratings = float(row["course_rating"]), int(row["slope_rating"])
        truth.rounds.append(
            (who[row["golfer_id"]], row["played_on"], int(row["adjusted_gross_score"]), *ratings)
        )
    for row in tables["practice"]:
        week = date.fromisoformat(row["practised_on"]).isocalendar()[:2]
        truth.practice.append((who[row["golfer_id"]], *week, row["category"], int(row.get("minutes") or 0)))
    for row in tables["assessments"]:
        valued = value_kind(row["test"])
        kind = name_of_kind(row["test"]) if valued is None else valued[0]
        feet = float(row["distance_ft"]) if row.get("distance_ft") else None
        tried = int(row["tried"]) if row.get("tried") else None
        result = int(row.get("made") or row["value"])
        truth.tests.append((who[row["golfer_id"]], row["assessed_on"], kind, feet, tried, result))
    return truth


def same(one: list[tuple[object, ...]], other: list[tuple[object, ...]]) -> bool:
    named = [(" ".join(sorted(str(row[0]).casefold().split())), *row[1:]) for row in other]
    return sorted(map(repr, one)) == sorted(map(repr, named))


def read_week_after_week(
    folder: Path,
    write: Callable[[Path, int], Truth],
    weeks: tuple[int, int],
    most: int,
    told: dict[str, str],
) -> None:
    """Assert that all of a book is read with at most so many questions, and next week's without one."""
    memory = Memory()
    for week, questions in zip(weeks, (most, 0), strict=True):
        truth = write(folder, week)
        found, asked = answered(folder, memory, told)
        assert asked <= questions
        got = read(found)
        assert same(got.rounds, truth.rounds)
        assert same(got.practice, truth.practice)
        assert same(got.tests, truth.tests)
        memory = Memory(memory.answers, memory.people | found.people.ids)

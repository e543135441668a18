"""Two of six books by somebody who had not seen the reader, cut down: all of it is read, few questions.

First reading of the whole books, before anything was mended for them, after true answers (the figures of all
six are in notebooks/evidence/blind_books.csv). Squad: 59 of 99 rounds. Academy: 161 of 367 practice with 207
stored otherwise without a question (balls for minutes, golfers under their call names as others), 56 of 92
tests.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from blind_books import answered, book, read_week_after_week
from squad_academy_books import MEANT, academy, squad
from two_books import Rows, Truth

from paryield.adopt import Memory
from paryield.adopt.days import is_no_day
from paryield.adopt.tests_named import is_mean

SAID = {
    "no such day": MEANT.isoformat(), "practice: approach": "pitching", "practice: juego corto": "chipping",
    "practice: wedges 40 80 m": "half_swing",
    "person everybody": "everybody named in these spreadsheets, now or before",
}  # fmt: skip


@pytest.mark.parametrize(("write", "weeks", "most"), [(squad, (25, 26), 1), (academy, (25, 26), 4)])
def test_all_of_a_blind_book_is_read_and_next_weeks_comes_without_a_question(
    tmp_path: Path, write: Callable[[Path, int], Truth], weeks: tuple[int, int], most: int
) -> None:
    read_week_after_week(tmp_path, write, weeks, most, SAID)


def test_a_day_that_no_calendar_has_is_asked_about_and_nothing_is_stored_before(tmp_path: Path) -> None:
    rows: Rows = [["Date", "Player", "Score", "CR", "Slope"]]
    rows += [["14/06/2026", "Una Marlow", 80, 71.0, 120], ["31/06/2026", "Una Marlow", 81, 71.0, 120]]
    rows += [[None, "Ned Sallow", 82, 71.0, 120]]
    found = book(tmp_path, Rounds=rows)
    assert [one.key for one in found.questions] == ["no such day: book.xlsx: 31 06 2026"]
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["80"]
    found, _ = answered(tmp_path, Memory(), {"no such day": "2026-07-01"})
    days = sorted(row["played_on"] for row in found.tables()["rounds"])
    assert days == ["2026-06-14", *["2026-07-01"] * 2]
    found, _ = answered(tmp_path, Memory(), {"no such day": "leave it out"})
    assert len(found.tables()["rounds"]) == 1


@pytest.mark.parametrize(
    ("cell", "slip"),
    [
        ("31/06/2026", True),
        ("Sat 31 Sept", True),
        ("30.02.2026", True),
        ("28/06/2026", False),
        ("n/a", False),
    ],
)
def test_a_slip_of_a_day_is_told_from_other_words(cell: str, slip: bool) -> None:
    assert is_no_day(cell, "day first", date(2026, 11, 29)) is slip


def test_balls_in_a_column_of_lengths_are_kept_as_balls(tmp_path: Path) -> None:
    rows: Rows = [["Date", "Player", "Practice", "Time"]]
    rows += [
        [date(2026, 6, 1), "Una Marlow", "driver", "50 balls"],
        [date(2026, 6, 2), "Una Marlow", "chipping", "45 min"],
    ]
    told = book(tmp_path, Practice=rows).tables()["practice"]
    assert [(row["category"], row.get("minutes"), row.get("reps")) for row in told] == [
        ("driver", None, "50"),
        ("chipping", "45", None),
    ]


@pytest.mark.parametrize(
    ("name", "mean"),
    [
        ("Pitch 30 m: Ø Abstand zur Fahne in m (10)", True), ("Pitch, average distance in m", True),
        ("Driver Carry in m (Mittel aus 5)", False), ("Putts from 6 ft (10)", False),
    ],
)  # fmt: skip
def test_a_mean_is_told_from_a_count_and_from_a_carry(name: str, mean: bool) -> None:
    assert is_mean(name) is mean


def test_a_mean_is_not_stored_as_a_count_and_distances_stand_under_their_day(tmp_path: Path) -> None:
    days = date(2026, 5, 11), date(2026, 5, 25)
    rows: Rows = [["Putt-Leiter: getroffen von je 10"], [], ["Name", days[0], None, days[1], None]]
    rows += [
        [None, "1 m", "2 m", "1 m", "2 m"],
        ["Marlow U.", 9, 6, 10, 7],
        ["Sallow N.", 8, 5, "-", "-"],
        [],
    ]
    rows += [["Pitch 30 m: Ø Abstand zur Fahne in m (10)"], ["Name", *days], ["Marlow U.", 4, 5.5]]
    found = book(tmp_path, Tests=rows)
    assert not found.questions
    told = [
        (row["assessed_on"][8:], row["distance_ft"], row["made"], row["tried"])
        for row in found.tables()["assessments"]
    ]
    first, second = ("11", "3.3"), ("11", "6.6")
    assert sorted(told) == sorted(
        [(*first, "9", "10"), (*second, "6", "10"), ("25", "3.3", "10", "10"), ("25", "6.6", "7", "10"),
         (*first, "8", "10"), (*second, "5", "10")]
    )  # fmt: skip
    assert any("is a mean" in line for line in found.lines())

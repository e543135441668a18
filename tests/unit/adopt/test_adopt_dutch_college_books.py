"""Two workbooks that were written down before the first reading: all of it, few questions, none next week.

First reading, before anything was mended for them, after answers. Dutch: 18 of 33 rounds, 15 under a month
for a golfer without a question, 0 of 134 practice, 44 of 56 tests, 2 questions, 1 the next week. College: 41
of 82 rounds (20 of one golfer under a name of its own until that was asked), 0 of 929 practice, 60 of 60
tests, 11 questions, 6 the next week.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from blind_books import book, read_week_after_week
from dutch_college_books import college, dutch
from own_sheets import TODAY, save
from two_books import Rows, Truth

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.values import read_minutes

SAID = {"practice or tests": "tests", "practice: putting": "short and lag putting in equal parts",
        "bare numbers": "minutes"}  # fmt: skip


@pytest.mark.parametrize(("write", "weeks", "most"), [(dutch, (22, 23), 1), (college, (38, 39), 3)])
def test_all_of_a_book_is_read_and_next_weeks_comes_without_a_question(
    tmp_path: Path, write: Callable[[Path, int], Truth], weeks: tuple[int, int], most: int
) -> None:
    read_week_after_week(tmp_path, write, weeks, most, SAID)


def rounds(found: Adoption) -> list[tuple[str, str, str]]:
    names = {row["golfer_id"]: row["display_name"] for row in found.tables()["golfers"]} | found.people.names
    return [
        (names[row["golfer_id"]], row["played_on"], row["adjusted_gross_score"])
        for row in found.tables()["rounds"]
    ]


ROUND: Rows = [["13.04.2026", 84, 71.2, 128], ["20.04.2026", 86, 71.2, 128]]
HEAD: list[object] = ["Datum", "Brutto", "CR", "Slope"]
SQUAD: Rows = [
    ["Name", "Nickname", "HCP"],
    ["Theodora Vance", "Teddy", 4],
    ["Robert Pike", "Sam", 6],
    ["Sam Brook", None, 8],
]


@pytest.mark.parametrize("tab", ["April", "apr", "Juni"])
def test_a_month_on_a_tab_is_no_golfer(tmp_path: Path, tab: str) -> None:
    found = book(tmp_path, **{"Golfers": SQUAD, tab: [HEAD, *ROUND]})
    assert any(one.key.startswith("whose: ") for one in found.questions)
    assert rounds(found) == []


@pytest.mark.parametrize("tab", ["Teddy", "Vance, Teddy", "Teddy Vance"])
def test_a_nickname_stands_alone_or_before_the_last_name(tmp_path: Path, tab: str) -> None:
    found = book(tmp_path, **{"Golfers": SQUAD, tab: [HEAD, *ROUND]})
    assert found.questions == []
    assert {name for name, _, _ in rounds(found)} == {"Theodora Vance"}


@pytest.mark.parametrize(
    "heading", ["Nickname", "Known as", "Rufname", "Surnom", "Apodo", "Soprannome", "Roepnaam"]
)
def test_a_nickname_of_a_list_is_known_in_a_log_that_comes_later(tmp_path: Path, heading: str) -> None:
    squad: Rows = [["Name", heading, "HCP"], ["Theodora Vance", "Teddy", 4]]
    first = book(tmp_path / "one", Golfers=squad)
    assert first.questions == []
    memory = Memory(first.memory.answers, first.people.ids)
    known = {row["golfer_id"]: row["display_name"] for row in first.tables()["golfers"]}
    log: Rows = [["Date", "Player", "What", "Minutes"], ["13.04.2026", "Teddy", "Chipping", 30]]
    save(tmp_path / "two" / "log.xlsx", {"Log": log})
    later = adopt_folder(tmp_path / "two", memory, known=known, today=TODAY)
    assert later.questions == []
    assert [row["golfer_id"] for row in later.tables()["practice"]] == [*known]


def test_a_nickname_that_is_another_golfers_name_is_asked_about(tmp_path: Path) -> None:
    found = book(tmp_path, Golfers=SQUAD, Sam=[HEAD, *ROUND])
    assert [one.key for one in found.questions] == ["person sam = sam brook"]
    assert rounds(found) == []


PRACTICE: Rows = [["Dag", "Wie", "Wat", "Hoe lang"], ["ma 13", "Teddy", "bunker", "3 kwartier"]]
GAMES: Rows = [["Datum", "Wie", "Bruto", "CR", "Slope"], ["20-4-2026", "Teddy", 84, "71,2", 128]]


def test_tables_one_below_the_other_are_read_each_under_its_own_headings(tmp_path: Path) -> None:
    rows: Rows = [["April 2026"], [], ["Oefenen"], *PRACTICE, [], ["Rondes"], *GAMES]
    found = book(tmp_path, Golfers=SQUAD, Blad=rows)
    assert found.questions == []
    assert rounds(found) == [("Theodora Vance", "2026-04-20", "84")]
    (entry,) = found.tables()["practice"]
    assert (entry["practised_on"], entry["category"], entry["minutes"]) == ("2026-04-13", "bunker", "45")
    assert found.origins().place("rounds", 2).endswith("row 9")


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [("kwartier", 15), ("3 kwartier", 45), ("drie kwartier", 45), ("tre kvart", 45),
     ("trois quarts d'heure", 45), ("half uur", 30), ("vlot kwartier", None)],
)  # fmt: skip
def test_quarters_of_an_hour_are_counted(cell: str, minutes: float | None) -> None:
    assert read_minutes(cell) == minutes


def test_a_column_of_totals_beside_kinds_of_practice_is_no_score(tmp_path: Path) -> None:
    rows: Rows = [["Wk start", "Chipping", "Irons", "Driver", "Total"]]
    rows += [["13/4", 20, 30, 40, 90], ["20/4", 30, 30, 20, 80], ["27/4", 40, 20, 20, 80]]
    memory = Memory()
    for _ in range(4):
        found = book(tmp_path, memory, **{"Golfers": SQUAD, "Teddy Vance": rows})
        said = {"column when": "Wk start", "column who": "no column: all rows are of one golfer",
                "bare numbers": "minutes", "year of days": "2026", "person": "the same"}  # fmt: skip
        assert all(one.key.startswith((*said,)) for one in found.questions), found.questions
        memory.take(
            [(one, next(to for key, to in said.items() if one.key.startswith(key)))
             for one in found.questions]
        )  # fmt: skip
    assert len(found.tables()["practice"]) == 9
    assert found.tables()["rounds"] == []

"""Two more workbooks that were written before anybody looked at how they are read, and what they showed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from blind_books import read_week_after_week
from own_sheets import TODAY, save
from southern_books import kiwi, swiss
from two_books import Rows, Truth

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.kinds_of_tests import kinds_of
from paryield.adopt.log import read_log
from paryield.adopt.tests_named import named_test
from paryield.adopt.words import practice_of

SQUAD: Rows = [["Name", "Vorname", "HCP"], ["Ferrin", "Maud", 12], ["Brandvik", "Olle", 20]]


def book(folder: Path, rows: Rows, memory: Memory | None = None, squad: Rows = SQUAD) -> Adoption:
    save(folder / "book.xlsx", {"Squad": squad, "Sheet": rows})
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def results(found: Adoption) -> list[tuple[str, ...]]:
    names = found.people.names
    return [
        (
            *(names[row["golfer_id"]], row["assessed_on"], row["test"], row.get("distance_ft", "")),
            *(row.get("made", ""), row.get("tried", ""), row.get("value", "")),
        )
        for row in found.tables()["assessments"]
    ]


@pytest.mark.parametrize(("write", "weeks", "most"), [(kiwi, (30, 31), 1), (swiss, (24, 25), 1)])
def test_all_of_a_book_is_read_and_next_weeks_comes_without_a_question(
    tmp_path: Path, write: Callable[[Path, int], Truth], weeks: tuple[int, int], most: int
) -> None:
    """Wedges to a distance are asked about: two coaches meant pitches and half swings by the same words."""
    said = {"person": "the same", "practice: wedges": "pitching"}
    read_week_after_week(tmp_path, write, weeks, most, said)


def test_a_name_beside_first_names_is_the_last_name(tmp_path: Path) -> None:
    save(tmp_path / "book.xlsx", {"Squad": SQUAD})
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [one["display_name"] for one in found.tables()["golfers"]] == ["Maud Ferrin", "Olle Brandvik"]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Putting - short", ["short_putting"]),
        ("Putting - lag", ["lag_putting"]),
        ("Putting – lag 20 min", ["lag_putting"]),
        ("Putting - chipping", [practice_of("putting"), "chipping"]),
        ("Chipping - bunker", ["chipping", "bunker"]),
        ("Putten lang", ["lag_putting"]),
        ("Putten kurz", ["short_putting"]),
    ],
)
def test_what_stands_behind_a_dash_may_say_which_of_a_practice(text: str, kind: list[str]) -> None:
    assert [practice_of(one.phrase) for one in read_log(text)] == kind


@pytest.mark.parametrize(
    "text", ["Chips inside 2 m (x10)", "Chips inside 2 m (x 10)", "Chips inside 2 m (10)"]
)
def test_a_cross_before_how_many_are_tried(text: str) -> None:
    assert named_test(text, None).tried == 10
    assert kinds_of("Putten lang, Kreis 1 m") == {"lag"}


def test_golfers_stand_over_what_each_did_and_how_long(tmp_path: Path) -> None:
    rows: Rows = [["Training"], [None, "Maud", None, "Olle"], ["Datum", "was", "Min.", "was", "Min."]]
    rows += [["14.05.2026", "Chip", 20, "Bunker", 30], ["15.05.2026", None, None, "Pitch", 45]]
    same = {"person maud = maud ferrin": "the same", "person olle = olle brandvik": "the same"}
    memory = Memory(same)
    found = book(tmp_path, rows, memory)
    assert found.questions == []
    names = found.people.names
    told = {(names[one["golfer_id"]], one["category"], one["minutes"]) for one in found.tables()["practice"]}
    assert told == {
        ("Maud Ferrin", "chipping", "20"),
        ("Olle Brandvik", "bunker", "30"),
        ("Olle Brandvik", "pitching", "45"),
    }


def test_parts_that_nobody_known_heads_are_left_for_a_question(tmp_path: Path) -> None:
    rows: Rows = [["Training"], [None, "Halle", None, "Wiese"], ["Datum", "was", "Min.", "was", "Min."]]
    rows += [["14.05.2026", "Chip", 20, "Bunker", 30]]
    assert not book(tmp_path, rows).tables()["practice"]


TESTS: Rows = [
    ["Datum", "Test", "Distanz", "Maud Ferrin", "Olle Brandvik"],
    ["14.05.2026", "Putt gelocht", "2 m", "7/10", "4/10"],
    [None, "Chip, Kreis 2 m", "15 m", "3/8", "abs."],
    [None, "Clubhead speed (mph)", None, 88, 97],
]


def test_tests_with_their_day_before_a_column_a_golfer(tmp_path: Path) -> None:
    found = book(tmp_path, TESTS)
    assert found.questions == []
    assert sorted(results(found)) == [
        ("Maud Ferrin", "2026-05-14", "chip_kreis_2_m", "49.2", "3", "8", ""),
        ("Maud Ferrin", "2026-05-14", "clubhead_speed", "", "", "", "88"),
        ("Maud Ferrin", "2026-05-14", "putting_ladder", "6.6", "7", "10", ""),
        ("Olle Brandvik", "2026-05-14", "clubhead_speed", "", "", "", "97"),
        ("Olle Brandvik", "2026-05-14", "putting_ladder", "6.6", "4", "10", ""),
    ]


@pytest.mark.parametrize(("said", "feet"), [("metres", "6.6"), ("feet", "2")])
def test_distances_without_a_unit_are_asked_about(tmp_path: Path, said: str, feet: str) -> None:
    rows: Rows = [["Date", "Player", "Test", "Distance", "Made", "Tried"]]
    rows += [
        ["2026-05-14", "Maud Ferrin", "Holed", 2, 7, 10],
        ["2026-05-14", "Maud Ferrin", "Holed", "5 m", 4, 10],
    ]
    found = book(tmp_path, rows)
    (question,) = found.questions
    assert question.text == "Are distances such as 2 in row 2 feet or metres?"
    assert [row[3] for row in results(found)] == ["16.4"]
    memory = Memory()
    memory.take([(question, said)])
    assert sorted(row[3] for row in results(book(tmp_path, rows, memory))) == sorted([feet, "16.4"])

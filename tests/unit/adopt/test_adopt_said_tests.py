"""Sheets that may be practice or tests: either answer is taken and holds for next week's file."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.choosing import PRACTICE, TESTS

COLUMNS = ("Date;Player;Chipping;Bunker;Clubhead speed (mph)", "13.4.2026;Maud;7;3;88,5", "20.4.2026;;9;5;90")
DAYS = ("Chips inside 2 m (of 10);;", "Pupil name;13.4.2026;20.4.2026", "Maud;7;9", "Olle;6;abs")
NAMED = ("Player;Test;13.4.2026;20.4.2026", "Maud;Chip inside 2 m;7;9", ";Putt 3 m;4/10;8/10")
ROWS = ("Date;Player;Drill;Reps", "13.4.2026;Maud;Chip inside 2 m;7", "13.4.2026;Olle;Putt 3 m;4")
LOG = ("Date;Player;Diary", "13.4.2026;Maud;chips 7/10, putts from 3 m 4/8", "14.4.2026;Olle;just talked")


def adopted(folder: Path, lines: tuple[str, ...], memory: Memory) -> Adoption:
    (folder / "Skills tests.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory, today=TODAY)


def settled(folder: Path, lines: tuple[str, ...], memory: Memory, **said: str) -> tuple[Adoption, list[str]]:
    """Answer what is asked: by the beginning of the question's key, else as proposed."""
    asked: list[str] = []
    for _ in range(5):
        found = adopted(folder, lines, memory)
        if not found.questions:
            return found, asked
        asked += [one.key for one in found.questions]
        for one in found.questions:
            told = next((answer for key, answer in said.items() if one.key.startswith(key)), one.proposal)
            assert told is not None
            assert one.takes(told)
            memory.take([(one, told)])
    raise AssertionError(asked)


def results(found: Adoption) -> set[tuple[str, ...]]:
    names = found.people.names
    return {
        (names[row["golfer_id"]], row["assessed_on"], row["test"], row.get("distance_ft", ""))
        + ((row["made"], row["tried"]) if row.get("made") else (row["value"], row["unit"]))
        for row in found.tables()["assessments"]
    }


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (
            COLUMNS,
            {
                ("Maud", "2026-04-13", "landing_spot_chip", "", "7", "12"),
                ("Maud", "2026-04-20", "landing_spot_chip", "", "9", "12"),
                ("Maud", "2026-04-13", "bunker_splash", "", "3", "8"),
                ("Maud", "2026-04-20", "bunker_splash", "", "5", "8"),
                ("Maud", "2026-04-13", "clubhead_speed", "", "88.5", "mph"),
                ("Maud", "2026-04-20", "clubhead_speed", "", "90", "mph"),
            },
        ),
        (
            DAYS,
            {
                ("Maud", "2026-04-13", "chips_inside_2_m", "", "7", "10"),
                ("Maud", "2026-04-20", "chips_inside_2_m", "", "9", "10"),
                ("Olle", "2026-04-13", "chips_inside_2_m", "", "6", "10"),
            },
        ),
        (
            NAMED,
            {
                ("Maud", "2026-04-13", "chip_inside_2_m", "", "7", "12"),
                ("Maud", "2026-04-20", "chip_inside_2_m", "", "9", "12"),
                ("Maud", "2026-04-13", "putting_ladder", "9.8", "4", "10"),
                ("Maud", "2026-04-20", "putting_ladder", "9.8", "8", "10"),
            },
        ),
        (
            ROWS,
            {
                ("Maud", "2026-04-13", "chip_inside_2_m", "", "7", "12"),
                ("Olle", "2026-04-13", "putting_ladder", "9.8", "4", "8"),
            },
        ),
        (
            LOG,
            {
                ("Maud", "2026-04-13", "landing_spot_chip", "", "7", "10"),
                ("Maud", "2026-04-13", "putting_ladder", "9.8", "4", "8"),
            },
        ),
    ],
    ids=["columns", "days", "named", "rows", "log"],
)
def test_a_sheet_said_to_hold_tests_is_read_as_such(
    tmp_path: Path, lines: tuple[str, ...], told: set[tuple[str, ...]]
) -> None:
    memory = Memory()
    counts = "12" if lines is NAMED else "12, 8"
    found, asked = settled(tmp_path, lines, memory, **{"practice or tests": TESTS, "tried of each": counts})
    assert found.tables()["practice"] == []
    assert results(found) == told
    assert len(asked) == len(set(asked)) <= 2
    again = adopted(tmp_path, lines, memory)
    assert again.questions == []
    assert results(again) == told


@pytest.mark.parametrize("lines", [COLUMNS, ROWS], ids=["columns", "rows"])
def test_a_sheet_said_to_hold_practice_is_read_as_such(tmp_path: Path, lines: tuple[str, ...]) -> None:
    memory = Memory()
    found, _ = settled(tmp_path, lines, memory, **{"practice or tests": PRACTICE, "practice: ": "bunker"})
    assert found.tables()["assessments"] == []
    assert len(found.tables()["practice"]) >= 2
    assert adopted(tmp_path, lines, memory).questions == []


def test_a_test_that_counts_something_else_is_left_out_by_a_nought(tmp_path: Path) -> None:
    found, _ = settled(tmp_path, COLUMNS, Memory(), **{"practice or tests": TESTS, "tried of each": "0 8"})
    assert {one[2] for one in results(found)} == {"bunker_splash", "clubhead_speed"}
    assert any("'Chipping' is left out, as you said" in line for line in found.lines())


@pytest.mark.parametrize("said", ["ten", "10, 8, 6", "", "10,"])
def test_how_many_were_tried_is_asked_again_where_the_answer_does_not_say_it(
    tmp_path: Path, said: str
) -> None:
    memory = Memory()
    memory.take([(one, TESTS) for one in adopted(tmp_path, COLUMNS, memory).questions])
    question = adopted(tmp_path, COLUMNS, memory).questions[0]
    assert not question.takes(said)
    memory.take([(question, said)])
    assert adopted(tmp_path, COLUMNS, memory).questions == [question]


def test_what_is_no_result_is_told_and_not_taken(tmp_path: Path) -> None:
    found, _ = settled(tmp_path, LOG, Memory(), **{"practice or tests": TESTS})
    assert any("a result cannot be read" in line and "row 3" in line for line in found.lines())

"""Tests whose ring, distance, name or number of tries stands in a line above their rows."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder


def adopted(folder: Path, *lines: str, name: str = "own", memory: Memory | None = None) -> Adoption:
    (folder / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def results(found: Adoption) -> list[tuple[str, ...]]:
    names = found.people.names
    columns = ("test", "distance_ft", "made", "tried")
    return [
        (names[row["golfer_id"]], *(row.get(name, "") for name in columns))
        for row in found.tables()["assessments"]
    ]


def test_lists_one_below_the_other_each_under_a_title(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Test evenings;;",
        "Chips to the 6 ft ring from 15 yards (10 balls);;",
        "Date;Player;Made",
        "13.4.2026;Maud;7",
        "13.4.2026;Olle;5",
        ";;",
        "Putts from 2 m;out of 12;",
        "Date;Player;Made",
        "20.4.2026;Maud;8",
    )
    assert found.questions == []
    assert results(found) == [
        ("Maud", "chips_to_the_6_ft_ring", "45", "7", "10"),
        ("Olle", "chips_to_the_6_ft_ring", "45", "5", "10"),
        ("Maud", "putting_ladder", "6.6", "8", "12"),
    ]


def test_a_title_over_made_and_tried_says_what_and_from_where(tmp_path: Path) -> None:
    lines = ("Bunker, from 10 m", "Date;Player;Made;Tried", "13.4.2026;Maud;4;8", "13.4.2026;Olle;5;9")
    assert results(adopted(tmp_path, *lines)) == [
        ("Maud", "bunker_splash", "32.8", "4", "8"),
        ("Olle", "bunker_splash", "32.8", "5", "9"),
    ]


def test_a_column_a_distance_under_a_title_with_a_ring(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Chips inside 2 m, out of 10;;;",
        "Date;Player;10 m;20 m",
        "13.4.2026;Maud;7;4",
        ";;;",
        "Pitches inside 5 m, out of 8;;;",
        "Date;Player;10 m;20 m",
        "13.4.2026;Maud;6;8",
    )
    assert found.questions == []
    assert results(found) == [
        ("Maud", "chips_inside_2_m", "32.8", "7", "10"),
        ("Maud", "chips_inside_2_m", "65.6", "4", "10"),
        ("Maud", "pitches_inside_5_m", "32.8", "6", "8"),
        ("Maud", "pitches_inside_5_m", "65.6", "8", "8"),
    ]


def test_titles_over_columns_of_days_of_which_one_is_a_speed(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Chips, 3-m ring, from 20 m (10 balls);;",
        "Allievo;13/4/2026;27/4/2026",
        "Maud;7;9",
        ";;",
        "Clubhead speed, mph;;",
        "Allievo;13/4/2026;27/4/2026",
        "Maud;88;91,5",
    )
    assert found.questions == []
    assert results(found)[:2] == [
        ("Maud", "chips_3_m_ring", "65.6", "7", "10"),
        ("Maud", "chips_3_m_ring", "65.6", "9", "10"),
    ]
    values = [(row["test"], row["value"], row["unit"]) for row in found.tables()["assessments"][2:]]
    assert values == [("clubhead_speed", "88", "mph"), ("clubhead_speed", "91.5", "mph")]


def test_how_many_were_tried_is_one_question_where_only_some_titles_say_it(tmp_path: Path) -> None:
    lines = (
        *("Putts from 2 m (12 balls);;", "Name;13/4/2026;27/4/2026", "Maud;7;9", ";;"),
        *("Chips inside 1 m;;", "Name;13/4/2026;27/4/2026", "Maud;4;5"),
    )
    memory = Memory()
    (question,) = adopted(tmp_path, *lines, memory=memory).questions
    assert question.text == "Out of how many is the test 'Chips inside 1 m'? 0 leaves it out."
    memory.take([(question, "15")])
    found = adopted(tmp_path, *lines, memory=memory)
    assert found.questions == []
    assert [row[3:] for row in results(found)] == [("7", "12"), ("9", "12"), ("4", "15"), ("5", "15")]
    assert adopted(tmp_path, *lines, "Olle;3;6", memory=memory).questions == []


@pytest.mark.parametrize("title", ["Spring 2026", "Chipping with the ladies"])
def test_a_title_that_names_no_test_leaves_a_sheet_as_it_was(tmp_path: Path, title: str) -> None:
    found = adopted(tmp_path, title, "Date;Player;Test;Made;Tried", "13.4.2026;Maud;Putt 2 m;7;10")
    assert results(found) == [("Maud", "putting_ladder", "6.6", "7", "10")]

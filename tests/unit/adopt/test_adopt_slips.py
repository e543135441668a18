"""A letter in place of a digit: refused with the cell as it was written."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.values import read_minutes, read_number
from paryield.desk.fields import minutes_typed


def adopted(folder: Path, *lines: str) -> Adoption:
    (folder / "own 2026.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


@pytest.mark.parametrize("cell", ["4o", "4O", "85O", "1OO", "4 o", "41e", "3l"])
def test_a_letter_that_is_no_unit_makes_no_number(cell: str) -> None:
    assert read_number(cell) is None
    assert read_minutes(cell) is None
    assert minutes_typed(cell) == cell


@pytest.mark.parametrize(("cell", "number"), [("45m", 45.0), ("2 h", 2.0), ("50b", 50.0), ("84*", 84.0)])
def test_a_unit_behind_a_number_is_left_aside(cell: str, number: float) -> None:
    assert read_number(cell) == number


def test_a_score_and_a_result_with_a_letter_are_told_as_they_were_written(tmp_path: Path) -> None:
    scores = ("Date;Player;Score;CR;Slope", "13.4.2026;Maud;85O;71;120", "14.4.2026;Maud;85;71;120")
    said = " ".join(adopted(tmp_path, *scores).lines())
    assert "no score, but '85O'" in said
    results = ("Date;Player;Test;Made;Tried", "13.4.2026;Maud;Ring;1O;20", "14.4.2026;Maud;Ring;9;20")
    said = " ".join(adopted(tmp_path, *results).lines())
    assert "a result cannot be read: '1O'" in said


def test_a_misspelt_call_name_is_asked_about(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(
        "Name;Called;Handicap\nMaud Ferrin;Tinker;12,4\nOlle Brandvik;Bean;8,1", encoding="utf-8"
    )
    lines = ("Date;Player;Drill;Minutes", "13.4.2026;Tinkr;bunker;30", "14.4.2026;Bean;bunker;20")
    (question,) = adopted(tmp_path, *lines).questions
    assert question.text == "Is 'Tinkr' the same person as 'Tinker', Maud Ferrin (G01)?"
    assert question.options == ("the same", "somebody else")


def test_a_score_with_nine_in_brackets_is_of_nine_holes(tmp_path: Path) -> None:
    lines = ("Date;Player;Score;CR;Slope", "13.4.2026;Maud;41 (9);35.4;120", "14.4.2026;Maud;85;71;120")
    rounds = adopted(tmp_path, *lines).tables()["rounds"]
    assert [(row["adjusted_gross_score"], row.get("holes")) for row in rounds] == [("41", "9"), ("85", None)]


def test_what_is_left_out_is_counted(tmp_path: Path) -> None:
    lines = ("Date;Player;Score;CR;Slope", *(f"{day}.4.2026;Maud;{score};71;120" for day, score in
             ((13, "NR"), (14, "WD"), (15, "85O"), (16, "85"))))  # fmt: skip
    found = adopted(tmp_path, *lines)
    assert found.left_out() == 3
    assert "left out: 3 rows or cells, as said above" in found.lines()

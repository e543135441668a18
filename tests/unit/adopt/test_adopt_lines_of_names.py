"""A line of one cell names a golfer only where it looks like a name, in the column of names, over data."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder

HEAD = "Date;Work;Minutes"
MAUD = "Maud Ferrin\n14.5.2026;Chipping;20\n15.5.2026;Bunker;30\n"
OLLE = "Olle Brandvik\n14.5.2026;Chipping;40\n16.5.2026;Bunker;10\n"


def read(folder: Path, text: str) -> Adoption:
    (folder / "spring.csv").write_text(f"{HEAD}\n{text}", encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


def told(found: Adoption) -> list[tuple[str, str]]:
    names = found.people.names
    return sorted((names[row["golfer_id"]], row["minutes"]) for row in found.tables()["practice"])


WHOLE = [("Maud Ferrin", "20"), ("Maud Ferrin", "30"), ("Olle Brandvik", "10"), ("Olle Brandvik", "40")]


@pytest.mark.parametrize(
    "line",
    [
        "rained off, back on Tuesday",
        "Week off",
        "May",
        ";Heron Marsh",
        "Note: Sandholt Links",
        "Bunker",
        "Lesson",
        "Nothing",
        "New grips today and two lessons after it",
    ],
)
def test_a_remark_between_rows_is_nobody(tmp_path: Path, line: str) -> None:
    first, rest = MAUD.split("15.5.", 1)
    found = read(tmp_path, f"{first}{line}\n15.5.{rest}{OLLE}")
    assert found.questions == []
    assert told(found) == WHOLE


def test_a_line_without_rows_of_its_own_is_nobody(tmp_path: Path) -> None:
    found = read(tmp_path, f"{MAUD}Jory Penhale\n{OLLE}Ines Castelar\n")
    assert told(found) == WHOLE
    assert set(found.people.names.values()) == {"Maud Ferrin", "Olle Brandvik"}
    assert any("'Ines Castelar' alone" in line for line in found.lines())


@pytest.mark.parametrize("name", ["Player: {}", "{}", "{} (new)"])
def test_names_are_told_with_a_word_before_or_behind_them(tmp_path: Path, name: str) -> None:
    text = (MAUD + OLLE).replace("Maud Ferrin", name.format("Maud Ferrin"))
    assert told(read(tmp_path, text)) == WHOLE


def test_particles_are_small_and_initials_have_points(tmp_path: Path) -> None:
    found = read(tmp_path, MAUD.replace("Maud Ferrin", "M. van der Ferrin-Holm"))
    assert set(found.people.names.values()) == {"M. van der Ferrin-Holm"}

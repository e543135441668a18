"""Putts to be holed without a distance: asked from how far, remembered, and told of where nobody knows."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.how_far import FAR_NOT_KNOWN, OPTIONS, needs_distance
from paryield.adopt.tests_named import feet_in
from paryield.rounds import test_measurements as measured
from paryield.rounds.tasks import TASKS
from paryield.tables import read_folder

HEAD = "Date;Player;Ladder holed (of 20);Chips in 2 m ring (of 20)"
FIRST = (HEAD, "13.4.2026;Maud;15;9", ";Olle;11;12")
NEXT = (HEAD, "20.4.2026;Maud;16;9")


def adopted(folder: Path, memory: Memory, *lines: str) -> Adoption:
    (folder / "Skills tests.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory, today=TODAY)


def asked_far(folder: Path, memory: Memory, *lines: str) -> Adoption:
    """Answer what the ladder counts, so that from how far is all that is open."""
    for _ in range(3):
        found = adopted(folder, memory, *lines)
        kinds = [one for one in found.questions if one.key.startswith("kind of test")]
        if not kinds:
            return found
        memory.take((one, "putts that were holed") for one in kinds)
    raise AssertionError([one.text for one in found.questions])


def feet(found: Adoption) -> list[tuple[str, str]]:
    return [
        (row["made"], row["distance_ft"])
        for row in found.tables()["assessments"]
        if row["test"] == "putting_ladder"
    ]


def putting_of(found: Adoption, out: Path) -> int:
    """Return how many of its tests measure putting, as the model reads them."""
    found.write(out)
    rows = measured(read_folder(out, today=TODAY).tables, {})
    return int((rows["area"] == "putting").sum())


def test_from_how_far_is_asked_once_answered_and_remembered(tmp_path: Path) -> None:
    own, memory = tmp_path / "own", Memory()
    own.mkdir()
    found = asked_far(own, memory, *FIRST)
    (question,) = found.questions
    assert question.text.startswith('From how far was "Ladder holed (of 20)"?')
    assert question.options == OPTIONS
    assert question.proposal is None
    memory.take([(question, "6 ft")])
    found = adopted(own, memory, *FIRST)
    assert found.questions == []
    assert feet(found) == [("15", "6"), ("11", "6")]
    assert putting_of(found, tmp_path / "tables") == 2
    assert not any("no distance" in line for line in found.lines())
    again = adopted(own, memory, *NEXT)
    assert again.questions == []
    assert feet(again) == [("16", "6")]


def test_a_distance_that_nobody_knows_is_remembered_and_told_of(tmp_path: Path) -> None:
    own, memory = tmp_path / "own", Memory()
    own.mkdir()
    memory.take([(asked_far(own, memory, *FIRST).questions[0], FAR_NOT_KNOWN)])
    found = adopted(own, memory, *FIRST)
    assert found.questions == []
    assert feet(found) == [("15", ""), ("11", "")]
    (told,) = [line for line in found.lines() if "no distance" in line]
    assert told.startswith("  2 results kept, but not used to measure putting: no distance (first: ")
    assert found.understood[0].to_dict()["unmeasured"] == found.unmeasured() != {}
    assert putting_of(found, tmp_path / "tables") == 0
    assert adopted(own, memory, *NEXT).questions == []


@pytest.mark.parametrize(
    "lines",
    [
        ("Date;Player;Putts holed from 6 ft (of 20)", "13.4.2026;Maud;15"),
        ("Date;Player;Test;Distance ft;Made;Tried", "13.4.2026;Maud;Putts;6;15;20"),
        ("Putting test from 6 ft;;;", "Date;Player;Made;Tried", "13.4.2026;Maud;15;20"),
    ],
)
def test_a_distance_that_is_said_is_not_asked(tmp_path: Path, lines: tuple[str, ...]) -> None:
    found = asked_far(tmp_path, Memory(), *lines)
    assert found.questions == []
    assert feet(found) == [("15", "6")]


def test_other_kinds_of_test_are_not_asked_from_how_far(tmp_path: Path) -> None:
    lines = ("Date;Player;Test;Made;Tried", "13.4.2026;Maud;Bunker;5;10", ";Maud;Lag putts;5;10")
    found = adopted(tmp_path, Memory(), *lines)
    assert found.questions == []
    assert found.unmeasured() == {}


def test_the_distances_to_choose_from_hold_those_of_the_projects_own_ladder() -> None:
    own = {part.distance for task in TASKS if needs_distance(task.name) for part in task.parts}
    assert own
    assert own <= {feet_in(one) for one in OPTIONS}
    assert all(feet_in(one) is not None for one in OPTIONS if one != FAR_NOT_KNOWN)


def test_the_headings_told_of_are_the_coachs_own(tmp_path: Path) -> None:
    lines = asked_far(tmp_path, Memory(), *FIRST).lines()
    assert "  columns: Date = when; Player = who" in lines
    assert "  tests: Ladder holed (of 20); Chips in 2 m ring (of 20)" in lines


@pytest.mark.parametrize(
    ("remark", "told"), [("comp", "Remarks = competition"), ("windy", "not used: Remarks")]
)
def test_remarks_that_say_competition_are_not_told_of_as_unused(
    tmp_path: Path, remark: str, told: str
) -> None:
    lines = ("Date;Player;Gross;CR;Slope;Remarks", f"13.4.2026;Maud;88;71.2;128;{remark}")
    said = "\n".join(adopted(tmp_path, Memory(), *lines).lines())
    assert told in said
    assert ("not used: the rest of Remarks" in said) == (remark == "comp")

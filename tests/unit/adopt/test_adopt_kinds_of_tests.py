"""Kinds of tests by their names in several languages: taken where they are plain, else asked about once."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder
from paryield.adopt.found import LEAVE
from paryield.adopt.kinds_of_tests import KIND_WORDS, NAMES, kinds_of, settled_name, tables_name
from paryield.adopt.memory import Question
from paryield.adopt.tests_named import named_test
from paryield.rounds import kind_of_test
from paryield.tables.kinds_of_test import name_of_kind, value_kind


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Chip to the flag", "chip"),
        ("Chips: ladder", "chip"),
        ("Wedge ladder", "pitch"),
        ("Ladder", None),
        ("Putting ladder", "putting"),
        ("Lag putts, 30 ft", "lag"),
        ("Putt lunghi", "lag"),
        ("Approach putts", "lag"),
        ("Putt < 2 m", None),
        ("Putts holed inside 3 ft", "putting"),
        ("Putts inside 3 ft from 30 ft", "lag"),
        ("Sand wedge 40 m", None),
        ("Up and down from the bunker", "bunker"),
        ("Chips, up & down", "up_and_down"),
        ("Landing zone, driver", None),
        ("Short game", None),
        ("Chip & pitch in 3 m", None),
        ("Sortie de sable, cercle 3 m", "bunker"),
        ("Approccio da 20 m, cerchio di 2 m", None),
        ("Pitch 40yds, 3yd ring", "pitch"),
        ("Annäherung in 3 m", None),
    ],
)
def test_a_name_says_one_kind_or_is_asked_about(heading: str, kind: str | None) -> None:
    asked: list[Question] = []
    name = settled_name(heading, lambda question: asked.append(question))
    if kind is None:
        assert name is None
        assert [one.options for one in asked] == [(*KIND_WORDS.values(), LEAVE)]
        assert asked[0].proposal is None
    else:
        assert asked == []
        assert name is not None
        assert name_of_kind(name) == kind


@pytest.mark.parametrize("name", ["Sandholt challenge", "Chipolata cup", "Speed round"])
def test_a_name_that_the_tables_would_take_for_a_kind_that_it_does_not_say_is_asked_about(name: str) -> None:
    asked: list[Question] = []
    assert settled_name(name, lambda question: asked.append(question)) is None
    assert len(asked) == 1


def test_a_name_without_a_kind_is_kept_as_it_is() -> None:
    assert settled_name("Nine ball game", lambda _: None) == "nine_ball_game"
    assert kind_of_test("nine_ball_game") is None


@pytest.mark.parametrize("kind", KIND_WORDS)
def test_each_answer_gives_a_name_of_its_kind(kind: str) -> None:
    for heading in ("Sand wedge 40 m", "Chip & pitch in 3 m", "Putt < 2 m", "Sandholt challenge"):
        assert name_of_kind(tables_name(heading, kind)) == kind
    assert name_of_kind(NAMES.get(kind, kind)) == kind
    assert kinds_of(heading) == frozenset()


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("Clubhead speed, mph", "clubhead_speed", "mph"),
        ("Velocità bastone driver (km/h)", "clubhead_speed", "km/h"),
        ("Ball speed [mph]", "ball_speed", "mph"),
        ("Schlägerkopfgeschwindigkeit (m/s)", "clubhead_speed", "m/s"),
        ("Carry (yd)", "driver_carry", "yd"),
        ("7 iron carry (yd)", None, None),
        ("Chip carry (m)", None, None),
        ("Speed putts", None, None),
    ],
)
def test_a_value_is_told_by_its_name_and_unit(heading: str, name: str | None, unit: str | None) -> None:
    one = named_test(heading, None)
    assert one.unit == unit
    if name is not None:
        assert one.test == name
        assert value_kind(name) is not None


@pytest.mark.parametrize(
    ("heading", "feet"),
    [
        ("Chips to the 6 ft ring from 15 yards", 45.0),
        ("Approccio da 20 m, cerchio di 2 m", 65.6),
        ("Pitch 40yds, 3yd ring", 120.0),
        ("Putt 2 m", 6.6),
        ("Chip inside 2 m", None),
        ("Chip within 3 ft of the hole", None),
        ("Bunker from 10 m", 32.8),
    ],
)
def test_the_size_of_a_ring_is_no_distance(heading: str, feet: float | None) -> None:
    assert named_test(heading, None).feet == feet


def test_a_test_of_two_kinds_is_asked_about_once_and_remembered(tmp_path: Path) -> None:
    lines = (
        "Date;Player;Test;Made;Tried",
        "13.4.2026;Maud;Chip & pitch;7;10",
        "13.4.2026;Olle;Chip & pitch;6;10",
    )
    (tmp_path / "own.csv").write_text("\n".join(lines), encoding="utf-8")
    memory = Memory()
    found = adopt_folder(tmp_path, memory, today=TODAY)
    assert [one.key for one in found.questions] == ["kind of test: chip & pitch"]
    assert found.tables()["assessments"] == []
    memory.take([(found.questions[0], KIND_WORDS["pitch"])])
    found = adopt_folder(tmp_path, memory, today=TODAY)
    assert found.questions == []
    assert {name_of_kind(row["test"]) for row in found.tables()["assessments"]} == {"pitch"}
    memory.take([(Question("kind of test: chip & pitch", "", ""), LEAVE)])
    found = adopt_folder(tmp_path, memory, today=TODAY)
    assert found.questions == []
    assert found.tables()["assessments"] == []
    assert any("left out, as you said" in line for line in found.lines())

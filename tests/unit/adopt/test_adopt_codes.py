"""Short names and codes: asked about once, and never two people where they may be one."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.names import may_be
from paryield.adopt.people import OTHER, SAME

DIARY = (
    "Date;Player;Exercise;Minutes",
    "13/4/2026;Maud Ferrin;bunker;20",
    "13/4/2026;Olle Brandvik;bunker;20",
    "13/4/2026;Wilhelmina Castelar;bunker;20",
)
RESULTS = (
    "Test 20/4/2026;;;",
    "Test;MAU;OLL;Mina",
    "Putt 2 m;7/10;8/10;9/10",
    "Putt 3 m;5/10;6/10;4/10",
)


def adopted(folder: Path, answers: dict[str, str]) -> Adoption:
    (folder / "diary.csv").write_text("\n".join(DIARY), encoding="utf-8")
    (folder / "results.csv").write_text("\n".join(RESULTS), encoding="utf-8")
    return adopt_folder(folder, Memory(answers), today=TODAY)


CODES = {"person mau = maud ferrin": SAME, "person oll = olle brandvik": SAME}


def test_codes_are_asked_about_once_and_what_is_left_over_then(tmp_path: Path) -> None:
    assert [one.key for one in adopted(tmp_path, {}).questions] == [*CODES]
    found = adopted(tmp_path, CODES)
    (question,) = found.questions
    assert question.key == "person mina: who"
    assert question.options == ("Wilhelmina Castelar", OTHER)
    assert len(found.tables()["assessments"]) == 4
    same = adopted(tmp_path, {**CODES, question.key: "Wilhelmina Castelar"})
    assert same.questions == []
    assert len(same.tables()["golfers"]) == 3
    assert len(same.tables()["assessments"]) == 6
    other = adopted(tmp_path, {**CODES, question.key: OTHER})
    assert other.questions == []
    assert len(other.tables()["golfers"]) == 4


@pytest.mark.parametrize(
    ("name", "other", "may"),
    [
        ("MAU", "Maud Ferrin", True),
        ("Maud", "MAU", True),
        ("Íñi", "Iñigo", True),
        ("Brandy", "Olle Brandvik", True),
        ("Olle", "Maud Ferrin", False),
        ("M", "Maud Ferrin", False),
    ],
)
def test_what_may_be_a_name_made_short(name: str, other: str, may: bool) -> None:
    assert may_be(name, other) is may

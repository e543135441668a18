"""A note above a sheet that names more than one course rating is asked about."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder

LISTED = {"G01": "Maud Ferrin", "G02": "Olle Brandvik"}
NOTE = "white tees CR 71.2 / slope 127 par 72, except 18 Apr = the links 70.4 / 121"


def adopted(folder: Path, *lines: str, answers: Mapping[str, str] | None = None) -> Adoption:
    (folder / "scores 2026.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, Memory(dict(answers or {})), today=TODAY, known=LISTED)


@pytest.mark.parametrize(
    "lines",
    [
        (NOTE, "Player;13/4/2026;18/4/2026", "Maud Ferrin;84;86", "Olle Brandvik;91;90"),
        (NOTE, "Date;Player;Score", "13/4/2026;Maud Ferrin;84", "18/4/2026;Olle Brandvik;90"),
    ],
)
def test_which_rating_holds_is_asked_and_its_answer_is_taken(tmp_path: Path, lines: tuple[str, ...]) -> None:
    found = adopted(tmp_path, *lines)
    (question,) = [one for one in found.questions if one.key.startswith("ratings above")]
    assert question.text.startswith(f"Row 1 names more than one course rating ({NOTE!r}).")
    assert question.options == ("71.2/127", "70.4/121")
    assert question.proposal == "71.2/127"
    for answer in question.options:
        said = adopted(tmp_path, *lines, answers={question.key: answer})
        assert not [one for one in said.questions if one.key == question.key]
        ratings = {(row["course_rating"], row["slope_rating"]) for row in said.tables()["rounds"]}
        assert {"/".join(f"{float(part):g}" for part in pair) for pair in ratings} == {answer}


@pytest.mark.parametrize(
    "lines",
    [
        ("CR 71.2 / slope 127 par 72", "Player;13/4/2026;18/4/2026", "Maud Ferrin;84;86"),
        (NOTE, "Player;13/4/2026;18/4/2026", "CR;71.2;70.4", "Slope;127;121", "Maud Ferrin;84;86"),
        (NOTE, "Date;Player;Score;CR;Slope", "13/4/2026;Maud Ferrin;84;71.2;127"),
    ],
)
def test_one_rating_or_ratings_of_their_own_are_not_asked_about(
    tmp_path: Path, lines: tuple[str, ...]
) -> None:
    found = adopted(tmp_path, *lines)
    assert not [one for one in found.questions if one.key.startswith("ratings above")]
    rounds = found.tables()["rounds"]
    assert float(rounds[0]["course_rating"]) == 71.2

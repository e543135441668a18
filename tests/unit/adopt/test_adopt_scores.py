"""Cells of scores that are more or less than a number: nine holes, and words that stand for no score."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import NINE
from paryield.adopt.values import read_score, says_nine
from paryield.tables import read_folder

HEADER = "Day;Pupil;Gross;Course;CR;Slope;Par;Remarks"


def adopted(folder: Path, *lines: str, header: str = HEADER, answer: str | None = None) -> Adoption:
    (folder / "own.csv").write_text("\n".join([header, *lines]), encoding="utf-8")
    found = adopt_folder(folder, Memory(), today=TODAY)
    if answer is None:
        return found
    return adopt_folder(folder, Memory({one.key: answer for one in found.questions}), today=TODAY)


@pytest.mark.parametrize(
    ("cell", "score", "nine"),
    [
        ("45 (9h)", 45, True),
        ("44 - 9 holes", 44, True),
        ("51 nine holes", 51, True),
        ("47 (9 Loch)", 47, True),
        ("89", 89, False),
        ("89 (19h)", 89, False),
        ("NR", None, False),
        ("9 holes", None, True),
    ],
)
def test_a_score_with_a_note_of_nine_holes(cell: str, score: float | None, nine: bool) -> None:
    assert read_score(cell) == score
    assert says_nine(cell) is nine


def test_nine_holes_with_a_rating_of_nine_are_read(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;Maud;45 (9h);Low Barrow;34,9;119;36;")
    assert found.questions == []
    (row,) = found.tables()["rounds"]
    assert (row["adjusted_gross_score"], row["holes"], row["course_rating"]) == ("45", "9", "34.9")


PLACE = "Low Barrow;69,8;119;72"


@pytest.mark.parametrize("told", [f"45 (9h);{PLACE};", f"45;{PLACE};only 9 holes"])
def test_nine_holes_beside_a_rating_of_18_are_one_question(tmp_path: Path, told: str) -> None:
    lines = (f"13.4.2026;Maud;{told}", f"20.4.2026;Maud;{told}", "27.4.2026;Maud;88;Low Barrow;69,8;119;72;")
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert "2 rows tell of nine holes (first in row 2)" in question.text
    assert question.proposal is None
    assert len(found.tables()["rounds"]) == 1
    assert len(adopted(tmp_path, *lines, answer=NINE[1]).tables()["rounds"]) == 1
    halved = adopted(tmp_path, *lines, answer=NINE[0])
    assert [(row.get("holes"), row["course_rating"]) for row in halved.tables()["rounds"]] == [
        ("9", "34.9"),
        ("9", "34.9"),
        (None, "69.8"),
    ]
    halved.write(tmp_path / "tables")
    assert not read_folder(tmp_path / "tables", today=TODAY).errors


def test_words_that_stand_for_no_score_are_counted_by_kind(tmp_path: Path) -> None:
    scores = ("NR", "88", "ill", "NR", "DNF", "91")
    lines = [f"{day}.4.2026;Maud;{score};{PLACE};" for day, score in enumerate(scores, 10)]
    found = adopted(tmp_path, *lines)
    assert len(found.tables()["rounds"]) == 2
    said = [line.strip() for line in found.lines()]
    assert "2 rows passed over: no score, but 'NR' (first: own.csv, row 2)" in said
    assert "1 row passed over: no score, but 'ill' (first: own.csv, row 4)" in said
    assert "1 row passed over: no score, but 'DNF' (first: own.csv, row 6)" in said


def test_words_in_a_column_of_a_golfer_are_counted_too(tmp_path: Path) -> None:
    scores = ("88;NR", "ill;90", "85;-")
    lines = [f"{day}.4.2026;Low Barrow;69,8;119;{two}" for day, two in enumerate(scores, 13)]
    found = adopted(tmp_path, *lines, header="Date;Course;CR;Slope;Maud;Olle")
    assert found.questions == []
    assert len(found.tables()["rounds"]) == 3
    assert dict(found.understood[0].found.passed) == {"no score, but 'NR'": 1, "no score, but 'ill'": 1}

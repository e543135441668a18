"""Cells of scores that are more or less than a number: nine holes, and words that stand for no score."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import NINE
from paryield.adopt.nines import says_nine
from paryield.adopt.values import read_score
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


@pytest.mark.parametrize(
    "last",
    [
        "Schnitt;;;;88;95;91,7;107,7",
        "Average 2026:;;;;88;95;91,7;107,7",
        "Ø;;;;88;95;91,7;107,7",
        ";;;;88;95;91,7;107,7",
    ],
)
def test_a_row_of_means_takes_no_column_from_a_golfer(tmp_path: Path, last: str) -> None:
    scores = ("87;94;91;108", "89;96;92;107", "88;95;92;108")
    lines = [f"{day}.4.2026;Low Barrow;69,8;119;{four}" for day, four in enumerate(scores, 13)]
    found = adopted(tmp_path, *lines, last, header="Date;Course;CR;Slope;Maud;Olle;Ines;Jory")
    assert found.questions == []
    told = [row["adjusted_gross_score"] for row in found.tables()["rounds"]]
    assert sorted(told) == sorted(one for four in scores for one in four.split(";"))
    assert found.understood[0].layout.unused == ()


def test_a_day_that_stands_once_over_two_rows_is_no_row_of_sums(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;69,8;119;87;94", ";71,2;128;88;95", header="Date;CR;Slope;Maud;Olle")
    assert len(found.tables()["rounds"]) == 4


def test_a_row_of_sums_does_not_decide_what_a_column_holds(tmp_path: Path) -> None:
    """Two scores and their sum: the sum is no third score by which the rounds would be practice."""
    lines = ("Ines;88;94;91", "Jory;90;95;97", "Total;5178;5189;5188")
    header = "Pupil;13.4.2026;20.4.2026;27.4.2026"
    found = adopted(tmp_path, *lines, header=header, answer="71.2/128")
    assert found.understood[0].layout.kind == "wide rounds"
    assert len(found.tables()["rounds"]) == 6


@pytest.mark.parametrize(
    ("heading", "known"),
    [
        ("Sanderling, Chidi", {}),
        ("Sand, Chidi", {}),
        ("Chidi Sand", {"G01": "Chidi Sand", "G02": "Maud Ferrin"}),
        ("Sand Chidi", {"G01": "Chidi Sand", "G02": "Maud Ferrin"}),
    ],
)
def test_a_golfers_name_above_a_column_is_no_practice(
    tmp_path: Path, heading: str, known: dict[str, str]
) -> None:
    lines = ("Date;Course;CR;Slope;" + heading + ";Ferrin, Maud", "13.4.2026;Low Barrow;69,8;119;88;95")
    (tmp_path / "own.csv").write_text("\n".join(lines), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), known=known, today=TODAY)
    assert found.questions == []
    assert sorted(row["adjusted_gross_score"] for row in found.tables()["rounds"]) == ["88", "95"]
    assert found.tables()["practice"] == []


@pytest.mark.parametrize(
    ("remark", "competition"),
    [
        ("Turnier", "yes"),
        ("Clubturnier, windig", "yes"),
        ("Wettspiel", "yes"),
        ("monthly medal", "yes"),
        ("tournoi", "yes"),
        ("Torneo sociale", "yes"),
        ("no competition", None),
        ("kein Turnier", None),
        ("warm up for the tournament", None),
        ("new driver", None),
        ("", None),
    ],
)
def test_a_remark_beside_a_round_is_used_only_where_it_says_that_it_was_a_competition(
    tmp_path: Path, remark: str, competition: str | None
) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;88;{PLACE};{remark}")
    (row,) = found.tables()["rounds"]
    assert row.get("competition") == competition
    assert "note" not in row
    said = [line.strip() for line in found.lines()]
    assert ("not used: the rest of Remarks" in said) == (competition == "yes")
    assert ("not used: Remarks" in said) == (competition is None)
    assert any("Remarks = competition" in line for line in said) == (competition == "yes")
    assert found.understood[0].to_dict()["not_used"] == ([] if competition == "yes" else ["Remarks"])


def test_another_score_in_brackets_without_a_word_is_told(tmp_path: Path) -> None:
    lines = (
        "13.4.2026;Maud;84 (83);Low Barrow;69,8;119;72;",
        "20.4.2026;Maud;91 (adj 88);Low Barrow;69,8;119;72;",
    )
    found = adopted(tmp_path, *lines)
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["84", "88"]
    (told,) = [line for line in found.lines() if "in brackets" in line]
    assert "read as the one before the brackets: 1 taken all the same (first: own.csv, row 2)" in told

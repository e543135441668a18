"""Rows of rounds that are none of one golfer over eighteen holes, and scores with a mark."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.values import read_score

HEADER = "Day;Pupil;Gross;Course;CR;Slope;Par;Event;Remarks"
PLACE = "Low Barrow;69,8;119"


def adopted(folder: Path, *lines: str) -> Adoption:
    (folder / "own.csv").write_text("\n".join([HEADER, *lines]), encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


@pytest.mark.parametrize(
    "event",
    [
        *("4BBB", "Texas scramble", "Better ball", "Greensomes", "Foursomes", "Vierer", "Auswahldrive"),
        *(
            "Scramble parejas",
            "Mejor bola",
            "Meilleure balle",
            "4 palle",
            "Quattro palle",
            "Bästboll",
            "Fyrbold",
        ),
    ],
)
def test_the_score_of_a_pair_is_nobodys(tmp_path: Path, event: str) -> None:
    found = adopted(
        tmp_path, f"13.4.2026;Maud;66;{PLACE};72;{event};", f"20.4.2026;Maud;88;{PLACE};72;Medal;"
    )
    assert found.questions == []
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["88"]
    assert "the score of a pair" in "\n".join(found.lines())


@pytest.mark.parametrize(
    "row", ["63;The Hollow;;;54;;", "63;Hollow pitch & putt;;;;;", "63;The Hollow;;;;P&P;"]
)
def test_a_course_of_short_holes_asks_for_no_rating(tmp_path: Path, row: str) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;{row}", f"20.4.2026;Maud;88;{PLACE};72;;")
    assert found.questions == []
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["88"]


@pytest.mark.parametrize("word", ["R", "WD", "NR", "DNF", "NP", "DESC", "DQ", "12 holes", "n.a."])
def test_a_word_for_no_score_is_none(tmp_path: Path, word: str) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;{word};{PLACE};72;;", f"20.4.2026;Maud;88;{PLACE};72;;")
    assert found.questions == []
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["88"]


@pytest.mark.parametrize("mark", ["*", "?"])
def test_a_score_with_a_mark_is_taken_and_the_mark_told(tmp_path: Path, mark: str) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;85{mark};{PLACE};72;;", f"20.4.2026;Maud;88;{PLACE};72;;")
    assert found.questions == []
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["85", "88"]
    assert f"  scores marked '{mark}': 1 taken all the same (first: own.csv, row 2)" in found.lines()


@pytest.mark.parametrize("event", ["9 only", "just nine", "9 hoyos tarde", "nur 9", "9 buche"])
def test_nine_holes_are_told_by_any_words_of_the_row(tmp_path: Path, event: str) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;43;{PLACE};72;{event};", f"20.4.2026;Maud;88;{PLACE};72;;")
    (question,) = found.questions
    assert question.key.startswith("nine holes")
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["88"]


def test_a_score_too_low_for_eighteen_holes_is_left_out(tmp_path: Path) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;43;{PLACE};72;;", f"20.4.2026;Maud;88;{PLACE};72;;")
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["88"]
    assert "too low for 18 holes" in "\n".join(found.lines())


@pytest.mark.parametrize("event", ["Practice round", "Amistoso", "Freundschaftsspiel", "Amichevole"])
def test_a_friendly_round_is_no_competition(tmp_path: Path, event: str) -> None:
    found = adopted(
        tmp_path, f"13.4.2026;Maud;88;{PLACE};72;{event};", f"20.4.2026;Maud;88;{PLACE};72;Medal;"
    )
    assert [row["competition"] for row in found.tables()["rounds"]] == ["no", "yes"]


def test_rows_of_averages_and_counts_are_no_rounds(tmp_path: Path) -> None:
    lines = (f"13.4.2026;Maud;88;{PLACE};72;;", ";Avg;84;;;;;;", ";Rounds;15;;;;;;", ";Media abril;88;;;;;;")
    assert [row["adjusted_gross_score"] for row in adopted(tmp_path, *lines).tables()["rounds"]] == ["88"]


def test_what_a_score_is_read_from() -> None:
    assert [read_score(cell) for cell in ("82?", "81*", "12 holes", "78-81", "7 hoyos")] == [
        82,
        81,
        None,
        None,
        None,
    ]

"""Ratings that stand elsewhere: lists with a column a tee, columns by tee, tees and spellings left open."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.ratings_asked import ANOTHER, EARLIER
from paryield.adopt.teed import rating_heading, two_days, two_scores

COURSES: list[list[object]] = [
    ["Course", "Par", "White", "Yellow", "Red (ladies)"],
    ["Low Barrow (home)", 72, "71.2/128", "69.9/121", "72.8/126"],
    ["Heron Marsh", 71, "70.1/119", "68.8/115", "71.5/120"],
]
HEADER: list[object] = ["Date", "Player", "Course", "Tee", "Gross"]


def adopted(folder: Path, rounds: list[list[object]], memory: Memory, *more: list[object]) -> Adoption:
    book = Workbook()
    book.active.title = "Scores"
    for row in (HEADER, *rounds):
        book.active.append(row)
    other = book.create_sheet("Courses")
    for row in (*COURSES, *more):
        other.append(row)
    book.save(folder / "own.xlsx")
    return adopt_folder(folder, memory, today=TODAY)


def told(found: Adoption) -> list[tuple[str, ...]]:
    names = ("course", "tee", "course_rating", "slope_rating", "adjusted_gross_score")
    return [tuple(row.get(name, "") for name in names) for row in found.tables()["rounds"]]


def test_a_list_with_a_column_a_tee_lends_its_ratings(tmp_path: Path) -> None:
    rounds: list[list[object]] = [
        ["13.4.2026", "Maud", "home", "R", 88],
        ["20.4.2026", "Maud", "Heron Marsh", "red", 90],
        ["27.4.2026", "Maud", "Low Barrow", "y", 86],
    ]
    found = adopted(tmp_path, rounds, Memory())
    assert found.questions == []
    assert told(found) == [
        ("Low Barrow (home)", "Red (ladies)", "72.8", "126", "88"),
        ("Heron Marsh", "Red (ladies)", "71.5", "120", "90"),
        ("Low Barrow (home)", "Yellow", "69.9", "121", "86"),
    ]


def test_a_tee_that_is_not_written_is_one_question_for_all(tmp_path: Path) -> None:
    rounds: list[list[object]] = [
        ["13.4.2026", "Maud", "Heron Marsh", "R", 88],
        ["20.4.2026", "Maud", "Heron Marsh", None, 90],
        ["20.4.2026", "Olle", "Heron Marsh", "W", 79],
        ["27.4.2026", "Olle", "Low Barrow", None, 80],
    ]
    found = adopted(tmp_path, rounds, Memory())
    (question,) = found.questions
    assert question.proposal == "Maud: Red (ladies); Olle: White"
    assert len(told(found)) == 2
    memory = Memory({question.key: question.proposal})
    assert [row[1] for row in told(adopted(tmp_path, rounds, memory))] == ["Red (ladies)"] * 2 + ["White"] * 2
    rounds.append(["27.4.2026", "Ines", "Heron Marsh", None, 95])
    (other,) = adopted(tmp_path, rounds, memory).questions
    assert other.key == "tee of: ines"
    assert other.options == ("Red (ladies)", "White", "Yellow")


def test_a_tee_that_no_list_has_is_asked_about_and_never_guessed(tmp_path: Path) -> None:
    found = adopted(tmp_path, [["13.4.2026", "Maud", "Heron Marsh", "Blue", 88]], Memory())
    (question,) = found.questions
    assert question.key == "ratings: heron marsh blue"
    assert told(found) == []


def test_a_short_spelling_of_a_course_is_one_question(tmp_path: Path) -> None:
    rounds: list[list[object]] = [
        ["13.4.2026", "Maud", "Heron", "W", 88],
        ["20.4.2026", "Olle", "Heron", "W", 80],
    ]
    found = adopted(tmp_path, rounds, Memory())
    (question,) = found.questions
    assert question.options == ("Heron Marsh", ANOTHER)
    assert told(found) == []
    same = adopted(tmp_path, rounds, Memory({question.key: "Heron Marsh"}))
    assert [row[:3] for row in told(same)] == [("Heron Marsh", "White", "70.1")] * 2
    (other,) = adopted(tmp_path, rounds, Memory({question.key: ANOTHER})).questions
    assert other.key == "ratings: heron white"


def test_a_line_of_other_ratings_before_a_day_is_asked_about(tmp_path: Path) -> None:
    rounds: list[list[object]] = [
        ["13.4.2026", "Maud", "Heron Marsh", "W", 88],
        ["4.5.2026", "Maud", "Heron Marsh", "W", 90],
    ]
    note: list[object] = ["Heron Marsh white was 69.4/117 before 1 May, new tees"]
    found = adopted(tmp_path, rounds, Memory(), [], note)
    (question,) = found.questions
    assert [row[2] for row in told(found)] == ["70.1"]
    answers = [adopted(tmp_path, rounds, Memory({question.key: one}), [], note) for one in EARLIER]
    assert [[row[2] for row in told(one)] for one in answers] == [["69.4", "70.1"], ["70.1", "70.1"]]


def test_golfers_below_a_list_of_courses_are_read(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        [["13.4.2026", "Maud", "Heron Marsh", "W", 88]],
        Memory(),
        [],
        ["Squad 2026", "H.I."],
        ["Maud Ferrin", 8.4],
    )
    assert [one.key for one in found.questions] == ["person maud = maud ferrin"]


BY_TEE = (
    "Date;Course;CR am;SL am;CR ro;SL ro;Maud;Olle;Ines",
    ";tees;;;;;ro;am;ro",
    "13/4/2026;Sandholt;70,4;122;72,1;125;88;79;R",
    "18 y 19/4/2026;Sandholt;70,4;122;72,1;125;90-87;81-NR;-",
    "27/4/2026;Sandholt;;;;;89;;101",
    "4/5/2026;Low Barrow;;;;;;80;",
    ";Average May;;;;;88,5;80,0;101",
)


def test_columns_of_ratings_by_tee_beside_a_column_a_golfer(tmp_path: Path) -> None:
    (tmp_path / "own.csv").write_text("\n".join(BY_TEE), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [one.key for one in found.questions] == ["ratings: low barrow am"]
    names = found.people.names
    assert sorted(
        (names[row["golfer_id"]], row["played_on"][5:], row["adjusted_gross_score"], row["course_rating"])
        for row in found.tables()["rounds"]
    ) == [
        ("Ines", "04-27", "101", "72.1"),
        ("Maud", "04-13", "88", "72.1"),
        ("Maud", "04-18", "90", "72.1"),
        ("Maud", "04-19", "87", "72.1"),
        ("Maud", "04-27", "89", "72.1"),
        ("Olle", "04-13", "79", "70.4"),
        ("Olle", "04-18", "81", "70.4"),
    ]


@pytest.mark.parametrize(
    ("heading", "held"),
    [
        ("CR white", ("course_rating", "white")),
        ("VC am", ("course_rating", "am")),
        ("Slope (red)", ("slope_rating", "red")),
        ("yellow SL", ("slope_rating", "yellow")),
        ("SSS white", None),
        ("PE am", None),
        ("CR", None),
        ("Course rating", None),
    ],
)
def test_what_a_heading_of_ratings_says(heading: str, held: tuple[str, str] | None) -> None:
    assert rating_heading(heading) == held


@pytest.mark.parametrize(
    ("cell", "days"),
    [
        ("16 y 17/05/2026", ("16/05/2026", "17/05/2026")),
        ("Sat 16-17 May", ("16 May", "17 May")),
        ("16./17. Mai 2026", ("16 Mai 2026", "17 Mai 2026")),
        ("May 16 & 17, 2026", ("May 16, 2026", "May 17, 2026")),
        ("16/17/2026", None),
        ("16 y 19/05/2026", None),
        ("3/4", None),
    ],
)
def test_two_days_in_one_cell(cell: str, days: tuple[str, str] | None) -> None:
    assert two_days(cell) == days


def test_two_scores_in_one_cell() -> None:
    assert two_scores("78-81") == (78.0, 81.0)
    assert two_scores("82 / R") == (82.0, "R")
    assert two_scores("R-NR") is None
    assert two_scores("78") is None

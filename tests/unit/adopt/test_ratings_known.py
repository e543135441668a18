"""For whom the ratings on record of a course and a tee hold."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder, ratings_on_record
from paryield.adopt.ratings_known import KnownRatings
from paryield.tables.frames import make_tables

MEN, LADIES, NEW = (70.4, 127.0), (73.1, 131.0), (70.9, 128.0)
PEOPLE = {"M1": "man", "M2": "man", "W1": "woman", "W2": "woman", "X1": None, "X2": None}


def known(
    *used: tuple[str, str, tuple[float, float]], people: dict[str, str | None] = PEOPLE
) -> KnownRatings:
    """What is on record after rounds on one course and tee: golfer, day and ratings."""
    rounds = [
        {
            "golfer_id": golfer,
            "played_on": pd.Timestamp(day),
            "round_no": number,
            "course": "Sandholt",
            "tee": "blue",
            "adjusted_gross_score": 90,
            "course_rating": pair[0],
            "slope_rating": pair[1],
        }
        for number, (golfer, day, pair) in enumerate(used, 1)
    ]
    golfers = [{"golfer_id": golfer, "sex": sex} for golfer, sex in people.items()]
    return ratings_on_record(make_tables({"golfers": pd.DataFrame(golfers), "rounds": pd.DataFrame(rounds)}))


def held(found: KnownRatings, *golfers: str) -> list[tuple[float, float] | None]:
    return [found.of("sandholt", "Blue", golfer) for golfer in golfers]


def test_new_ratings_of_everybody_take_the_place_of_the_old_ones() -> None:
    found = known(
        ("M1", "2026-04-01", MEN),
        ("X1", "2026-04-02", MEN),
        ("M2", "2026-06-01", NEW),
        ("X2", "2026-06-02", NEW),
    )
    assert held(found, "M1", "W1", "X1", "") == [NEW, NEW, NEW, NEW]
    assert not found.differ("Sandholt", "blue")


def test_men_and_women_have_those_last_used_for_their_sex() -> None:
    rounds = (("M1", "2026-04-01", MEN), ("W1", "2026-04-02", LADIES), ("M2", "2026-06-01", NEW))
    found = known(*rounds, ("X1", "2026-05-01", MEN), ("X1", "2026-05-02", LADIES))
    assert held(found, "M1", "W2") == [NEW, LADIES]
    assert held(found, "X1", "X2", "") == [LADIES, None, None]
    assert found.differ("Sandholt", "blue")


def test_ratings_of_men_alone_are_not_handed_to_a_woman() -> None:
    found = known(("M1", "2026-04-01", MEN), ("M2", "2026-05-01", MEN))
    assert held(found, "M2", "X1", "", "W1") == [MEN, MEN, MEN, None]


def test_two_ratings_beside_one_another_are_handed_to_nobody_unasked() -> None:
    """Where no sex is on record, a golfer has those that he played with last."""
    blank: dict[str, str | None] = dict.fromkeys(PEOPLE)
    rounds = (("X1", "2026-04-01", MEN), ("X2", "2026-04-02", LADIES), ("X1", "2026-05-01", MEN))
    assert held(known(*rounds, people=blank), "X1", "X2", "M1", "") == [MEN, LADIES, None, None]


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        (("m", "f"), {"A": "M", "B": "F"}),
        (("Herr", "Dame"), {"A": "M", "B": "F"}),
        (("woman", "?"), {"A": "F"}),
        (("m", None), {}),
    ],
)
def test_who_is_a_man_is_read_from_words_or_a_pair_of_letters(
    cells: tuple[str | None, ...], told: dict[str, str]
) -> None:
    assert known(people=dict(zip("AB", cells, strict=True))).sexes == told


def test_a_sheet_without_ratings_asks_only_of_whom_the_record_says_nothing(tmp_path: Path) -> None:
    found = known(("M1", "2026-02-01", MEN), ("W1", "2026-02-02", LADIES), ("X1", "2026-02-03", LADIES))
    given = ("Olle", "Per", "Maud", "Ida", "Kim", "Bo")
    names = {golfer: f"{word} Ferrin" for golfer, word in zip(PEOPLE, given, strict=True)}
    played = [f"14.4.2026;{names[one]};Sandholt;blue;90" for one in ("M2", "W2", "X1", "X2")]
    (tmp_path / "cards.csv").write_text("\n".join(("Day;Player;Course;Tee;Gross", *played)), encoding="utf-8")
    memory = Memory()
    first = adopt_folder(tmp_path, memory, known=names, courses=found, today=TODAY)
    (question,) = first.questions
    assert question.key == "sex of: bo ferrin"
    rows = {row["golfer_id"]: row["course_rating"] for row in first.tables()["rounds"]}
    assert rows == {"M2": "70.4", "W2": "73.1", "X1": "73.1"}
    memory.take([(question, "M")])
    again = adopt_folder(tmp_path, memory, known=names, courses=found, today=TODAY)
    assert {row["course_rating"] for row in again.tables()["rounds"] if row["golfer_id"] == "X2"} == {"70.4"}


def test_a_list_that_the_sheets_hold_stands_before_what_is_on_record(tmp_path: Path) -> None:
    found = known(("M1", "2026-02-01", MEN), ("W1", "2026-02-02", LADIES))
    (tmp_path / "courses.csv").write_text("Course;Tee;CR;Slope\nSandholt;blue;70,9;128\n", encoding="utf-8")
    card = "Day;Player;Course;Tee;Gross\n14.4.2026;Ida Ferrin;Sandholt;blue;90\n"
    (tmp_path / "cards.csv").write_text(card, encoding="utf-8")
    told = adopt_folder(tmp_path, Memory(), known={"W2": "Ida Ferrin"}, courses=found, today=TODAY)
    assert [row["course_rating"] for row in told.tables()["rounds"]] == ["70.9"]

"""Sheets whose columns say too little: rounds or practice, and which column is who, when and what."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, KnownRatings, Memory, adopt_folder
from paryield.adopt.choosing import PRACTICE, ROUNDS
from paryield.adopt.found import LEAVE, NO_PRACTICE

OUTINGS = "Day;Pupil;Venue;Par;CR;Slope;Balls;GIR;Remark"
CARDS = (
    "13.4.2026;Maud Ferrin;Low Barrow;72;69,8;119;88;7;gusty, driver wild",
    "20.4.2026;Olle Brandvik;Low Barrow;72;69,8;119;94;5;new shoes",
    "27.4.2026;Olle Brandvik;Sandholt;72;72,4;134;97;4;",
)


def write(folder: Path, header: str, *lines: str) -> None:
    (folder / "own.csv").write_text("\n".join([header, *lines]), encoding="utf-8")


def answered(folder: Path, **answers: str) -> Adoption:
    """Answer by the first words of a question's key, as often as something new is asked."""
    memory = Memory()
    found = adopt_folder(folder, memory, today=TODAY)
    for _ in range(4):
        told = [(one, answers[one.key.partition(":")[0].replace(" ", "_")]) for one in found.questions]
        memory.take(told)
        found = adopt_folder(folder, memory, today=TODAY)
    return found


def scores(found: Adoption) -> list[tuple[str, str]]:
    return sorted((row["played_on"], row["adjusted_gross_score"]) for row in found.tables()["rounds"])


ALL = [("2026-04-13", "88"), ("2026-04-20", "94"), ("2026-04-27", "97")]


def test_a_score_beside_a_course_and_its_ratings_is_a_round_whatever_the_remarks_say(tmp_path: Path) -> None:
    write(tmp_path, OUTINGS, *CARDS)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    assert scores(found) == ALL
    assert found.tables()["practice"] == []


def test_where_the_columns_do_not_tell_it_is_asked_once(tmp_path: Path) -> None:
    rows = [line.split(";") for line in CARDS]
    lines = [";".join((*row[:2], "Ines", row[6], row[8])) for row in rows]
    write(tmp_path, "Day;Pupil;Against;Balls;Remark", *lines)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = found.questions
    assert question.options == (ROUNDS, PRACTICE, LEAVE)
    assert question.proposal == ROUNDS
    left = answered(tmp_path, rounds_or_practice=LEAVE)
    assert left.questions == []
    assert not any(left.tables().values())
    assert not left.problems
    rounds = answered(tmp_path, rounds_or_practice=ROUNDS, ratings="71.2/128")
    assert scores(rounds) == ALL


def test_which_column_holds_the_score_is_asked_where_none_looks_like_it(tmp_path: Path) -> None:
    lines = (line.replace(";88;", ";8;").replace(";94;", ";6;").replace(";97;", ";9;") for line in CARDS)
    write(tmp_path, OUTINGS.replace("Balls", "Over"), *lines)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [question.key.partition(":")[0] for question in found.questions] == ["rounds or practice"]


HEADS = "Woche ab;Mitmacher;Gemacht;Umfang"
DONE = (
    "6.4.2026;Maud;sand 35 min + pitch shots 25 min;1",
    "13.4.2026;Olle;driver;0,5",
    "13.4.2026;Maud;lag putts;0,75",
)
PRACTISED = [("bunker", "35"), ("driver", "30"), ("lag_putting", "45"), ("pitching", "25")]


def practised(found: Adoption) -> list[tuple[str, str]]:
    return sorted((row["category"], row["minutes"]) for row in found.tables()["practice"])


def test_headings_that_say_nothing_are_asked_about_and_remembered(tmp_path: Path) -> None:
    write(tmp_path, HEADS, *DONE)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert {question.key.partition(":")[0]: question.proposal for question in found.questions} == {
        "column when": "Woche ab",
        "column who": "Mitmacher",
        "column what": "Gemacht",
        "column how long": "Umfang",
    }
    assert not found.problems
    memory = Memory({question.key: str(question.proposal) for question in found.questions})
    again = adopt_folder(tmp_path, memory, today=TODAY)
    assert again.questions == []
    assert practised(again) == PRACTISED
    write(tmp_path, HEADS, "20.4.2026;Maud;gym;1")
    later = adopt_folder(tmp_path, memory, today=TODAY)
    assert later.questions == []
    assert practised(later) == [("strength", "60")]


def test_only_what_the_header_does_not_say_is_asked(tmp_path: Path) -> None:
    write(tmp_path, HEADS.replace("Mitmacher", "Who").replace("Umfang", "Hours"), *DONE)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [question.key.partition(":")[0] for question in found.questions] == ["column when", "column what"]


def test_a_sheet_without_a_header_is_asked_about_by_letters(tmp_path: Path) -> None:
    write(tmp_path, *DONE)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [one.proposal for one in found.questions] == [f"column {letter}" for letter in "ABCD"]
    memory = Memory({one.key: str(one.proposal) for one in found.questions})
    again = adopt_folder(tmp_path, memory, today=TODAY)
    assert practised(again) == PRACTISED
    assert again.understood[0].found.rows[0].place == "own.csv, row 1"


@pytest.mark.parametrize("key", ["column_when", "column_what"])
def test_a_sheet_may_be_left_out(tmp_path: Path, key: str) -> None:
    write(tmp_path, HEADS, *DONE)
    answers = {"column_when": "Woche ab", "column_who": "Mitmacher", "column_what": "Gemacht"}
    found = answered(tmp_path, **{**answers, "column_how_long": "Umfang", key: LEAVE})
    assert found.questions == []
    assert not any(found.tables().values())
    assert "own.csv: left out, as you said" in found.lines()


def test_headings_of_a_weekly_log_are_known(tmp_path: Path) -> None:
    write(tmp_path, "Week from;Who;What we did;Hours", *DONE)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    assert practised(found) == PRACTISED


def test_what_was_left_out_is_not_said_to_be_open(tmp_path: Path) -> None:
    write(tmp_path, "Week;Who;Diary", "13.4.2026;Maud;wibble 20 min, sand 30 min")
    found = answered(tmp_path, practice=LEAVE)
    assert found.questions == []
    assert practised(found) == [("bunker", "30")]
    assert any("'wibble' is left out, as you said" in line for line in found.lines())
    assert not any("not settled" in line for line in found.lines())


def test_a_day_without_its_month_stands_in_the_month_of_the_sheet(tmp_path: Path) -> None:
    (tmp_path / "May 2026.csv").write_text(
        "Day,Pupil,CR,Slope,Out,In\nSa 2,Maud,71.2,128,44,43\n9.,Maud,71.2,128,45,\n31,Maud,71.2,128,NR,\n",
        encoding="utf-8",
    )
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert scores(found) == [("2026-05-02", "87")]
    assert [one.key.partition(":")[0] for one in found.questions] == ["nine holes"]
    assert found.understood[0].found.passed["no score, but 'NR'"] == 1


def test_one_header_serves_the_lists_below_it_each_under_a_line_with_its_day(tmp_path: Path) -> None:
    lines = ("Maud;88", "Olle;94", "Sat 18.04.2026 at Sandholt;", "Maud;90")
    write(tmp_path, "Club days;", "Sat 11.04.2026 - Low Barrow, Slope 119 CR 69.8;", "Name;Score", *lines)
    found = answered(tmp_path, ratings="72.4/134")
    columns = ("played_on", "adjusted_gross_score", "course")
    rows = [tuple(row[name] for name in columns) for row in found.tables()["rounds"]]
    assert sorted(rows) == [
        ("2026-04-11", "88", "Low Barrow"),
        ("2026-04-11", "94", "Low Barrow"),
        ("2026-04-18", "90", "Sandholt"),
    ]


@pytest.mark.parametrize("heading", ["Wer", "Golfer name", "Teilnehmende Person", "X"])
def test_a_column_of_known_names_is_the_golfers_whatever_its_heading(tmp_path: Path, heading: str) -> None:
    lines = [
        f"{heading};Day;Gross;CR;Slope",
        "Maud Ferrin;13.4.2026;88;71.2;128",
        "Brandvik, Olle;13.4.2026;91;71.2;128",
        "Somebody New;20.4.2026;95;71.2;128",
    ]
    (tmp_path / "rounds.csv").write_text("\n".join(lines), encoding="utf-8")
    known = {"G01": "Maud Ferrin", "G02": "Olle Brandvik"}
    found = adopt_folder(tmp_path, Memory(), known=known, today=TODAY)
    assert not any("Whose rows" in one.text for one in found.questions)
    whose = [row["golfer_id"] for row in found.tables()["rounds"]]
    assert whose == ["G01", "G02"]
    assert [one.key for one in found.questions] == ["person somebody new: who"]
    nobody = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert heading != "Wer" or any("Whose rows" in one.text for one in nobody.questions)


def test_things_divided_by_a_stroke_or_then_are_told_apart(tmp_path: Path) -> None:
    lines = (
        "Day;Pupil;Diary",
        "13.4.2026;Maud Ferrin;20 min lange Putts / 20 min Chippen",
        "20.4.2026;Maud Ferrin;30 chips / 20 drives",
        "27.4.2026;Maud Ferrin;half an hour of driver then 10 lag putts",
        "4.5.2026;Maud Ferrin;krank",
        "11.5.2026;Maud Ferrin;blessé",
    )
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    rows = found.tables()["practice"]
    told = [(row["category"], row.get("minutes") or row.get("reps"), row.get("state")) for row in rows]
    assert [one[:2] for one in told[:6]] == [
        ("lag_putting", "20"), ("chipping", "20"), ("chipping", "30"), ("driver", "20"), ("driver", "30"),
        ("lag_putting", "10"),
    ]  # fmt: skip
    assert [one[2] for one in told[6:]] == ["none", "none"]


@pytest.mark.parametrize(
    ("heading", "cell"), [("CR/Slope", "70.9/124"), ("Slope / CR", "124 / 70,9"), ("CR", "70.9|124")]
)
def test_rating_and_slope_in_one_cell(tmp_path: Path, heading: str, cell: str) -> None:
    text = f"Player;Day;Gross;{heading}\nMaud Ferrin;13.4.2026;88;{cell}\n"
    (tmp_path / "rounds.csv").write_text(text, encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    (row,) = found.tables()["rounds"]
    assert (row["course_rating"], row["slope_rating"]) == ("70.9", "124")


def test_a_word_for_no_practice_can_be_said_to_be_one(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text("Day;Pupil;Diary\n13.4.2026;Maud Ferrin;Vertretung\n", encoding="utf-8")
    (question,) = adopt_folder(tmp_path, Memory(), today=TODAY).questions
    assert NO_PRACTICE in question.options
    memory = Memory()
    memory.take([(question, NO_PRACTICE)])
    found = adopt_folder(tmp_path, memory, today=TODAY)
    assert found.questions == []
    (row,) = found.tables()["practice"]
    assert row["state"] == "none"


def test_a_course_on_record_lends_its_spelling_and_ratings(tmp_path: Path) -> None:
    lines = ["Player;Day;Gross;Course;Tee", "Maud Ferrin;13.4.2026;88;heron  marsh;YELLOW"]
    lines.append("Maud Ferrin;20.4.2026;90;Elsewhere;")
    (tmp_path / "rounds.csv").write_text("\n".join(lines), encoding="utf-8")
    spelt = {("heron marsh", "yellow"): ("Heron Marsh", "yellow"), ("elsewhere", ""): ("Elsewhere", "")}
    courses = KnownRatings(spelt, {("heron marsh", "yellow"): (70.9, 124.0)})
    found = adopt_folder(tmp_path, Memory(), courses=courses, today=TODAY)
    assert ["elsewhere" in question.text.lower() for question in found.questions] == [True]
    rows = found.tables()["rounds"]
    first = next(row for row in rows if row["played_on"] == "2026-04-13")
    assert [first[name] for name in ("course", "tee", "course_rating", "slope_rating")] == [
        "Heron Marsh", "yellow", "70.9", "124"
    ]  # fmt: skip


@pytest.mark.parametrize(
    "headings", ["Brutto;bereinigt", "bereinigt;Brutto", "Gross;Adjusted gross", "Brut;Score ajusté"]
)
def test_an_adjusted_score_is_taken_before_the_gross_one_beside_it(tmp_path: Path, headings: str) -> None:
    """Adjusted, since it is what a differential is worked out from (Rules of Handicapping 3 and 5.1)."""
    first = headings.startswith("b")
    cells = "94;96" if first else "96;94"
    (tmp_path / "rounds.csv").write_text(
        f"Player;Day;{headings};CR;Slope\nMaud Ferrin;13.4.2026;{cells};71.2;128\n", encoding="utf-8"
    )
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [row["adjusted_gross_score"] for row in found.tables()["rounds"]] == ["94"]
    assert any("not used: " in line for line in found.lines())


def test_short_names_that_are_known_head_columns_of_practice(tmp_path: Path) -> None:
    lines = (
        "Tag;Ferrin;Olle B.;Sig",
        "13.4.2026;Putten 20 min;Bunker 30 min;Eisen 15 min",
        "14.4.2026;-;Eisen 40 min;",
    )
    (tmp_path / "week.csv").write_text("\n".join(lines), encoding="utf-8")
    known = {"G01": "Maud Ferrin", "G02": "Olle Brandvik", "G03": "Sigrid Halvorsen"}
    found = adopt_folder(tmp_path, Memory(), known=known, today=TODAY)
    assert {one.key.partition(" ")[0].rstrip(":,") for one in found.questions} <= {
        "person",
        "dash",
        "practice",
    }
    memory = Memory()
    memory.take((one, one.proposal or one.options[0]) for one in found.questions)
    rows = adopt_folder(tmp_path, memory, known=known, today=TODAY).tables()["practice"]
    told = [(row["golfer_id"], row["practised_on"][8:], row["category"]) for row in rows if row["category"]]
    assert {one[::2] for one in told} >= {("G02", "bunker"), ("G02", "irons")}
    assert ("G01", "13", "short_putting") in told


def test_first_names_that_are_known_are_the_golfers_whatever_the_heading(tmp_path: Path) -> None:
    lines = ("Practice diary;Mon 13/4;Tue 14/4", "Maud;putts 20 min;", "Olle;bunker 30 min;irons 40 min")
    (tmp_path / "grid.csv").write_text("\n".join(lines), encoding="utf-8")
    found = adopt_folder(
        tmp_path, Memory(), known={"G01": "Maud Ferrin", "G02": "Olle Brandvik"}, today=TODAY
    )
    assert not any("Whose rows" in one.text for one in found.questions)

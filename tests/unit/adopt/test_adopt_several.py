"""Cells that name several things or several people: divided as the words say, otherwise asked about."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import PLAYED, SHARES, SUMS
from paryield.adopt.people import ONE, SEVERAL
from paryield.adopt.spoken import spoken
from paryield.club import Club

HEADER = "Day;Pupil;Exercise;Std"
HEADER_OF_LOG = "Day;Pupil;Diary;Minutes"


def adopted(folder: Path, *lines: str, header: str = HEADER, **answers: str) -> Adoption:
    (folder / "log.csv").write_text("\n".join([header, *lines]), encoding="utf-8")
    told = {key.replace("_", " "): value for key, value in answers.items()}
    first = adopt_folder(folder, Memory(), today=TODAY)
    memory = Memory()
    memory.take(
        (one, told[one.key.partition(":")[0]]) for one in first.questions if one.key.partition(":")[0] in told
    )
    return adopt_folder(folder, memory, today=TODAY)


def minutes(found: Adoption) -> list[tuple[str, str]]:
    return [(row["category"], row.get("minutes", "")) for row in found.tables()["practice"]]


@pytest.mark.parametrize("header", [HEADER, HEADER_OF_LOG])
def test_several_things_share_the_time_as_their_words_say(tmp_path: Path, header: str) -> None:
    hours = header == HEADER
    lines = (
        f"13.4.2026;Maud Ferrin;sand 35 min + pitch shots 25 min;{'1' if hours else '60'}",
        f"20.4.2026;Maud Ferrin;3 x 20 min lag putts;{'1' if hours else '60'}",
        f"27.4.2026;Maud Ferrin;driver 40 min, irons 40 min;{'1,33' if hours else '80'}",
        f"4.5.2026;Maud Ferrin;gym twenty minutes, the rest chipping;{'0,75' if hours else '45'}",
    )
    found = adopted(tmp_path, *lines, header=header)
    assert found.questions == []
    assert minutes(found) == [
        ("bunker", "35"),
        ("pitching", "25"),
        ("lag_putting", "60"),
        ("driver", "40"),
        ("irons", "40"),
        ("strength", "20"),
        ("chipping", "25"),
    ]


def test_minutes_that_do_not_add_up_are_one_question(tmp_path: Path) -> None:
    lines = (
        "13.4.2026;Maud Ferrin;sand 35 min + pitch shots 25 min;1,5",
        "20.4.2026;Maud Ferrin;driver 40 min;2",
        "27.4.2026;Maud Ferrin;driver 30 min;0,5",
    )
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert "In 2 rows" in question.text
    assert "row 2" in question.text
    assert question.proposal is None
    assert minutes(found) == [("driver", "30")]
    words = adopted(tmp_path, *lines, sum=SUMS[0])
    assert minutes(words) == [("bunker", "35"), ("pitching", "25"), ("driver", "40"), ("driver", "30")]
    beside = adopted(tmp_path, *lines, sum=SUMS[1])
    assert minutes(beside) == [("bunker", "52.5"), ("pitching", "37.5"), ("driver", "120"), ("driver", "30")]
    assert minutes(adopted(tmp_path, *lines, sum=SUMS[2])) == [("driver", "30")]
    assert adopted(tmp_path, *lines, sum=SUMS[2]).questions == []


def test_things_without_minutes_of_their_own_are_one_question(tmp_path: Path) -> None:
    lines = (
        "13.4.2026;Maud Ferrin;lag putts and sand;1",
        "20.4.2026;Maud Ferrin;circuit 40 min (chipping and gym);0,67",
    )
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert minutes(found) == []
    assert question.options == SHARES
    assert minutes(adopted(tmp_path, *lines, shares=SHARES[0])) == [
        ("lag_putting", "30"),
        ("bunker", "30"),
        ("chipping", "20"),
        ("strength", "20"),
    ]


def test_the_rest_on_the_course_is_practice_or_play(tmp_path: Path) -> None:
    lines = ("13.4.2026;Maud Ferrin;half an hour ladder, rest on the course, spoke of rhythm;1,5",)
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert question.options == PLAYED
    assert minutes(found) == [("short_putting", "30")]
    assert minutes(adopted(tmp_path, *lines, played=PLAYED[1])) == [("short_putting", "30")]
    practised = adopted(tmp_path, *lines, played=PLAYED[0])
    assert minutes(practised) == [("short_putting", "30"), ("on_course", "60")]


def test_one_thing_stays_one(tmp_path: Path) -> None:
    lines = (
        "13.4.2026;Maud Ferrin;bump and run;0,5",
        "20.4.2026;Maud Ferrin;Ladder, 3 ft gate;0,5",
        "27.4.2026;Maud Ferrin;Sand (plugged lies);0,5",
    )
    found = adopted(tmp_path, *lines)
    assert found.questions == []
    assert minutes(found) == [("chipping", "30"), ("short_putting", "30"), ("bunker", "30")]


def test_what_may_be_practice_beside_the_rest_is_asked_and_left_out_if_so_said(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;Maud Ferrin;driver, wibble;1")
    (question,) = found.questions
    assert question.key == "practice: wibble"
    assert minutes(found) == []
    left = adopted(tmp_path, "13.4.2026;Maud Ferrin;driver, wibble;1", practice="leave it out")
    assert left.questions == []
    assert minutes(left) == [("driver", "60")]


@pytest.mark.parametrize(
    ("said", "figures"),
    [
        ("half an hour putting", "30 min putting"),
        ("An hour and a half of irons", "90 min of irons"),
        ("eine halbe Stunde Putten", "30 min Putten"),
        ("twenty minutes gym", "20 minutes gym"),
        ("1 hour and 15 min chips", "1 h 15 min chips"),
        ("one ball only", "one ball only"),
    ],
)
def test_lengths_of_time_as_they_are_said(said: str, figures: str) -> None:
    assert spoken(said) == figures


TWO = (
    "13.4.2026;Maud;sand;1",
    "20.4.2026;Olle;gym;1",
    "27.4.2026;Maud, Olle;lag putts 30 min;0,5",
)


@pytest.mark.parametrize("sign", [", ", " & ", " and ", "/", " + "])
def test_a_cell_with_two_names_is_asked_about_and_each_did_it(tmp_path: Path, sign: str) -> None:
    lines = (*TWO[:2], TWO[2].replace(", ", sign))
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert question.options == (SEVERAL, ONE)
    assert question.proposal is None
    assert len(found.tables()["golfers"]) == len(found.tables()["practice"]) == 2
    two = adopted(
        tmp_path, *lines, **{f"person maud {'and ' * (sign == ' and ')}{'& ' * (sign == ' & ')}olle": SEVERAL}
    )
    assert two.questions == []
    rows = two.tables()["practice"]
    assert sorted(row["category"] for row in rows) == ["bunker", "lag_putting", "lag_putting", "strength"]
    assert len({row["golfer_id"] for row in rows}) == len(two.tables()["golfers"]) == 2


def test_a_result_of_two_people_is_nobodys(tmp_path: Path) -> None:
    header = "Day;Pupil;Gross;CR;Slope"
    lines = ("13.4.2026;Maud;85;71,2;128", "20.4.2026;Olle;86;71,2;128", "27.4.2026;Maud & Olle;80;71,2;128")
    found = adopted(tmp_path, *lines, header=header, **{"person maud & olle": SEVERAL})
    assert len(found.tables()["rounds"]) == 2
    assert any("are 2 people" in problem.line() for problem in found.problems)


def test_last_names_before_a_comma_are_no_question(tmp_path: Path) -> None:
    names = ("Ambleside, Ruth", "Ferrin, Maud", "Brandvik, Olle", "Castelar, Ruth")
    found = adopted(tmp_path, *(f"13.4.2026;{name};gym;1" for name in names))
    assert found.questions == []
    assert len(found.tables()["golfers"]) == 4


def test_the_names_of_two_people_are_kept_until_one_of_them_is_erased(tmp_path: Path) -> None:
    found = adopted(tmp_path, *TWO, **{"person maud olle": SEVERAL})
    later = adopt_folder(tmp_path, Memory({}, dict(found.people.ids)), known=found.people.names, today=TODAY)
    assert later.questions == []
    assert len(later.tables()["practice"]) == 4
    found.write(tmp_path / "tables")
    with Club.open(tmp_path / "club.db", create=True) as club:
        club.import_folder(tmp_path / "tables", keep_good=True)
        club.remember({}, found.people.ids)
        club.erase(found.people.ids["Olle"])
        assert club.adopted()[1] == {"Maud": found.people.ids["Maud"]}

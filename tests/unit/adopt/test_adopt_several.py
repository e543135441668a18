"""Cells that name several things or several people: divided as the words say, otherwise asked about."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.everybody import EACH, group_in, left_out
from paryield.adopt.found import DASH, LEAVE, PLAYED, SHARES, SUMS
from paryield.adopt.log import spoken
from paryield.adopt.people import ONE, SEVERAL
from paryield.club import Club
from paryield.tables import read_folder

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


def test_a_number_of_buckets_is_no_number_of_balls(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;Maud;driver;2 Eimer", header="Day;Pupil;Exercise;Reps")
    (row,) = found.tables()["practice"]
    assert (row["category"], row.get("reps"), row["state"]) == ("driver", None, "unknown")
    wide = adopted(tmp_path, "13.4.2026;Maud;2 buckets;30", header="Day;Pupil;Driver;Bunker")
    rows = {row["category"]: row for row in wide.tables()["practice"]}
    assert rows["driver"]["state"] == "unknown"
    assert rows["bunker"].get("state") is None


IDLE = "Day;Pupil;Diary"


@pytest.mark.parametrize("header", [IDLE, "Pupil;13.4.2026;20.4.2026"])
def test_a_day_of_nothing_is_kept_whatever_is_said_beside_it(tmp_path: Path, header: str) -> None:
    days = (
        ("13.4.2026;Maud;nothing, sore back", "20.4.2026;Maud;gym 20 min")
        if header == IDLE
        else ("Maud;nothing, sore back;gym 20 min",)
    )
    (tmp_path / "log.csv").write_text("\n".join([header, *days]), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert [one.key for one in found.questions] == ["practice: sore back"]
    found = adopt_folder(tmp_path, Memory({"practice: sore back": LEAVE}), today=TODAY)
    assert found.questions == []
    assert [
        (row["practised_on"], row["category"], row.get("state")) for row in found.tables()["practice"]
    ] == [("2026-04-13", "", "none"), ("2026-04-20", "strength", None)]
    found.write(tmp_path / "tables")
    assert not read_folder(tmp_path / "tables", today=TODAY).tables.practice.empty


def test_a_day_of_nothing_is_not_kept_beside_what_was_practised(tmp_path: Path) -> None:
    lines = (
        "13.4.2026;Maud;nothing, 50 chips",
        "14.4.2026;Maud;nothing",
        "14.4.2026;Maud;gym 20 min",
        "14.4.2026;Olle;nothing, nix",
        "14.4.2026;Olle;nothing",
    )
    found = adopted(tmp_path, *lines, header=IDLE)
    names = found.people.names
    rows = [(names[row["golfer_id"]], row["category"]) for row in found.tables()["practice"]]
    assert rows == [("Maud", "chipping"), ("Maud", "strength"), ("Olle", "")]


@pytest.mark.parametrize("sign", [" + ", " & ", " and ", " und ", "/", " / "])
@pytest.mark.parametrize("header", [IDLE, "Pupil;13.4.2026;20.4.2026"])
def test_a_time_behind_joined_things_is_for_all_of_them(tmp_path: Path, sign: str, header: str) -> None:
    line = (
        "Maud;chipping" + sign + "lag putts 40 min;"
        if header != IDLE
        else ("13.4.2026;Maud;chipping" + sign + "lag putts 40 min")
    )
    found = adopted(tmp_path, line, header=header)
    (question,) = found.questions
    assert question.options == SHARES
    assert minutes(found) == []
    shared = adopted(tmp_path, line, header=header, shares=SHARES[0])
    assert shared.questions == []
    assert minutes(shared) == [("chipping", "20"), ("lag_putting", "20")]
    assert minutes(adopted(tmp_path, line, header=header, shares=SHARES[1])) == []


@pytest.mark.parametrize(
    ("told", "rows"),
    [
        ("lag putts 20 min, 40 chips", [("chipping", ""), ("lag_putting", "20")]),
        ("chipping, lag putts 40 min", [("chipping", ""), ("lag_putting", "40")]),
        ("50 chips + ladder 20 min", [("chipping", ""), ("short_putting", "20")]),
        ("driver 40 min and irons 20 min", [("driver", "40"), ("irons", "20")]),
        ("bump and run 20 min", [("chipping", "20")]),
        ("ladder, 20 min", [("short_putting", "20")]),
        ("ladder and gate 20 min", [("short_putting", "10"), ("short_putting", "10")]),
    ],
)
def test_other_times_stay_with_their_own_thing(
    tmp_path: Path, told: str, rows: list[tuple[str, str]]
) -> None:
    found = adopted(tmp_path, f"13.4.2026;Maud;{told}", header=IDLE)
    assert found.questions == []
    assert sorted(minutes(found)) == rows


def test_a_time_in_words_for_all_that_is_also_beside_them_is_shared(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;Maud;chipping + lag putts 40 min;40", header=HEADER_OF_LOG)
    (question,) = found.questions
    assert question.options == SHARES
    alone = adopted(tmp_path, "13.4.2026;Maud;sore back + gym 40 min", header=IDLE, practice=LEAVE)
    assert [one.key.partition(":")[0] for one in alone.questions] == []
    assert minutes(alone) == [("strength", "40")]


@pytest.mark.parametrize(
    "said", ["(neu)", "(new)", "[Gast]", "(guest)", "(nouveau)", "(Nuovo)", "(neues Mitglied)"]
)
def test_a_word_in_brackets_for_who_is_new_is_no_part_of_the_name(tmp_path: Path, said: str) -> None:
    lines = (f"13.4.2026;Maud Ferrin {said};gym;1", "20.4.2026;Maud Ferrin;gym;1")
    found = adopted(tmp_path, *lines)
    assert found.questions == []
    (golfer,) = found.tables()["golfers"]
    assert golfer["display_name"] == "Maud Ferrin"
    assert len(found.tables()["practice"]) == 2
    known = adopt_folder(tmp_path, Memory(), known={"G07": "Ferrin, Maud (neu)"}, today=TODAY)
    assert known.questions == []
    assert {row["golfer_id"] for row in known.tables()["practice"]} == {"G07"}


def test_other_words_in_brackets_stay_with_the_name(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;Maud Ferrin (Beth);gym;1")
    (golfer,) = found.tables()["golfers"]
    assert golfer["display_name"] == "Maud Ferrin (Beth)"


@pytest.mark.parametrize(
    ("header", "line"),
    [
        ("Day;Pupil;Diary;Remark", "13.4.2026;Maud;50 chips, ladder 20 min;new grip"),
        ("Day;Pupil;Diary;Remark", "13.4.2026;Maud;wibble, 50 chips, ladder 20 min;new grip"),
        ("Day;Pupil;Chipping;Bunker;Remark", "13.4.2026;Maud;50 min;20 min;new grip"),
        ("Day;Pupil;Exercise;Minutes;Remark", "13.4.2026;Maud;chips 30 min, ladder 20 min;50;new grip"),
    ],
)
def test_a_remark_beside_practice_is_kept_once_with_the_first_that_is_stored(
    tmp_path: Path, header: str, line: str
) -> None:
    found = adopted(tmp_path, line, header=header, practice=LEAVE)
    rows = sorted(found.tables()["practice"], key=lambda row: row["category"] != "chipping")
    assert [row.get("note") for row in rows] == ["new grip", None]
    assert any("Remark = remark" in said for said in found.lines())


def test_a_remark_that_is_itself_the_log_is_no_note(tmp_path: Path) -> None:
    found = adopted(tmp_path, "13.4.2026;Maud;50 chips", header="Day;Pupil;Remark")
    assert [(row["category"], row.get("note")) for row in found.tables()["practice"]] == [("chipping", None)]


def test_an_entry_told_twice_is_one_with_the_remark_of_either(tmp_path: Path) -> None:
    (tmp_path / "also.csv").write_text("Day;Pupil;Diary\n13.4.2026;Maud;50 chips", encoding="utf-8")
    found = adopted(tmp_path, "13.4.2026;Maud;50 chips;new grip", header="Day;Pupil;Diary;Remark")
    assert [(row["reps"], row["note"]) for row in found.tables()["practice"]] == [("50", "new grip")]


@pytest.mark.parametrize("when", ["Day", "Week from"])
def test_a_log_with_a_column_a_golfer_is_read_like_rounds_of_that_kind(tmp_path: Path, when: str) -> None:
    lines = (
        f"{when};Ferrin, Maud;Olle Brandvik",
        "13.4.2026;lag putts 20 min, 40 chips;nothing",
        "20.4.2026;;gym 30 min",
        "27.4.2026;?;",
    )
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    known = {"G01": "Maud Ferrin", "G02": "Olle Brandvik"}
    found = adopt_folder(tmp_path, Memory(), known=known, today=TODAY)
    assert found.questions == []
    rows = found.tables()["practice"]
    told = [(row["golfer_id"], row["practised_on"][5:], row["category"], row.get("state")) for row in rows]
    assert sorted(told, key=str) == [
        ("G01", "04-13", "chipping", None),
        ("G01", "04-13", "lag_putting", None),
        ("G01", "04-27", "", "unknown"),
        ("G02", "04-13", "", "none"),
        ("G02", "04-20", "strength", None),
    ]
    assert found.origins().written("practice", 2).startswith("13.4.2026 | Ferrin, Maud | ")
    assert not any("not used" in line for line in found.lines())


def test_a_time_in_front_of_joined_things_is_for_all_of_them(tmp_path: Path) -> None:
    lines = (
        "13.4.2026;Maud Ferrin;1,5 h Driver und Chippen",
        "20.4.2026;Maud Ferrin;40 min irons, bunker 20 min",
    )
    found = adopted(tmp_path, *lines, header="Day;Pupil;Diary")
    (question,) = found.questions
    assert question.options == SHARES
    assert minutes(found) == [("irons", "40"), ("bunker", "20")]
    shared = adopted(tmp_path, *lines, header="Day;Pupil;Diary", shares=SHARES[0])
    assert sorted(minutes(shared)) == [
        ("bunker", "20"), ("chipping", "45"), ("driver", "45"), ("irons", "40")
    ]  # fmt: skip


def test_names_that_were_answered_head_their_columns_at_once(tmp_path: Path) -> None:
    lines = (
        "Day;Maud F.;Olle Brandvik",
        "13.4.2026;chips 30 min;nothing",
        "20.4.2026;bunker 20 min;irons 40 min",
    )
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    known = {"G01": "Maud Ferrin", "G02": "Olle Brandvik"}
    first = adopt_folder(tmp_path, Memory(), known=known, today=TODAY)
    memory = Memory()
    memory.take((one, one.options[0] if one.options else "G01") for one in first.questions)
    assert first.questions
    found = adopt_folder(tmp_path, memory, known=known, today=TODAY)
    assert found.questions == []
    assert not any("not used" in line for line in found.lines())
    whose = [(row["golfer_id"], row["category"], row.get("state")) for row in found.tables()["practice"]]
    assert sorted(whose, key=str) == [
        ("G01", "bunker", None), ("G01", "chipping", None), ("G02", "", "none"), ("G02", "irons", None)
    ]  # fmt: skip


DASHED = {
    "a row a day": ("Day;Pupil;Diary", "13.4.2026;Maud Ferrin;bunker 20 min", "20.4.2026;Maud Ferrin;-"),
    "a row a day, with minutes": (
        "Day;Pupil;Diary;Minutes", "13.4.2026;Maud Ferrin;bunker;20", "20.4.2026;Maud Ferrin;–;",
    ),
    "a column a day": ("Pupil;13.4.2026;20.4.2026", "Maud Ferrin;bunker 20 min;—"),
    "a column a golfer": ("Day;Ferrin, Maud", "13.4.2026;bunker 20 min", "20.4.2026;-"),
}  # fmt: skip


@pytest.mark.parametrize("form", DASHED)
def test_a_dash_alone_is_no_practice_only_when_that_was_said(tmp_path: Path, form: str) -> None:
    (tmp_path / "log.csv").write_text("\n".join(DASHED[form]), encoding="utf-8")
    known = {"G01": "Maud Ferrin"}

    def told(memory: Memory) -> tuple[Adoption, list[tuple[str, str | None]]]:
        found = adopt_folder(tmp_path, memory, known=known, today=TODAY)
        rows = found.tables()["practice"]
        return found, [(row["practised_on"][5:], row.get("state")) for row in rows]

    found, first = told(Memory())
    (question,) = found.questions
    assert question.options == DASH
    assert "1 cell holds a dash alone" in question.text
    assert first == [("04-13", None)]
    for answer, state in zip(DASH, ("none", "unknown"), strict=True):
        memory = Memory()
        memory.take([(question, answer)])
        found, rows = told(memory)
        assert found.questions == []
        assert sorted(rows) == [("04-13", None), ("04-20", state)]


def test_a_dash_in_a_column_of_one_kind_of_practice_is_none_of_it(tmp_path: Path) -> None:
    lines = ("Day;Pupil;Bunker (min);Chipping (min)", "13.4.2026;Maud Ferrin;20;-")
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    assert minutes(found) == [("bunker", "20")]
    assert not found.problems


SQUAD = (
    "Date;Who;Diary", "13.4.2026;Maud;bunker 20 min", "13.4.2026;Olle;irons 20 min",
    "14.4.2026;Sigrid;gym 20 min",
)  # fmt: skip


@pytest.mark.parametrize(
    ("written", "whom"),
    [
        ("All", {"Maud", "Olle", "Sigrid"}),
        ("alle", {"Maud", "Olle", "Sigrid"}),
        ("All but Olle", {"Maud", "Sigrid"}),
        ("Todas menos Maud y Sigrid", {"Olle"}),
        ("whole squad (without Sigrid)", {"Maud", "Olle"}),
    ],
)
def test_a_word_for_everybody_is_nobodys_name(tmp_path: Path, written: str, whom: set[str]) -> None:
    lines = (*SQUAD, f"20.4.2026;{written};chipping 30 min")
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    first = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = first.questions
    assert question.key == "person everybody: who"
    assert {row["category"] for row in first.tables()["practice"]} == {"bunker", "irons", "strength"}
    memory = Memory()
    memory.take([(question, EACH)])
    found = adopt_folder(tmp_path, memory, today=TODAY)
    assert found.questions == []
    made = found.tables()
    names = {row["golfer_id"]: row["display_name"] for row in made["golfers"]}
    assert set(names.values()) == {"Maud", "Olle", "Sigrid"}
    assert {names[row["golfer_id"]] for row in made["practice"] if row["category"] == "chipping"} == whom


def test_three_names_in_a_cell_are_three_people_without_a_question(tmp_path: Path) -> None:
    lines = (*SQUAD, "20.4.2026;Maud, Olle, Sigrid;chipping 30 min")
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    assert len([row for row in found.tables()["practice"] if row["category"] == "chipping"]) == 3


@pytest.mark.parametrize(
    "written",
    ["all juniors", "All U16 girls", "Juniors", "Squad B", "alle Junioren", "tous les jeunes",
     "todos los niños",
     "tutti i ragazzi", "alle spelers", "hela laget", "alle drenge", "all juniors but Olle"],
)  # fmt: skip
def test_a_group_is_nobodys_name(written: str) -> None:
    assert group_in(written)
    assert left_out(written) is not None


@pytest.mark.parametrize("written", ["Maud Ferrin", "Barn", "Herren", "Junior", "Isla M.", "U16", "A", "all"])
def test_a_name_and_everybody_are_no_group(written: str) -> None:
    assert group_in(written) == ""


@pytest.mark.parametrize(
    ("answer", "whom"),
    [("everybody of the group Juniors", {"Maud", "Olle"}), (EACH, {"Maud", "Olle", "Sigrid"}), (None, set())],
)
def test_a_groups_line_is_asked_about_and_makes_no_golfer(
    tmp_path: Path, answer: str | None, whom: set[str]
) -> None:
    """The likeliest is the group of that name; without an answer nothing of the line is taken."""
    groups = ("Player;Group", "Maud;Juniors", "Olle;Juniors", "Sigrid;Ladies")
    (tmp_path / "list.csv").write_text("\n".join(groups), encoding="utf-8")
    lines = (*SQUAD, "20.4.2026;all juniors;chipping 30 min")
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    first = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = [one for one in first.questions if "juniors" in one.key]
    assert question.proposal == "everybody of the group Juniors"
    memory = Memory()
    if answer is not None:
        memory.take([(question, answer)])
    made = adopt_folder(tmp_path, memory, today=TODAY).tables()
    names = {row["golfer_id"]: row["display_name"] for row in made["golfers"]}
    assert set(names.values()) == {"Maud", "Olle", "Sigrid"}
    assert {names[row["golfer_id"]] for row in made["practice"] if row["category"] == "chipping"} == whom

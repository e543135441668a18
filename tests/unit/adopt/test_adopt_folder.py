"""Folders as coaches keep them: every round right, nothing wrong without a question, nothing asked twice."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import COURSES, NAMES, STYLES, TODAY, WITH_SHORT_NAMES, WRITTEN_LAST, rounds

from paryield.adopt import Adoption, Memory, adopt_folder, read_memory
from paryield.adopt.people import NEW, NOBODY
from paryield.errors import InputError
from paryield.tables import read_folder


def save(path: Path, *sheets: tuple[str, list[list[object]]]) -> None:
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets:
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)


def told(found: Adoption) -> set[tuple[str, str, int]]:
    names = found.people.names
    return {
        (names[row["golfer_id"]], row["played_on"], int(row["adjusted_gross_score"]))
        for row in found.tables()["rounds"]
    }


@pytest.mark.parametrize("style", [*STYLES, *WRITTEN_LAST])
def test_every_round_of_each_way_of_keeping_them_is_right(style: str, tmp_path: Path) -> None:
    played = rounds(21)
    {**STYLES, **WRITTEN_LAST}[style](tmp_path, played)
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    assert told(found) == {one.told for one in played}
    found.write(tmp_path / "tables")
    reading = read_folder(tmp_path / "tables", today=TODAY)
    assert not reading.errors
    assert len(reading.tables.rounds) == len(played)
    assert set(reading.tables.golfers["display_name"]) == set(NAMES)


def test_a_column_a_golfer_asks_once_whose_the_short_names_are(tmp_path: Path) -> None:
    played, write = rounds(21), WITH_SHORT_NAMES["roll_up"]
    for place in ("first", "next"):
        (tmp_path / place).mkdir()
    write(tmp_path / "first", played)
    asked = adopt_folder(tmp_path / "first", Memory(), today=TODAY)
    (together,) = asked.questions
    assert {question.key for question in together.parts} == {
        f"person {one.casefold()} {two[0].casefold()} = {one.casefold()} {two.casefold()}"
        for one, two in (name.split() for name in NAMES)
    }
    assert not asked.tables().get("rounds")
    answers = {question.key: question.proposal or "" for question in together.parts}
    assert set(answers.values()) == {"the same"}
    found = adopt_folder(tmp_path / "first", Memory(answers), today=TODAY)
    assert found.questions == []
    assert told(found) == {one.told for one in played}
    place = found.understood[0].found.rows[0].place
    assert place == "rollup 2026.xlsx, sheet Scores, row 4"
    later = rounds(33)
    write(tmp_path / "next", later)
    again = adopt_folder(tmp_path / "next", Memory(answers), today=TODAY)
    assert again.questions == []
    assert told(again) == {one.told for one in later}


def test_numbers_that_look_like_scores_are_no_golfers(tmp_path: Path) -> None:
    """A column of temperatures beside the golfers' is nobody's; a lone one makes no golfer of a heading."""
    top: list[object] = ["Date", "Course", "CR", "Slope", "Ruth Ambleside", "Maud Ferrin", "Temp", "SSS"]
    rows = [top]
    rows += [[date(2026, 4, day), "Sandholt", 72.4, 134, 80 + day, 90 + day, 64, 72] for day in (2, 9, 16)]
    save(tmp_path / "a.xlsx", ("Scores", rows))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert {name for name, _, _ in told(found)} == {"Ruth Ambleside", "Maud Ferrin"}
    assert len(told(found)) == 6


def test_people_come_with_plus_handicaps_and_years_of_birth(tmp_path: Path) -> None:
    STYLES["two_names"](tmp_path, rounds(22))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    ruth = next(row for row in found.tables()["golfers"] if row["display_name"] == NAMES[0])
    assert ruth["start_index"] == "+1.2"
    assert ruth["birth_year"] == "1988"
    assert ruth["goal_index"] == "6.5"
    rating, slope = COURSES["Heron Marsh"]
    row = next(row for row in found.tables()["rounds"] if row["course"] == "Heron Marsh")
    assert (row["course_rating"], row["slope_rating"]) == (f"{rating:g}", f"{slope:g}")


def test_a_weekly_log_in_words(tmp_path: Path) -> None:
    log: list[list[object]] = [
        ["Practice log spring"],
        ["Name", "Week of", "What I did"],
        ["Ruth Ambleside", "13/04/2026", "50 chips, ladder 20 min"],
        [None, "20/04/2026", "bunker 1h; gym 40 min"],
        ["Maud Ferrin", "13/04/2026", "nothing"],
        ["Maud Ferrin", "20/04/2026", "wibble 30 min, 60 balls driver"],
    ]
    save(tmp_path / "log.xlsx", ("Log", log))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    rows = found.tables()["practice"]
    ids = {name: golfer for golfer, name in found.people.names.items()}
    columns = ("golfer_id", "practised_on", "category", "reps", "minutes", "state")
    assert {tuple(row.get(name, "") for name in columns) for row in rows} == {
        (ids["Ruth Ambleside"], "2026-04-13", "chipping", "50", "", ""),
        (ids["Ruth Ambleside"], "2026-04-13", "short_putting", "", "20", ""),
        (ids["Ruth Ambleside"], "2026-04-20", "bunker", "", "60", ""),
        (ids["Ruth Ambleside"], "2026-04-20", "strength", "", "40", ""),
        (ids["Maud Ferrin"], "2026-04-13", "", "", "", "none"),
        (ids["Maud Ferrin"], "2026-04-20", "driver", "60", "", ""),
    }  # fmt: skip
    # What nobody can know is asked, once, and left out until it is answered.
    assert [question.key for question in found.questions] == ["practice: wibble"]
    again = adopt_folder(tmp_path, Memory({"practice: wibble": "pitching"}), today=TODAY)
    assert again.questions == []
    assert {"pitching"} < {row["category"] for row in again.tables()["practice"]}


def test_practice_with_a_column_a_kind_and_a_column_a_day(tmp_path: Path) -> None:
    kinds: list[list[object]] = [
        ["Player", "Date", "Putting ladder (min)", "Chipping (min)", "Gym (min)", "Total"]
    ]
    kinds += [
        ["Ruth Ambleside", date(2026, 4, 13), 30, 45, None, 75],
        ["Ruth Ambleside", date(2026, 4, 14), None, 20, 50, 70],
    ]
    days: list[list[object]] = [
        ["Minutes practised"],
        ["Player", "Drill", date(2026, 4, 20), date(2026, 4, 21)],
    ]
    days += [["Maud Ferrin", "bunker", 25, None], ["Maud Ferrin", "lag putts", None, 15]]
    save(tmp_path / "practice.xlsx", ("Kinds", kinds), ("Days", days))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    got = {(row["practised_on"], row["category"], row["minutes"]) for row in found.tables()["practice"]}
    assert got == {
        ("2026-04-13", "short_putting", "30"),
        ("2026-04-13", "chipping", "45"),
        ("2026-04-14", "chipping", "20"),
        ("2026-04-14", "strength", "50"),
        ("2026-04-20", "bunker", "25"),
        ("2026-04-21", "lag_putting", "15"),
    }


def test_a_test_with_a_column_a_distance(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Putting ladder, out of 10"],
        ["Date: 12 April 2026"],
        ["Name", "3 ft", "6 ft", "2 m"],
    ]
    rows += [["Ruth Ambleside", 9, 6, "4/8"]]
    save(tmp_path / "tests.xlsx", ("Ladder", rows))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.questions == []
    got = {
        tuple(row[name] for name in ("assessed_on", "test", "distance_ft", "made", "tried"))
        for row in found.tables()["assessments"]
    }
    assert got == {
        ("2026-04-12", "putting_ladder", "3", "9", "10"),
        ("2026-04-12", "putting_ladder", "6", "6", "10"),
        ("2026-04-12", "putting_ladder", "6.6", "4", "8"),
    }


def test_what_nothing_proves_is_asked_and_remembered(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Player", "Date", "Score", "CR", "Slope"]]
    rows += [["Ruth Ambleside", day, 85, 71.2, 128] for day in ("05/06/2026", "02/01/2026", "03/02/2026")]
    save(tmp_path / "a.xlsx", ("S", rows))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = found.questions
    assert question.options == ("day first", "month first")
    memory = Memory()
    memory.take([(question, "month first")])
    memory.people |= found.people.ids
    memory.write(tmp_path / "adopted.json")
    # Next week's file of the same kind, under another name, asks nothing.
    (tmp_path / "a.xlsx").unlink()
    save(tmp_path / "b.xlsx", ("T", [*rows, ["Ruth Ambleside", "04/03/2026", 81, 71.2, 128]]))
    later = adopt_folder(
        tmp_path, read_memory(tmp_path / "adopted.json"), today=TODAY, skip=("adopted.json",)
    )
    assert later.questions == []
    assert "2026-04-03" in {row["played_on"] for row in later.tables()["rounds"]}


def test_a_slip_in_a_name_is_asked_about_and_an_order_of_names_is_not(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Player", "Date", "Score", "CR", "Slope"]]
    names = ("Ruth Ambleside", "Ambleside, Ruth", "Ruth Amblesid", "Maud Ferrin")
    rows += [[name, date(2026, 4, 10 + place), 85, 71.2, 128] for place, name in enumerate(names)]
    save(tmp_path / "a.xlsx", ("S", rows))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.people.ids["Ruth Ambleside"] == found.people.ids["Ambleside, Ruth"]
    assert "Ruth Amblesid" not in found.people.ids
    (question,) = found.questions
    assert "'Ruth Amblesid'" in question.text
    assert len(found.tables()["rounds"]) == 3
    same = adopt_folder(tmp_path, Memory({question.key: "the same"}), today=TODAY)
    assert len({row["golfer_id"] for row in same.tables()["rounds"]}) == 2
    assert len(same.tables()["rounds"]) == 4


def test_golfers_on_record_keep_their_ids(tmp_path: Path) -> None:
    STYLES["titled"](tmp_path, rounds(23))
    found = adopt_folder(tmp_path, Memory(), known={"M7": "Maud Ferrin", "G01": "Somebody Else"}, today=TODAY)
    assert found.people.ids["Maud Ferrin"] == "M7"
    assert "G01" not in found.people.ids.values()
    assert "M7" not in {row["golfer_id"] for row in found.tables()["golfers"]}


def test_rounds_without_ratings_ask_for_those_of_the_course(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Player", "Date", "Course", "Score"],
        ["Ruth Ambleside", date(2026, 4, 13), "Low Barrow", 85],
    ]
    save(tmp_path / "a.xlsx", ("S", rows))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    (question,) = found.questions
    assert "Low Barrow" in question.text
    assert found.tables()["rounds"] == []
    told_now = adopt_folder(tmp_path, Memory({question.key: "69.8/119"}), today=TODAY)
    (row,) = told_now.tables()["rounds"]
    assert (row["course_rating"], row["slope_rating"]) == ("69.8", "119")


def test_what_cannot_be_read_is_one_line_each(tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_bytes(b"")
    (tmp_path / "broken.xlsx").write_bytes(b"PK\x03\x04 not a workbook")
    (tmp_path / "letter.docx").write_bytes(b"x")
    (tmp_path / "words.csv").write_text("dear coach,\nthank you\n", encoding="utf-8")
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert sorted(problem.file for problem in found.problems) == [
        "broken.xlsx",
        "empty.csv",
        "letter.docx",
        "words.csv",
    ]
    with pytest.raises(InputError, match="no row of any table"):
        found.write(tmp_path / "tables")
    with pytest.raises(InputError, match="holds no spreadsheet"):
        adopt_folder(
            tmp_path / "tables" if (tmp_path / "tables").exists() else _made(tmp_path / "none"), Memory()
        )


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def test_a_file_of_answers_that_is_none_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "adopted.json"
    deep = "[" * 100_000
    for text in ("[]", "{}", '{"format": 1, "answers": [], "people": {}}', "nonsense", deep):
        path.write_text(text, encoding="utf-8")
        with pytest.raises(InputError, match="not a file of answers"):
            read_memory(path)


def test_a_round_told_by_two_sheets_is_one_and_two_scores_are_a_question(tmp_path: Path) -> None:
    day = date(2026, 4, 13)
    one: list[list[object]] = [
        ["Player", "Date", "Score", "CR", "Slope"],
        ["Ruth Ambleside", day, 85, 71.2, 128],
    ]
    two: list[list[object]] = [["Player", "Date", "Score", "CR", "Slope", "Putts"]]
    save(tmp_path / "a.xlsx", ("S", one))
    save(tmp_path / "b.xlsx", ("S", [*two, ["Ruth Ambleside", day, 85, 71.2, 128, 33]]))
    (row,) = adopt_folder(tmp_path, Memory(), today=TODAY).tables()["rounds"]
    assert row["putts"] == "33"
    save(tmp_path / "b.xlsx", ("S", [*two, ["Ruth Ambleside", day, 58, 71.2, 128, 33]]))
    found = adopt_folder(tmp_path, Memory(), today=TODAY)
    assert found.tables()["rounds"] == []
    (question,) = found.questions
    for answer, scores in ((question.options[0], ["85", "58"]), ("only 85", ["85"])):
        told_now = adopt_folder(tmp_path, Memory({question.key: answer}), today=TODAY)
        assert [row["adjusted_gross_score"] for row in told_now.tables()["rounds"]] == scores


def test_a_new_name_beside_known_ones_leaves_no_name_blank(tmp_path: Path) -> None:
    """Of known golfers the list states an age alone; a blank name would wipe the stored one."""
    (tmp_path / "members.csv").write_text("Name,Year of birth\nMaud Ferrin,1980\n", encoding="utf-8")
    (tmp_path / "cards.csv").write_text(
        "Player,Date,Score,Course rating,Slope\nMaud Ferrin,2026-05-03,88,71.2,128\n"
        "Olive Strand,2026-05-03,91,71.2,128\n",
        encoding="utf-8",
    )
    known, memory = {"M7": "Maud Ferrin"}, Memory()
    (asked,) = adopt_folder(tmp_path, memory, known=known, today=TODAY).questions
    assert (asked.options, asked.proposal) == ((NEW, "Maud Ferrin", NOBODY), NEW)
    memory.take([(asked, NEW)])
    found = adopt_folder(tmp_path, memory, known=known, today=TODAY)
    rows = {row["golfer_id"]: row for row in found.tables()["golfers"]}
    assert len(rows) == 2
    assert rows["M7"]["display_name"] == "Maud Ferrin"
    assert all(row["display_name"] for row in rows.values())


KNOWN = {"G01": "Maud Ferrin", "G02": "Olle Brandvik", "G03": "Łucja Halvorsen", "G04": "Sigrid Halvorsen"}


def scores_of(folder: Path, *names: str) -> None:
    rows = [f"{name},2026-05-03,88,71.2,128\n" for name in ("Maud Ferrin", "Olle Brandvik", *names)]
    (folder / "cards.csv").write_text("Player,Date,Score,Course rating,Slope\n" + "".join(rows))


@pytest.mark.parametrize(
    ("written", "whom"),
    [
        ('"Ferrin M."', ["Maud Ferrin"]),
        ("Ferrin M.", ["Maud Ferrin"]),
        ("Brandvik Oll", ["Olle Brandvik"]),
        ("Halvorsen Luc", ["Łucja Halvorsen"]),
        ("S. Halvorsen (the tall one)", ["Sigrid Halvorsen"]),
        ("Halvorsen", ["Łucja Halvorsen", "Sigrid Halvorsen"]),
    ],
)
def test_a_name_that_holds_a_known_one_is_asked_about(tmp_path: Path, written: str, whom: list[str]) -> None:
    """Nobody is made up beside those on record, and who is asked about is one of them."""
    scores_of(tmp_path, written)
    found = adopt_folder(tmp_path, Memory(), known=KNOWN, today=TODAY)
    (question,) = found.questions
    if len(whom) == 1:
        assert question.text.partition(" as ")[2].split("'")[1] == whom[0]
    else:
        assert [option.partition(" (")[0] for option in question.options[:-1]] == whom
        assert question.proposal is None
    assert len(found.tables()["rounds"]) == 2


def test_a_name_like_none_on_record_is_asked_about_once(tmp_path: Path) -> None:
    scores_of(tmp_path, "Visitor Nine")
    (question,) = adopt_folder(tmp_path, Memory(), known=KNOWN, today=TODAY).questions
    assert question.options == (NEW, *sorted(KNOWN.values(), key=str.casefold), NOBODY)
    for answer, count, golfers in ((NOBODY, 2, 0), ("Sigrid Halvorsen", 3, 0), (NEW, 3, 1)):
        memory = Memory()
        memory.take([(question, answer)])
        found = adopt_folder(tmp_path, memory, known=KNOWN, today=TODAY)
        assert found.questions == []
        made = found.tables()
        assert len(made["rounds"]) == count
        assert len({row["golfer_id"] for row in made["golfers"]} - set(KNOWN)) == golfers

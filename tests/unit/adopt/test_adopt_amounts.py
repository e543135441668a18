"""Practice with a row of units below its headings, weeks as spans, short words that are asked about."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.amounts import UNITS, Amount, read_amount, says_none
from paryield.adopt.found import LEAVE
from paryield.adopt.headings import MINUTES, REPS, SESSIONS
from paryield.adopt.log import read_log


def adopted(folder: Path, *lines: str, memory: Memory | None = None) -> Adoption:
    (folder / "own 2026.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def told(found: Adoption) -> list[tuple[str, ...]]:
    names = ("practised_on", "category", "minutes", "reps", "state", "note")
    return [tuple(row.get(name, "") for name in names) for row in found.tables()["practice"]]


SHEET = (
    "w/c;Player;Irons;Bunker;Course;Strength;Notes",
    ";;balls;mins;holes;;",
    "30/3;Maud;100+60;2 x 30;18+9;2;windy",
    ";Olle;2 buckets;1 1/2 hr;-;;",
    "13/4;Maud;-;-;-;-;",
    ";Olle;hols - nothing;;;;",
    ";Ines;ran away;;;;",
)
KEY = "w c | player | irons | bunker | course | strength | notes"


def test_a_row_of_units_says_what_numbers_count(tmp_path: Path) -> None:
    found = adopted(tmp_path, *SHEET)
    assert [one.key for one in found.questions] == [
        f"unit of strength: {KEY}",
        "bucket",
        "practice: ran away",
    ]
    assert found.questions[0].options == UNITS
    answers = {f"unit of strength: {KEY}": SESSIONS, "bucket": "45", "practice: ran away": LEAVE}
    again = adopted(tmp_path, *SHEET, memory=Memory(answers))
    assert again.questions == []
    assert told(again) == [
        ("2026-03-30", "irons", "", "160", "", "windy"),
        ("2026-03-30", "bunker", "60", "", "", ""),
        ("2026-03-30", "on_course", "", "", "unknown", "27 holes"),
        ("2026-03-30", "strength", "", "", "unknown", "2 sessions"),
        ("2026-04-13", "", "", "", "none", ""),
        ("2026-03-30", "irons", "", "90", "", ""),
        ("2026-03-30", "bunker", "90", "", "", ""),
        ("2026-04-13", "", "", "", "none", ""),
    ]


def test_a_heading_of_two_kinds_is_asked_about(tmp_path: Path) -> None:
    lines = ("Week;Player;Pitch & chip;Bunker", ";;mins;mins", "30/3;Maud;40;20", "13/4;Maud;30;")
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert question.key == "practice: pitch & chip"
    said = adopted(tmp_path, *lines, memory=Memory({question.key: "chipping"}))
    assert [row[1:3] for row in told(said)] == [("chipping", "40"), ("bunker", "20"), ("chipping", "30")]


@pytest.mark.parametrize(
    ("week", "day"),
    [
        ("27/4 al 3/5", "04-27"),
        ("27.4.-3.5.", "04-27"),
        ("27/4 to 3/5", "04-27"),
        ("27.4. bis 3.5.", "04-27"),
        ("du 27/4 au 3/5", "04-27"),
        ("27/4 t/m 3/5", "04-27"),
        ("27/4 till 3/5", "04-27"),
        ("w/c 30 Mar", "03-30"),
        ("w/c 30/3", "03-30"),
        ("Woche vom 30.3.", "03-30"),
        ("semana del 30/3", "03-30"),
        ("KW 14", "03-30"),
        ("27/4/2026", "04-27"),
    ],
)
def test_a_week_is_read_by_its_first_day(tmp_path: Path, week: str, day: str) -> None:
    found = adopted(tmp_path, "Week;Player;Bunker;Driver", f"{week};Maud;20 min;30 min")
    assert {row[0][5:] for row in told(found)} == {day}


@pytest.mark.parametrize(
    ("cell", "amount"),
    [
        ("2 x 30", Amount(60)),
        ("1hr", Amount(60, MINUTES)),
        ("half hr", Amount(30, MINUTES)),
        ("1 1/2 hr", Amount(90, MINUTES)),
        ("½ Std", Amount(30, MINUTES)),
        ("1h30", Amount(90, MINUTES)),
        ("1:15", Amount(75, MINUTES)),
        ("40ish", Amount(40)),
        ("ca. 40", Amount(40)),
        ("100+60", Amount(160)),
        ("60 balls", Amount(60, REPS)),
        ("60 balls + 20 min", None),
        ("30 bananas", None),
        ("exams", None),
    ],
)
def test_amounts_as_they_are_written(cell: str, amount: Amount | None) -> None:
    assert read_amount(cell) == amount


def test_words_for_a_week_without_practice() -> None:
    assert [says_none(cell) for cell in ("sick, none", "hols - nothing", "exams", "no sheet back")] == [
        True,
        True,
        True,
        False,
    ]


def test_short_words_and_a_letter_behind_a_number_are_asked_about_once(tmp_path: Path) -> None:
    lines = (
        "Semana;Jugador;L;M;X;J;V;S;D",
        "27/4 al 3/5;Maud;ZQ 20' + 1h ZQ;ZQ 50b;campo 9h y 1h ZQ;clase 1h",
    )
    found = adopted(tmp_path, *lines)
    assert [one.key for one in found.questions] == ["practice: zq", "practice: clase"]
    assert found.questions[1].proposal == LEAVE
    assert [row[1] for row in told(found)] == ["on_course"]
    (unit,) = adopted(
        tmp_path, *lines, memory=Memory({"practice: zq": "bunker", "practice: clase": LEAVE})
    ).questions
    assert unit.key == "unit b"
    memory = Memory({"practice: zq": "bunker", "unit b": REPS, "practice: clase": LEAVE})
    assert [(row[0][8:], *row[1:]) for row in told(adopted(tmp_path, *lines, memory=memory))] == [
        ("27", "bunker", "20", "", "", ""),
        ("27", "bunker", "60", "", "", ""),
        ("28", "bunker", "", "50", "", ""),
        ("29", "on_course", "", "", "unknown", "9 holes"),
        ("29", "bunker", "60", "", "", ""),
    ]


def test_nine_with_an_h_behind_the_course_are_holes() -> None:
    (one,) = read_log("campo 9h")
    assert (one.phrase, one.minutes, one.holes) == ("campo", None, 9)
    (two,) = read_log("bunker 2h")
    assert (two.minutes, two.holes) == (120, None)


@pytest.mark.parametrize("phrase", ["putting lesson", "clase", "Unterricht", "cours", "lezione"])
def test_a_lesson_is_no_practice_unless_somebody_says_so(tmp_path: Path, phrase: str) -> None:
    found = adopted(tmp_path, "Date;Player;Exercise;Minutes", f"13/4/2026;Maud;{phrase};60")
    (question,) = found.questions
    assert question.key.startswith("practice: ")
    assert question.proposal == LEAVE
    assert told(found) == []


def test_a_row_of_units_holds_for_putts_and_the_course_in_other_words(tmp_path: Path) -> None:
    lines = (
        "Uke;Spiller;Putt;Chip;Bane;Styrke",
        ";;min;min;hull;ganger",
        "KW 14;Siv;30;20;18;2",
        ";Odd;-;-;-;-",
    )
    found = adopted(tmp_path, *lines)
    assert found.questions == []
    assert [row[1:] for row in told(found)] == [
        ("", "", "", "none", ""),
        ("short_putting", "30", "", "", ""),
        ("chipping", "20", "", "", ""),
        ("on_course", "", "", "unknown", "18 holes"),
        ("strength", "", "", "unknown", "2 sessions"),
    ]

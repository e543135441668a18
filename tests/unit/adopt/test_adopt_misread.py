"""Sheets that were read as something else without a word: what they are now, or what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import NO_LENGTH

LISTED = {"G01": "Maud Ferrin", "G02": "Olle Brandvik", "G03": "Ines Castelar"}


def adopted(
    folder: Path,
    *lines: str,
    answers: Mapping[str, str] | None = None,
    known: Mapping[str, str] = LISTED,
    name: str = "own 2026",
) -> Adoption:
    (folder / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, Memory(dict(answers or {})), today=TODAY, known=known)


def told(found: Adoption, *names: str) -> list[tuple[str, ...]]:
    return [tuple(row.get(name, "") for name in names) for row in found.tables()["practice"]]


def test_a_row_with_a_day_of_the_column_of_days_is_no_header(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Our log",
        "Date;Who;Session;What was done (minutes)",
        "4/13/2026;Maud Ferrin;group;bunker 30, chipping 20",
        "4/14/2026;Olle Brandvik;own practice;bunker 20",
        "4/15/2026;Ines Castelar;lesson;irons 40",
    )
    assert [(one.layout.kind, one.layout.header) for one in found.understood] == [("log", 2)]
    assert told(found, "golfer_id", "category", "minutes") == [
        ("G01", "bunker", "30"),
        ("G01", "chipping", "20"),
        ("G02", "bunker", "20"),
        ("G03", "irons", "40"),
    ]


def test_rows_of_several_cells_above_the_header_are_mentioned(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "spring;half term;squads;new balls",
        "Date;Player;Drill;Minutes",
        "13.4.2026;Maud Ferrin;bunker;30",
        "14.4.2026;Olle Brandvik;chipping;20",
    )
    said = "1 row above the header not taken (first: row 1, 'spring | half term | squads | new balls')"
    assert said in " ".join(found.lines())


def test_words_in_a_column_of_minutes_say_what_was_practised(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Date;Player;What;Minutes",
        "13.4.2026;Maud Ferrin;own practice;bunker 30, chipping 20",
        "14.4.2026;Olle Brandvik;lesson;irons 40",
        "15.4.2026;Ines Castelar;range;driver 25",
        "16.4.2026;Ines Castelar;group;chipping 30",
    )
    assert found.questions == []
    assert told(found, "golfer_id", "category", "minutes", "note") == [
        ("G01", "bunker", "30", "own practice"),
        ("G01", "chipping", "20", ""),
        ("G02", "irons", "40", "lesson"),
        ("G03", "driver", "25", "range"),
        ("G03", "chipping", "30", "group"),
    ]


@pytest.mark.parametrize(
    ("lines", "minutes"),
    [
        (("Date;Player;Bunker (h);Driver hours", "13.4.2026;Maud Ferrin;0.5;1"), ["30", "60"]),
        (("Date;Player;Bunker Stunden;Driver hrs", "13.4.2026;Maud Ferrin;1,5;2"), ["90", "120"]),
        (("Date;Player;Drill;Time (h)", "13.4.2026;Maud Ferrin;bunker;1,5"), ["90"]),
    ],
)
def test_a_heading_that_says_hours_settles_it(
    tmp_path: Path, lines: tuple[str, ...], minutes: list[str]
) -> None:
    found = adopted(tmp_path, *lines)
    assert found.questions == []
    assert [row[0] for row in told(found, "minutes")] == minutes


@pytest.mark.parametrize(
    ("name", "lines", "likely"),
    [
        ("own 2026", ("Date;Player;Bunker;Driver", "13.4.2026;Maud Ferrin;0.5;1"), "hours"),
        ("Practice hours 2026", ("Date;Player;Bunker;Driver", "13.4.2026;Maud Ferrin;2;1"), "hours"),
        ("own 2026", ("Date;Player;Bunker;Driver", "13.4.2026;Maud Ferrin;20;10"), "minutes"),
        ("own 2026", ("Date;Player;Drill;Time", *["13.4.2026;Maud Ferrin;bunker;1,5"] * 2), "hours"),
    ],
)
def test_hours_are_an_answer_and_the_likeliest_of_small_numbers(
    tmp_path: Path, name: str, lines: tuple[str, ...], likely: str
) -> None:
    (question,) = adopted(tmp_path, *lines, name=name).questions
    assert {"minutes", "hours"} <= set(question.options)
    assert question.proposal == likely
    said = adopted(tmp_path, *lines, name=name, answers={question.key: "hours"})
    assert said.questions == []
    assert all(float(row[0]) >= 30 for row in told(said, "minutes"))


@pytest.mark.parametrize(
    ("words", "entries"),
    [
        ("bunker 30 chipping 20", [("bunker", "30", ""), ("chipping", "20", "")]),
        ("30 bunker 20 chipping", [("bunker", "30", ""), ("chipping", "20", "")]),
        ("bunker 30 min chipping 20 min", [("bunker", "30", ""), ("chipping", "20", "")]),
        ("40 irons", [("irons", "40", "")]),
        ("50 chips", [("chipping", "", "50")]),
        ("chipping 1 1/2 h", [("chipping", "90", "")]),
        ("bunker (30), chipping (20)", [("bunker", "30", ""), ("chipping", "20", "")]),
        ("bunker 20-30 min", [("bunker", "25", "")]),
        ("bunker 20, no driver", [("bunker", "20", "")]),
        ("45 min chipping - landing spots, no balls hit", [("chipping", "45", "")]),
        ("45 min bunker - sand drill", [("bunker", "45", "")]),
        ("bunker 20 - chipping 30", [("bunker", "20", ""), ("chipping", "30", "")]),
    ],
)
def test_words_with_numbers_lose_nothing(tmp_path: Path, words: str, entries: list[tuple[str, ...]]) -> None:
    found = adopted(tmp_path, "Date;Player;Log", f"13.4.2026;Maud Ferrin;{words}")
    assert told(found, "category", "minutes", "reps") == entries


def test_practices_that_run_together_are_asked_about(tmp_path: Path) -> None:
    found = adopted(tmp_path, "Date;Player;Log", "13.4.2026;Maud Ferrin;bunker chipping 30 min")
    assert [one.key for one in found.questions] == ["practice: bunker chipping"]


def test_numbers_that_say_nothing_are_asked_about_once_a_pattern(tmp_path: Path) -> None:
    lines = (
        "Date;Player;Log",
        "13.4.2026;Maud Ferrin;1 h range bunker 40",
        "14.4.2026;Maud Ferrin;2 h range bunker 60",
        "15.4.2026;Olle Brandvik;bunker 4o",
    )
    found = adopted(tmp_path, *lines)
    asked = [one for one in found.questions if one.key.startswith("amount: ")]
    assert [one.key for one in asked] == ["amount: # h range bunker #", "amount: bunker #o"]
    assert "'bunker 4o'" in asked[1].text
    assert told(found, "category") == []
    kept = adopted(tmp_path, *lines, answers={one.key: NO_LENGTH for one in asked})
    assert told(kept, "category", "minutes", "state") == [("bunker", "", "unknown")] * 3


@pytest.mark.parametrize(("cell", "minutes"), [("about 20", "20"), ("20-30 min", "25"), ("ca. 30", "30")])
def test_lengths_that_are_not_exact(tmp_path: Path, cell: str, minutes: str) -> None:
    rows = [f"{day}.4.2026;Maud Ferrin;bunker;{cell}" for day in (13, 14)]
    found = adopted(tmp_path, "Date;Player;Drill;Minutes", *rows)
    assert found.questions == []
    assert {row[0] for row in told(found, "minutes")} == {minutes}


def test_a_length_with_a_letter_for_a_zero_is_asked_about(tmp_path: Path) -> None:
    lines = ("Date;Player;Drill;Minutes", *[f"{day}.4.2026;Maud Ferrin;bunker;{day}" for day in (13, 14, 15)])
    found = adopted(tmp_path, *lines, "16.4.2026;Maud Ferrin;bunker;4o")
    (question,) = found.questions
    assert "'4o'" in question.text
    assert len(found.tables()["practice"]) == 3


BLOCKS = (
    "Date;Drill;Minutes",
    "Maud Ferrin;;",
    "13.4.2026;bunker;30",
    "{head}",
    "14.4.2026;chipping;20",
    "15.4.2026;bunker;25",
    "Ines Castelar;;",
    "16.4.2026;driver;30",
)


@pytest.mark.parametrize(
    "head", ["Olle Brandvik;sore wrist;", "OLLE BRANDVIK;;20", "Brandvik, Olle;away in May;"]
)
def test_a_remark_beside_the_name_that_begins_a_block(tmp_path: Path, head: str) -> None:
    found = adopted(tmp_path, *(line.format(head=head) for line in BLOCKS))
    assert found.questions == []
    assert told(found, "golfer_id", "minutes") == [("G01", "30"), ("G02", "20"), ("G02", "25"), ("G03", "30")]


def test_rows_below_a_line_that_names_nobody_are_asked_about(tmp_path: Path) -> None:
    lines = [line.format(head="the lad from the north;new;") for line in BLOCKS]
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert question.text.startswith("Whose are the rows below 'the lad from the north'?")
    assert told(found, "golfer_id", "minutes") == [("G01", "30"), ("G03", "30")]
    said = adopted(tmp_path, *lines, answers={question.key: "Olle Brandvik"})
    assert told(said, "golfer_id", "minutes") == [("G01", "30"), ("G02", "20"), ("G02", "25"), ("G03", "30")]


def test_putting_of_a_wide_sheet_is_asked_about_once(tmp_path: Path) -> None:
    lines = ("Date;Player;Putting (min);Bunker (min)", "13.4.2026;Maud Ferrin;25;30")
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert question.key == "practice: putting"
    assert "short and lag putting in equal parts" in question.options
    said = adopted(tmp_path, *lines, answers={question.key: "short and lag putting in equal parts"})
    assert said.questions == []
    halves = [("short_putting", "12.5"), ("lag_putting", "12.5"), ("bunker", "30")]
    assert told(said, "category", "minutes") == halves


def test_a_summary_quotes_the_words_of_the_sheet(tmp_path: Path) -> None:
    lines = ("Date;Player;Putting (min);Sand (min)", "13.4.2026;Maud Ferrin;25;30")
    said = " ".join(adopted(tmp_path, *lines, answers={"practice: putting": "lag_putting"}).lines())
    assert "'putting min' = lag putting (1); 'sand min' = bunker (1)" in said


def test_practice_in_one_column_of_hours_is_said_so(tmp_path: Path) -> None:
    found = adopted(tmp_path, "Date;Player;Bunker (h)", "13.4.2026;Maud Ferrin;0.5")
    said = " ".join(found.lines())
    assert "in one column, Bunker (h)" in said
    assert "numbers are hours: Bunker (h)" in said
    assert "spread over" not in said

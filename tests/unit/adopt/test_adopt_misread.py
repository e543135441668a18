"""Sheets that were read as something else without a word: what they are now, or what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder

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

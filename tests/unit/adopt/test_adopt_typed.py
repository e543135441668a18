"""Logs that a form writes: long headings, the day on which a row was written, several kinds of entry."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.sheets import Sheet
from paryield.adopt.typed import typed_header
from paryield.adopt.values import read_minutes

HEADER = (
    "Horodatage;Nom;Que notes-tu ?;Date (si ce n'était pas aujourd'hui);Parcours;Départs;Trous"
    ";Score (coups bruts);Qu'as-tu travaillé ?;Combien de temps as-tu travaillé ?"
    ";Putts rentrés sur 12 - 2 m;Chips dans 1 m (sur 8);Un mot ?"
)
ROWS = (
    "13/04/2026 18:20:11;Maud;Partie;;Sandholt;Bleus;18;84;;;;;vent",
    "14/04/2026 19:02:40;Maud;Travail;;;;;;Bunker;une heure et demie;;;",
    "15/04/2026 20:11:05;Olle;Travail;14/04/2026;;;;;Chipping;45 min;;;",
    "15/04/2026 20:15:47;Olle;Partie;12/04/2026;Sandholt;Bleus;18;91;;;;;",
    "16/04/2026 17:40:00;Maud;Test;;;;;;;;9;5;",
    "17/04/2026 17:41:30;Olle;Test;;;;;;;;7;;",
    "18/04/2026 17:41:30;Olle;Travail;;;;;;Bunker;1 h;;;",
)
RATINGS = ("Parcours;Départs;CR;Slope", "Sandholt;Bleus;72,4;134")


def adopted(folder: Path, *lines: str) -> Adoption:
    (folder / "Journal.csv").write_text("\n".join(lines), encoding="utf-8")
    (folder / "Liste.csv").write_text("\n".join(RATINGS), encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


def told(found: Adoption, table: str, *names: str) -> list[tuple[str, ...]]:
    who = found.people.names
    rows = [{**row, "golfer_id": who[row["golfer_id"]]} for row in found.tables()[table]]
    return [tuple(row.get(name, "") for name in names) for row in rows]


def test_a_log_of_several_kinds_is_read_by_the_column_that_says_which(tmp_path: Path) -> None:
    found = adopted(tmp_path, HEADER, *ROWS)
    assert found.questions == []
    assert {one.layout.header for one in found.understood} == {1}
    assert told(found, "rounds", "golfer_id", "played_on", "adjusted_gross_score", "course_rating") == [
        ("Maud", "2026-04-13", "84", "72.4"),
        ("Olle", "2026-04-12", "91", "72.4"),
    ]
    assert told(found, "practice", "golfer_id", "practised_on", "category", "minutes") == [
        ("Maud", "2026-04-14", "bunker", "90"),
        ("Olle", "2026-04-14", "chipping", "45"),
        ("Olle", "2026-04-18", "bunker", "60"),
    ]
    assert told(found, "assessments", "golfer_id", "assessed_on", "test", "made", "tried") == [
        ("Maud", "2026-04-16", "putting_ladder", "9", "12"),
        ("Maud", "2026-04-16", "chips_dans_1_m", "5", "8"),
        ("Olle", "2026-04-17", "putting_ladder", "7", "12"),
    ]


def test_the_rows_of_each_kind_are_told_by_their_place_in_the_file(tmp_path: Path) -> None:
    origins = adopted(tmp_path, HEADER, *ROWS).origins()
    assert [origins.place("rounds", row).rpartition(" ")[2] for row in (2, 3)] == ["2", "5"]


def test_days_with_a_time_say_when_where_nothing_else_does(tmp_path: Path) -> None:
    lines = ("Horodatage;Nom;Parcours;Départs;Score", *(f"{day}/04/2026 18:20:11;Maud;Sandholt;Bleus;84"
                                                       for day in (13, 14, 15, 16)))  # fmt: skip
    found = adopted(tmp_path, *lines)
    assert [row[0][-2:] for row in told(found, "rounds", "played_on")] == ["13", "14", "15", "16"]


@pytest.mark.parametrize(
    ("rows", "number"),
    [
        ([["Day", "Who", "Score"], *[[date(2026, 4, day), "Maud", 84.0] for day in range(1, 5)]], 1),
        ([["Rounds"], ["Day", "Who", "Score"], *[["1.4.2026", "Maud", "84"]] * 4], 2),
        ([["Day", "Who", "Who"], *[["1.4.2026", "Maud", "84"]] * 4], None),
        ([["Who", date(2026, 4, 1), date(2026, 4, 8)], *[["Maud", 84.0, 88.0]] * 4], None),
        ([["Day", "Who", "What"], *[["1.4.2026", "Maud", "bunker"]] * 4], None),
    ],
)
def test_the_header_above_columns_of_one_type_each(rows: list[list[object]], number: int | None) -> None:
    assert typed_header(Sheet("own.csv", "", rows), TODAY) == number  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [
        ("1 hora e meia", 90),
        ("une heure et demie", 90),
        ("1 heure et demie", 90),
        ("2 h y media", 150),
        ("meia hora", 30),
        ("half an hour", 30),
        ("mezz'ora", 30),
        ("eine halbe Stunde", 30),
    ],
)
def test_half_hours_in_words(cell: str, minutes: float) -> None:
    assert read_minutes(cell) == minutes

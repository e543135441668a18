"""Headings in two rows, ratings of men and women and of nines, courses written once a day, call names."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.nines import BACK, FRONT, WHOLE, part_of

SQUAD = [
    ["Nom", "Surnom", "H/F", "Index"],
    ["Maud Ferrin", "Mo", "F", 12.4],
    ["Olle Brandvik", "Brandy", "H", 7],
]
RATED = [
    [None, None, "Messieurs", None, "Dames", None],
    ["Parcours", "Départs", "CR", "Slope", "CR", "Slope"],
    ["Sandholt", "Bleu", 70.4, 127, 73.1, 131],
    ["Sandholt", "Blanc", 72.4, 134, None, None],
]


def book(path: Path, merged: dict[str, list[str]] | None = None, **sheets: list[list[object]]) -> Path:
    made = Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
        for cells in (merged or {}).get(title, []):
            sheet.merge_cells(cells)
    made.save(path)
    return path


def adopted(folder: Path, memory: Memory | None = None) -> Adoption:
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def told(found: Adoption, table: str, *names: str) -> list[tuple[str, ...]]:
    who = found.people.names
    rows = [{**row, "golfer_id": who[row["golfer_id"]]} for row in found.tables()[table]]
    return [tuple(row.get(name, "") for name in names) for row in rows]


def cards(*rows: list[object]) -> list[list[object]]:
    return [["Date", "Joueur", "Parcours", "Départs", "Score"], *rows]


def test_the_ratings_of_men_and_women_go_by_the_list_of_golfers(tmp_path: Path) -> None:
    rows = cards(
        ["14/04/2026", "Mo", "Sandholt", "Bleu", 84],
        ["14/04/2026", "Olle Brandvik", "Sandholt", "Bleu", 80],
        ["15/04/2026", "Brandy", "Sandholt", "Blanc", 82],
    )
    book(tmp_path / "club.xlsx", {"Reperes": ["C1:D1", "E1:F1"]}, Groupe=SQUAD, Reperes=RATED, Cartes=rows)
    found = adopted(tmp_path)
    assert found.questions == []
    assert told(found, "rounds", "golfer_id", "tee", "course_rating", "slope_rating") == [
        ("Maud Ferrin", "Bleu", "73.1", "131"),
        ("Olle Brandvik", "Bleu", "70.4", "127"),
        ("Olle Brandvik", "Blanc", "72.4", "134"),
    ]


def test_whose_ratings_hold_is_asked_where_nobody_says_it(tmp_path: Path) -> None:
    rows = cards(["14/04/2026", "Ines", "Sandholt", "Bleu", 84])
    book(tmp_path / "club.xlsx", {"Reperes": ["C1:D1", "E1:F1"]}, Reperes=RATED, Cartes=rows)
    found = adopted(tmp_path)
    assert [one.key for one in found.questions] == ["sex of: ines"]
    assert found.tables()["rounds"] == []
    known = adopted(tmp_path, Memory({"sex of: ines": "F"}))
    assert told(known, "rounds", "course_rating") == [("73.1",)]


def test_a_rating_of_women_that_is_not_listed_is_asked_for_with_its_rows(tmp_path: Path) -> None:
    rows = cards(["14/04/2026", "Mo", "Sandholt", "Blanc", 84])
    book(tmp_path / "club.xlsx", {"Reperes": ["C1:D1", "E1:F1"]}, Groupe=SQUAD, Reperes=RATED, Cartes=rows)
    (question,) = adopted(tmp_path).questions
    assert "'Sandholt Blanc, ladies' (row 2)" in question.text


def test_weeks_over_kinds_of_practice_become_rows(tmp_path: Path) -> None:
    weeks = ["", "Woche vom 06.04.2026", None, "Woche vom 13.04.2026", None]
    rows = [
        ["Training in Minuten"],
        weeks,
        ["Spieler", "Chippen", "Bunker", "Chippen", "Bunker"],
        ["Maud", 20, None, 30, 15],
        ["Olle", None, 45, None, None],
        ["Summe", 20, 45, 30, 15],
    ]
    book(tmp_path / "club.xlsx", {"Training": ["B2:C2", "D2:E2"]}, Training=rows, Leer=[["x"]])
    found = adopted(tmp_path)
    assert found.questions == []
    assert told(found, "practice", "golfer_id", "practised_on", "category", "minutes") == [
        ("Maud", "2026-04-06", "chipping", "20"),
        ("Maud", "2026-04-13", "chipping", "30"),
        ("Maud", "2026-04-13", "bunker", "15"),
        ("Olle", "2026-04-06", "bunker", "45"),
    ]


def test_tests_over_distances_and_out_of_how_many_below(tmp_path: Path) -> None:
    rows = [
        [None, None, "Putts gelocht (von 8)", None, "Chips innerhalb 2 m", "Fairways"],
        ["Datum", "Spieler", "1 m", "2 m", "von 12", "von 14"],
        ["14.04.2026", "Maud", 7, 4, 6, 9],
    ]
    book(tmp_path / "club.xlsx", {"Probe": ["C1:D1"]}, Probe=rows, Leer=[["x"]])
    found = adopted(tmp_path)
    assert found.questions == []
    assert told(found, "assessments", "test", "distance_ft", "made", "tried") == [
        ("putting_ladder", "3.3", "7", "8"),
        ("putting_ladder", "6.6", "4", "8"),
        ("chips_innerhalb_2_m", "", "6", "12"),
        ("fairways", "", "9", "14"),
    ]


def test_a_course_written_once_a_day_is_carried_down_as_the_day_is(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Date", "Player", "Event", "Course", "Gross", "CR", "Slope"],
        ["14/04/2026", "Maud", "Medal", "Sandholt", 84, 72.4, 134],
        [None, "Olle", None, None, 80, None, None],
        [None, "Ines", None, None, 91, None, None],
        ["21/04/2026", "Maud", "Medal", "Low Barrow", 85, 69.8, 119],
        [None, "Olle", None, None, 79, None, None],
    ]
    book(tmp_path / "club.xlsx", Rounds=rows)
    found = adopted(tmp_path)
    assert found.questions == []
    assert told(found, "rounds", "golfer_id", "course", "course_rating") == [
        ("Ines", "Sandholt", "72.4"),
        ("Maud", "Sandholt", "72.4"),
        ("Maud", "Low Barrow", "69.8"),
        ("Olle", "Sandholt", "72.4"),
        ("Olle", "Low Barrow", "69.8"),
    ]


def test_nine_holes_with_a_rating_of_nine_ask_nothing(tmp_path: Path) -> None:
    rated = [
        ["Course", "Tee", "CR 18", "Slope 18", "CR 1-9", "Slope 1-9", "CR 10-18", "Slope 10-18"],
        ["Sandholt", "Red", 72.4, 134, 36.5, 133, 35.9, 135],
        ["Low Barrow short loop", "Red", 34.1, 118, None, None, None, None],
    ]
    rows = [
        ["Date", "Player", "Course", "Tee", "Holes", "Score"],
        ["14/04/2026", "Maud", "Sandholt", "Red", "18", 84],
        ["15/04/2026", "Maud", "Sandholt", "Red", "10 to 18", 43],
        ["16/04/2026", "Maud", "Sandholt", "Red", "front nine", 41],
        ["17/04/2026", "Maud", "Low Barrow short loop", "Red", 9, 39],
    ]
    book(tmp_path / "club.xlsx", Ratings=rated, Rounds=rows)
    found = adopted(tmp_path)
    assert found.questions == []
    assert told(found, "rounds", "holes", "course_rating", "slope_rating") == [
        ("18", "72.4", "134"),
        ("9", "35.9", "135"),
        ("9", "36.5", "133"),
        ("9", "34.1", "118"),
    ]


def test_a_rating_of_nine_in_one_cell_with_its_slope_asks_nothing(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Date", "Player", "Course", "Rating/Slope", "Holes", "Score"],
        ["14/04/2026", "Maud", "Sandholt", "72.4/134", 18, 84],
        ["15/04/2026", "Maud", "Sandholt (back)", "35.9/135", 9, 43],
    ]
    book(tmp_path / "club.xlsx", Rounds=rows)
    found = adopted(tmp_path)
    assert found.questions == []
    assert told(found, "rounds", "holes", "course_rating") == [("18", "72.4"), ("9", "35.9")]


def test_which_nine_a_cell_says() -> None:
    said = [
        part_of(one) for one in ("10 a 18", "1-9", "front 9", "back nine", "18", 18.0, "9", 9.0, "in shop")
    ]
    assert said == [BACK, FRONT, FRONT, BACK, WHOLE, WHOLE, None, None, None]

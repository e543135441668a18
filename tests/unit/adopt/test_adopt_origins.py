"""Faults of the tables told by the sheet they came from."""

from __future__ import annotations

from pathlib import Path

from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder
from paryield.adopt.origins import plainly
from paryield.tables import read_folder


def faults(folder: Path, name: str, text: str) -> list[str]:
    own, tables = folder / "own", folder / "tables"
    own.mkdir()
    (own / name).write_text(text, encoding="utf-8")
    found = adopt_folder(own, Memory(), today=TODAY)
    assert found.questions == []
    found.write(tables)
    return [found.origins().own(one).line() for one in read_folder(tables, today=TODAY).problems]


def test_a_fault_names_the_sheet_its_row_and_its_heading(tmp_path: Path) -> None:
    rows = "Maud Ferrin,13/4/2026,88,71.2,128\nAda Okoro,20/4/2026,20,71.2,128\n"
    (line,) = faults(tmp_path, "medal.csv", f"Our medals\n\nPupil,Day,Strokes,CR,Slope\n{rows}")
    assert line.startswith("medal.csv, row 5, column Strokes: ")
    assert "tables" not in line


def test_a_folder_of_practice_alone_says_what_is_missing_by_its_own_file(tmp_path: Path) -> None:
    lines = faults(tmp_path, "diary.csv", "Pupil,Day,Exercise,Minutes\nMaud Ferrin,13/4/2026,bunker,40\n")
    assert lines == ["diary.csv: no rounds were found - bring them in too, or store what was found"]


def test_names_of_columns_are_told_in_a_coachs_words() -> None:
    assert plainly("score_differential or adjusted_gross_score") == "differential or score"


def wrote(folder: Path, table: str, text: str) -> list[tuple[str, str, str]]:
    """Place, what stands there, and golfer of each row of a table."""
    (folder / "own.csv").write_text(text, encoding="utf-8")
    found = adopt_folder(folder, Memory(), today=TODAY)
    origins, rows, names = found.origins(), found.tables()[table], found.people.names
    each = enumerate(rows, 2)
    return sorted(
        (origins.place(table, row), origins.written(table, row), names[one["golfer_id"]]) for row, one in each
    )


def test_each_golfer_of_a_row_has_what_stands_for_them(tmp_path: Path) -> None:
    text = "Date,CR,Slope,Maud,Olle\n13.4.2026,71.2,128,88,95\n20.4.2026,71.2,128,91,\n"
    assert wrote(tmp_path, "rounds", text) == [
        ("own.csv, row 2", "13.4.2026 | 71.2 | 128 | Maud | 88", "Maud"),
        ("own.csv, row 2", "13.4.2026 | 71.2 | 128 | Olle | 95", "Olle"),
        ("own.csv, row 3", "20.4.2026 | 71.2 | 128 | Maud | 91", "Maud"),
    ]


def test_an_entry_of_a_column_a_kind_has_its_own_cell_alone(tmp_path: Path) -> None:
    text = "Pupil,Day,Putting ladder,Bunker\nMaud,13.4.2026,20 min,30 min\n"
    assert wrote(tmp_path, "practice", text) == [
        ("own.csv, row 2", "Maud | Bunker | 30 min", "Maud"),
        ("own.csv, row 2", "Maud | Putting ladder | 20 min", "Maud"),
    ]


def test_a_day_a_column_has_its_cell_alone_and_the_same_told_twice_stays_one(tmp_path: Path) -> None:
    text = "Pupil,13.4.2026,20.4.2026\nMaud,driver 20 min,gym 30 min\n"
    (tmp_path / "also.csv").write_text("Pupil,Day,Diary\nMaud,13.4.2026,driver 20 min\n", encoding="utf-8")
    assert wrote(tmp_path, "practice", text) == [
        ("also.csv, row 2", "Maud | 13.4.2026 | driver 20 min", "Maud"),
        ("own.csv, row 2", "Maud | 20.4.2026 | gym 30 min", "Maud"),
    ]

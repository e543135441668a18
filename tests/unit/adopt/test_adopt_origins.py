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

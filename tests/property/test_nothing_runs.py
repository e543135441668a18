"""Laws of what leaves: no cell of a file that is written is a formula, and reading gives the text back."""

from __future__ import annotations

import csv
import re
import tempfile
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from paryield.tables import make_tables, read_folder, write_folder
from paryield.tables.cells import protect, text_of

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""Characters with which a cell may start a formula in a spreadsheet, the wide forms of East Asian keyboards
among them (OWASP, CSV Injection; from memory)."""

RUNS = (
    '=HYPERLINK("http://a.b/"&A1,"x")',
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1:A9)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =1+1",
    "'=1+1",
    "''=1+1",
    '"=1+1',
    "=cmd|' /C calc'!A0",
    "＝1+1",
    "=1+1\n=2+2",
    "good;=1+1",
    "good;'=1+1",
    "good;  @SUM(A1)",
    "good\t=1+1",
    "two lines\n=1+1",
    "good;\uff1d1+1",
)
HOSTILE = st.builds(
    str.__add__,
    st.sampled_from(["=", "+", "-", "@", "\uff1d", "'", "\t", "\r", " ", '"', "#"]),
    st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n\t"), max_size=8),
)


def written(text: str, fmt: str) -> tuple[list[str], str | None]:
    """Write a note in every free text cell; return all text cells of the files and the note read back."""
    golfers = pd.DataFrame({"golfer_id": ["G1"], "display_name": [text], "coach": [text], "group": [text]})
    rounds = pd.DataFrame(
        {
            "golfer_id": ["G1"],
            "played_on": [pd.Timestamp("2026-05-01")],
            "score_differential": [9.5],
            "course": [text],
        }
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = write_folder(make_tables({"golfers": golfers, "rounds": rounds}), folder, fmt)  # type: ignore[arg-type]
        cells: list[str] = []
        for path in paths:
            if path.suffix == ".csv":
                with path.open(encoding="utf-8-sig", newline="") as handle:
                    cells += [cell for row in csv.reader(handle) for cell in row]
            elif path.suffix == ".xlsx":
                for sheet in openpyxl.load_workbook(path):
                    for row in sheet.iter_rows():
                        assert not [cell for cell in row if cell.data_type == "f"]
                        cells += [cell.value for cell in row if isinstance(cell.value, str)]
        reading = read_folder(folder)
    value = reading.tables.golfers["display_name"].iloc[0] if not reading.errors else None
    return cells, None if value is pd.NA else value


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("fmt", ["csv", "xlsx"])
@pytest.mark.parametrize("text", RUNS)
def test_known_tricks_leave_as_text_and_come_back(text: str, fmt: str) -> None:
    cells, back = written(text, fmt)
    assert not [cell for cell in cells if cell.startswith(STARTS) and not is_number(cell)]
    assert back == text or "\r" in text


@given(HOSTILE, st.sampled_from(["csv", "xlsx"]))
@settings(max_examples=20, deadline=None)
def test_no_text_at_all_leaves_as_a_formula(text: str, fmt: str) -> None:
    cells, back = written(text, fmt)
    assert not [cell for cell in cells if cell.startswith(STARTS) and not is_number(cell)]
    if back is not None:
        assert back == text


@pytest.mark.parametrize("text", [*RUNS, "=1;=2;\n+3", ";;=1", ";'';-1"])
def test_a_spreadsheet_of_another_separator_sees_no_formula(text: str) -> None:
    """Splitting by semicolons, tabs and line ends alone, as such programs do, whatever the quotes."""
    shown = protect(text)
    assert text_of(shown) == text
    assert not re.search("[;\t\r\n]\\s*[=+\\-@\uff1d\uff0b\uff0d\uff20]", shown)


@given(st.text(st.sampled_from(";\t\n'=+- a@"), max_size=12).filter(str.strip))
def test_what_is_protected_inside_comes_back(text: str) -> None:
    assert text_of(protect(text)) == text

"""Any spreadsheet file as plain grids of cells, whatever it is called and wherever its header stands."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path

import charset_normalizer
import python_calamine

from paryield.results import Problem
from paryield.tables.files import LARGEST_FILE, clipped, trouble
from paryield.tables.folder import listed
from paryield.tables.schema import TABLES

Cell = str | float | bool | date | None
"""A blank is None; times of a day and lengths of time are minutes."""

WORKBOOKS = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
TEXTS = (".csv", ".tsv", ".txt")
SEPARATORS = (",", ";", "\t", "|")
LOOKED_AT = 60
"""Lines of a text file by which its separator is found."""
MOST_ROWS, MOST_CELLS = 200_000, 4_000_000


def cell_at(row: Sequence[Cell], place: int | None) -> Cell:
    """Return the cell of a row in a column, from 0; None where there is no such column."""
    return row[place] if place is not None and place < len(row) else None


@dataclass(frozen=True)
class Sheet:
    """One sheet of a file.

    Parameters
    ----------
    file, sheet : str
        Name of the file, and of the sheet where it is one of a workbook.
    rows : list of list of Cell
        All rows, blank ones too; row number 1 is ``rows[0]``.
    numbers : tuple of int
        Row of the file that each row came from, where the rows were turned; blank where they were not.
    mark : str
        The headers as they stood, where the rows were turned; blank where the header still says them.
    spans : tuple of (int, int, int)
        Cells that are one with others to their right: row of the file from 1, first and last column from 0.
    part : str
        Headings of the block of a sheet that this is; blank where it is the whole.
    """

    file: str
    sheet: str
    rows: list[list[Cell]] = field(repr=False)
    numbers: tuple[int, ...] = field(default=(), repr=False)
    mark: str = field(default="", repr=False)
    spans: tuple[tuple[int, int, int], ...] = field(default=(), repr=False)
    part: str = field(default="", repr=False)

    def number_of(self, place: int) -> int:
        """Return the row of the file for a row as it stands here, from 1."""
        return self.numbers[place - 1] if self.numbers else place

    @property
    def name(self) -> str:
        """How a reader is told of it."""
        return f"{self.file}, sheet {self.sheet}" if self.sheet else self.file


def read_sheets(folder: Path, skip: Sequence[str] = ()) -> tuple[list[Sheet], list[Problem]]:
    """Read every spreadsheet of a folder.

    Parameters
    ----------
    folder : Path
    skip : sequence of str
        File names that are not the coach's.

    Returns
    -------
    sheets : list of Sheet
        In the order of the files' names; sheets without a filled cell are left out.
    problems : list of Problem
        Files that could not be read, or are no spreadsheets.

    Raises
    ------
    InputError
        When there is no such folder.
    """
    sheets: list[Sheet] = []
    problems: list[Problem] = []
    for path in listed(folder):
        if path.name in skip:
            continue
        ending = path.suffix.lower()
        if ending not in (*WORKBOOKS, *TEXTS):
            message = f"the ending {ending!r} is not that of a spreadsheet: passed over"
            problems.append(
                Problem(path.name, None, None, "", message, "save it as .xlsx or .csv", "warning")
            )
            continue
        try:
            size = path.stat().st_size
            if size == 0 or size > LARGEST_FILE:
                message = (
                    "the file is empty (0 bytes)"
                    if not size
                    else f"the file is larger than {LARGEST_FILE:,} bytes"
                )
                problems.append(trouble(path.name, message, "save it again, or take it out of the folder"))
                continue
            found = _workbook(path) if ending in WORKBOOKS else [_text(path)]
        except (OSError, ValueError, csv.Error, python_calamine.CalamineError) as error:
            message = f"the file cannot be read ({clipped(str(error) or type(error).__name__)})"
            problems.append(trouble(path.name, message, "open it in a spreadsheet and save it again"))
            continue
        sheets += [one for one in found if any(cell is not None for row in one.rows for cell in row)]
    return sheets, problems


def _workbook(path: Path) -> list[Sheet]:
    book = python_calamine.CalamineWorkbook.from_path(str(path))
    shown = [
        one.name for one in book.sheets_metadata if one.visible == python_calamine.SheetVisibleEnum.Visible
    ]
    single = len(shown) == 1
    out = []
    for name in shown:
        sheet = book.get_sheet_by_name(name)
        rows = sheet.to_python(skip_empty_area=False)
        _check_size(len(rows), max(map(len, rows), default=0))
        cells = [[_cell(value) for value in row] for row in rows]
        ranges = sheet.merged_cell_ranges or ()
        spans = tuple((top + 1, left, right) for (top, left), (low, right) in ranges if top == low)
        out.append(Sheet(path.name, "" if single else name, cells, spans=spans))
    return out


def _check_size(rows: int, columns: int) -> None:
    if rows > MOST_ROWS or rows * columns > MOST_CELLS:
        raise ValueError(f"{rows:,} rows of {columns:,} columns are too many")


def _cell(value: object) -> Cell:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, time):
        return value.hour * 60.0 + value.minute + value.second / 60.0
    if isinstance(value, timedelta):
        return value.total_seconds() / 60.0
    if isinstance(value, str):
        return value.strip() or None
    if isinstance(value, bool | date) or value is None:
        return value
    return float(str(value)) if isinstance(value, int | float) else str(value)


def _text(path: Path) -> Sheet:
    text = decoded(path.read_bytes())
    separator = _separator(text.splitlines()[:LOOKED_AT])
    rows = [
        [cell.strip() or None for cell in row] for row in csv.reader(io.StringIO(text), delimiter=separator)
    ]
    _check_size(len(rows), max(map(len, rows), default=0))
    return Sheet(path.name, "", [list(row) for row in rows])


def decoded(content: bytes) -> str:
    """Return a text file as text: UTF-8, else Western European where its words are that, else the likeliest.

    Raises
    ------
    ValueError
        When it is not text.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        western = _western(content)
        best = charset_normalizer.from_bytes(content).best() if western is None else None
        if western is None and best is None:
            raise ValueError("it is not text in any encoding known") from None
        text = western if western is not None else str(best)
    if "\0" in text:
        raise ValueError("it holds NUL characters: it is damaged, or not text")
    return text.removeprefix("\ufeff")


ASCII_SIGNS = r"\x00-\x7f"
MARKS = "“”‘’„‚«»‹›¿¡°ºª–—…´`·•†×²³¹½¼¾\N{NO-BREAK SPACE}"
"""Signs beyond ASCII that are written beside letters."""
SIGN_IN_WORD = re.compile(rf"[^\W\d_][^\w{ASCII_SIGNS}{MARKS}]|[^\w{ASCII_SIGNS}{MARKS}][^\W\d_]")
"""Another sign beside a letter: a letter of another code page."""
MOST_ACCENTS = 0.5
"""Share of letters beyond ASCII above which a text is in another alphabet. [judgement]"""


def _western(content: bytes) -> str | None:
    """Return text in code page 1252, or None where its letters are those of another."""
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        return None
    if any(ord(sign) < 32 and sign not in "\t\r\n\f\v" for sign in text) or SIGN_IN_WORD.search(text):
        return None
    letters = [sign for sign in text if sign.isalpha() and ord(sign) > 127]
    inside = sum(one.islower() and ord(two) > 127 and two.isupper() for one, two in pairwise(text))
    told = sum(map(str.isalpha, text))
    return None if inside or len(letters) > MOST_ACCENTS * told else text


def _separator(lines: Sequence[str]) -> str:
    """The separator that cuts most lines into the same number of cells, and more than one."""

    def score(separator: str) -> tuple[float, int]:
        counts = [len(row) for row in csv.reader(lines, delimiter=separator) if len(row) > 1]
        if not counts:
            return 0.0, 0
        usual = max(set(counts), key=lambda count: (counts.count(count), count))
        return counts.count(usual) / max(len(lines), 1), usual

    return max(SEPARATORS, key=score)


def is_table(sheet: Sheet) -> bool:
    """Whether a sheet is one of the project's own tables already: its header holds only their columns."""
    known = {column for table in TABLES.values() for column in table.names}
    first = next((row for row in sheet.rows if any(cell is not None for cell in row)), [])
    names = [str(cell).strip().lower() for cell in first if cell is not None]
    return len(names) > 1 and all(name in known for name in names)

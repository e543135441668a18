"""Whether a file or sheet that is called as a table is one, or a spreadsheet of the coach's own."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher
from pathlib import Path

from paryield.tables.files import UnreadableFile, header_name, text_records
from paryield.tables.nearest import folded
from paryield.tables.schema import TABLES, Table
from paryield.tables.workbooks import sheet_records

SLIP = 0.8
"""Likeness, 0 to 1, from which a heading is taken for a slip of a column's name. [judgement]"""
OWN = "if this is a spreadsheet of your own, bring it in on the desk, or run paryield adopt on its folder"


def lacking(table: Table, headings: Iterable[str]) -> tuple[str, ...]:
    """Return the columns that a table must have and a header has not."""
    held = {header_name(heading) for heading in headings}
    return tuple(name for name in table.required if name not in held)


def is_own(path: Path, sheet: str | None, table: str) -> bool:
    """Whether a file or sheet called as a table has not its columns: it is the coach's own.

    Parameters
    ----------
    path : Path
    sheet : str or None
        Of a workbook; None for a text file.
    table : str
        The table that it is called as.
    """
    try:
        records = text_records(path, []) if sheet is None else sheet_records(path, sheet, path.name, [])
        first = next(records, None)
    except (UnreadableFile, OSError):
        return False
    return first is not None and bool(lacking(TABLES[table], first[1]))


def slip_of(name: str, headings: Iterable[str]) -> str | None:
    """Return the heading that is meant as a column: it shares a word with its name, or is nearly spelt so."""
    words = {word for word in name.split("_") if len(word) > 2}

    def likeness(heading: str) -> float:
        if words & set(header_name(heading).split("_")):
            return 1.0
        return SequenceMatcher(None, folded(name), folded(heading)).ratio()

    near = max(headings, key=likeness, default=None)
    return near if near is not None and likeness(near) >= SLIP else None

"""Tables back to spreadsheets: ISO dates, plus handicaps with their plus, and no formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any, Literal

import pandas as pd

from paryield import private
from paryield.errors import InputError
from paryield.tables.cells import protect
from paryield.tables.frames import Tables
from paryield.tables.schema import TABLES, Column, Table
from paryield.tables.settings import logo_file, settings_text
from paryield.tables.workbooks import write_workbook

SETTINGS_FILE = "settings.toml"
SOURCES_FILE = "read_from.json"
"""What rows of the tables beside it were read from, where they were made of other spreadsheets."""
LEFT_OUT = "left out"
"""Under which that file tells what was left out: each reason, and how many rows or cells."""
UNMEASURED = "kept, measures nothing"
"""The same for results that were kept although nothing is measured by them."""
WORKBOOK = "tables.xlsx"


def written(column: Column, value: Any) -> str:
    """Return a value of a column as the text of a cell; reading it gives the value back."""
    if pd.isna(value):
        return ""
    if column.kind in ("text", "choice"):
        return protect(str(value))
    if column.kind == "date":
        return value.date().isoformat() if isinstance(value, datetime) else date.isoformat(value)
    if column.kind == "yes_no":
        return "yes" if value else "no"
    if column.kind == "count":
        return str(int(value))
    number = float(value)
    if column.kind == "index" and number < 0:
        return f"+{-number!r}"
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


def text_rows(table: Table, frame: pd.DataFrame) -> Iterator[list[str]]:
    """Yield the header and the rows of a table as text."""
    yield list(table.names)
    columns = [[written(column, value) for value in frame[column.name]] for column in table.columns]
    for row in zip(*columns, strict=True):
        yield list(row)


def write_folder(
    tables: Tables, folder: Path | str, fmt: Literal["csv", "xlsx"] = "csv", *, comment: str = ""
) -> list[Path]:
    """Write all tables to a folder, so that reading it gives the same tables.

    Text that begins with =, +, -, @, #, an apostrophe before one of these, or blank space gets an
    apostrophe in front, so that no spreadsheet runs it as a formula; reading takes it away.

    Parameters
    ----------
    tables : Tables
        What to write. Empty tables are written too, as a header without rows.
    folder : Path
        Made when absent; files of the same names are replaced.
    fmt : {"csv", "xlsx"}
        One CSV file (UTF-8 with byte order mark) a table, or one workbook with a sheet a table.
    comment : str
        A line put in front of each CSV header behind ``# ``.

    Returns
    -------
    list of Path
        The files written; ``settings.toml`` among them.

    Raises
    ------
    InputError
        When the format is unknown or the folder cannot be written.
    """
    folder = Path(folder)
    if fmt not in ("csv", "xlsx"):
        raise InputError(f"there is no format {fmt!r}", where="export", remedy="choose csv or xlsx")
    try:
        private.make_folder(folder)
        paths = _write_csv(tables, folder, comment) if fmt == "csv" else [_write_xlsx(tables, folder)]
        settings = folder / SETTINGS_FILE
        private.write(settings, settings_text(tables.settings, tables.categories))
        pictures = _write_logo(tables.settings.logo, folder)
    except OSError as error:
        message = f"the tables cannot be written ({error.strerror or error})"
        raise InputError(message, where=str(folder), remedy="choose a folder that can be written") from None
    return [*paths, settings, *pictures]


def _write_logo(logo: str, folder: Path) -> list[Path]:
    if not logo:
        return []
    name, content = logo_file(logo)
    private.write(folder / name, content)
    return [folder / name]


def _write_csv(tables: Tables, folder: Path, comment: str) -> list[Path]:
    paths = []
    for name, frame in tables.items():
        path = folder / f"{name}.csv"
        text = io.StringIO(newline="")
        if comment:
            text.write(f"# {comment}\r\n")
        csv.writer(text).writerows(text_rows(TABLES[name], frame))
        private.write(path, text.getvalue().encode("utf-8-sig"))
        paths.append(path)
    return paths


def _write_xlsx(tables: Tables, folder: Path) -> Path:
    path = folder / WORKBOOK
    write_workbook(path, {name: _typed_rows(TABLES[name], frame) for name, frame in tables.items()})
    return path


def _typed_rows(table: Table, frame: pd.DataFrame) -> Iterator[list[object]]:
    numeric = [column.kind in ("count", "decimal", "index") for column in table.columns]
    rows = text_rows(table, frame)
    yield list(next(rows))
    for row in rows:
        yield [
            float(cell) if is_number and _is_exact(cell) else cell or None
            for cell, is_number in zip(row, numeric, strict=True)
        ]


def _is_exact(cell: str) -> bool:
    # Workbook numbers are written with 16 digits; what needs more goes out as text, as does "+2.1".
    return bool(cell) and not cell.startswith("+") and float(f"{float(cell):.16g}") == float(cell)

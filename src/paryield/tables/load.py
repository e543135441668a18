"""A folder of spreadsheets to tables, with every problem in it at once."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables.categories import SHIPPED, Category
from paryield.tables.cells import protect
from paryield.tables.check import check_table
from paryield.tables.cross import check_between
from paryield.tables.files import Record, SourceFile, fingerprint, text_records, trouble
from paryield.tables.folder import Folder, claim, listed, missing, whole_folder
from paryield.tables.frames import Tables
from paryield.tables.loaded import Loaded
from paryield.tables.reader import TableReader
from paryield.tables.schema import TABLES
from paryield.tables.settings import DEFAULTS, Settings, read_settings
from paryield.tables.workbooks import sheet_records
from paryield.tables.write import SETTINGS_FILE, text_rows


@dataclass(frozen=True)
class Reading:
    """What a folder holds.

    Parameters
    ----------
    tables : Tables
        The rows without an error.
    problems : tuple of Problem
        Errors and warnings, by table, file and row.
    files : tuple of SourceFile
        What was read.
    rejected : dict of str to int
        Count of rows left out, by table.
    aside : dict of str to DataFrame
        Columns that the schema does not know, as text, with ``file`` and ``row``, by table.
    places : dict of str to DataFrame
        ``file`` and ``row`` of each row of ``tables``, in the same order, by table.
    stated : dict of str to list
        Columns that the file of each row has, in the same order, by table; it says nothing of others.
    """

    tables: Tables
    problems: tuple[Problem, ...]
    files: tuple[SourceFile, ...]
    rejected: dict[str, int]
    aside: dict[str, pd.DataFrame]
    places: dict[str, pd.DataFrame] = field(default_factory=dict)
    stated: dict[str, list[frozenset[str]]] = field(default_factory=dict)

    @property
    def errors(self) -> tuple[Problem, ...]:
        """Problems that keep a row or file out."""
        return tuple(problem for problem in self.problems if problem.severity == "error")

    @property
    def warnings(self) -> tuple[Problem, ...]:
        """Problems that only want a look."""
        return tuple(problem for problem in self.problems if problem.severity == "warning")


def read_folder(folder: Path | str, *, today: date | None = None, known: Tables | None = None) -> Reading:
    """Read the spreadsheets of a folder.

    Parameters
    ----------
    folder : Path
        Holds one file a table (``rounds.csv``, ``rounds.xlsx``), or workbooks with one sheet a table, and
        perhaps ``settings.toml``.
    today : date, optional
        Dates of play and practice after it are errors; the machine's date when None.
    known : Tables, optional
        What the club already holds: golfers, rounds, limits, categories and settings there count as given.

    Returns
    -------
    Reading
        Good rows, and every problem; nothing is stored.

    Raises
    ------
    InputError
        When the folder does not exist or cannot be listed.
    """
    folder = Path(folder)
    state = Folder(today or date.today())
    for path in listed(folder):
        claim(state, path)
    settings, categories = _settings(state, folder, known)
    readers = {name: TableReader(table, state.today) for name, table in TABLES.items()}
    for source in sorted(state.sources, key=lambda item: list(TABLES).index(item[0])):
        _read(state, readers[source[0]], *source)
    loaded = {name: reader.finish() for name, reader in readers.items()}
    holds_golfers = known is not None and len(known.golfers) > 0
    whole_folder(state, folder, loaded, holds_golfers)
    return _reading(state.problems, tuple(state.files), loaded, categories, settings, known)


def read_frames(
    frames: Mapping[str, pd.DataFrame],
    *,
    today: date | None = None,
    known: Tables | None = None,
    shown: str = "frame",
) -> Reading:
    """Read data frames by table name, by the rules of :func:`read_folder`.

    Parameters
    ----------
    frames : mapping of str to DataFrame
        Columns named as in the tables; cells of any kind, a missing value is a blank.
    shown : str
        What problems name as the file, before the table's name.

    Raises
    ------
    InputError
        When no table is called so.
    """
    unknown = [name for name in frames if name not in TABLES]
    if unknown:
        near = get_close_matches(unknown[0], TABLES, n=1, cutoff=0.5)
        remedy = f"the nearest is {near[0]}" if near else f"the tables are {', '.join(TABLES)}"
        raise InputError(f"no table is called {unknown[0]!r}", where=shown, remedy=remedy)
    state = Folder(today or date.today())
    readers = {name: TableReader(table, state.today) for name, table in TABLES.items()}
    for name, frame in frames.items():
        rows = [[str(column) for column in frame.columns]]
        rows += [[_cell_text(cell) for cell in row] for row in frame.itertuples(index=False)]
        digest = hashlib.sha256(repr(rows).encode()).hexdigest()
        count = readers[name].add(f"{shown} {name}", iter(enumerate(rows, start=1)))
        state.files.append(SourceFile(f"{shown} {name}", digest, name, count))
    loaded = {name: reader.finish() for name, reader in readers.items()}
    missing(state, shown, loaded, known is not None and len(known.golfers) > 0)
    settings, categories = (known.settings, known.categories) if known else (DEFAULTS, SHIPPED)
    return _reading(state.problems, tuple(state.files), loaded, categories, settings, known)


def _cell_text(cell: Any) -> str:
    """A cell of a frame as a spreadsheet would hold it."""
    if cell is None or cell is pd.NA or cell is pd.NaT or (isinstance(cell, float) and math.isnan(cell)):
        return ""
    if isinstance(cell, bool | np.bool_):
        return "yes" if cell else "no"
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(sep=" ")
    if isinstance(cell, float | np.floating):
        return repr(int(cell)) if float(cell).is_integer() else repr(float(cell))
    return protect(cell) if isinstance(cell, str) else str(cell)


def check_tables(tables: Tables, *, today: date | None = None, known: Tables | None = None) -> list[Problem]:
    """Check tables that did not come from a folder; rows count from 2 as below a header.

    Parameters and the rules are those of :func:`read_folder`; ``file`` of a problem is the table's name.
    """
    loaded = {}
    for name, frame in tables.items():
        reader = TableReader(TABLES[name], today or date.today())
        reader.add(name, enumerate(text_rows(TABLES[name], frame), start=1))
        loaded[name] = reader.finish()
    return list(_reading([], (), loaded, tables.categories, tables.settings, known).problems)


def read_row(
    table: str,
    cells: Mapping[str, str],
    shown: str,
    *,
    today: date | None = None,
    known: Tables | None = None,
) -> Reading:
    """Read one row given as text by column name, by the rules of :func:`read_folder`.

    Parameters
    ----------
    table : str
        Name of the table.
    cells : mapping of str to str
        Text of each cell, as a spreadsheet would hold it; columns left out are blank.
    shown : str
        What problems name as the file.
    """
    readers = {name: TableReader(each, today or date.today()) for name, each in TABLES.items()}
    names = [*TABLES[table].names, *(name for name in cells if name not in TABLES[table].names)]
    readers[table].add(shown, iter([(1, names), (2, [cells.get(name, "") for name in names])]))
    loaded = {name: reader.finish() for name, reader in readers.items()}
    settings, categories = (known.settings, known.categories) if known else (DEFAULTS, SHIPPED)
    return _reading([], (), loaded, categories, settings, known)


def _reading(
    problems: list[Problem],
    files: tuple[SourceFile, ...],
    loaded: dict[str, Loaded],
    categories: tuple[Category, ...],
    settings: Settings,
    known: Tables | None,
) -> Reading:
    for table in loaded.values():
        check_table(table)
    check_between(loaded, categories, known)
    found = list(problems)
    for table in loaded.values():
        order = {file: place for place, file in enumerate(table.files)}
        found += sorted(table.problems, key=lambda problem: (order.get(problem.file, -1), problem.row or 0))
    tables = Tables(
        **{name: table.good for name, table in loaded.items()}, categories=categories, settings=settings
    )
    rejected = {name: table.rejected for name, table in loaded.items() if table.rejected}
    aside = {name: table.aside for name, table in loaded.items() if not table.aside.empty}
    places = {name: table.places for name, table in loaded.items()}
    stated = {name: table.columns_stated for name, table in loaded.items()}
    return Reading(tables, tuple(found), files, rejected, aside, places, stated)


def _settings(state: Folder, folder: Path, known: Tables | None) -> tuple[Settings, tuple[Category, ...]]:
    before = known.settings if known else DEFAULTS
    own = tuple(item for item in known.categories if item not in SHIPPED) if known else ()
    path = next((path for path in listed(folder) if path.name.lower() == SETTINGS_FILE), None)
    if path is None:
        return before, SHIPPED + own
    settings, categories, problems = read_settings(path, before, own)
    state.problems += problems
    state.files.append(SourceFile(path.name, fingerprint(path), "settings", 0))
    return settings, categories


def _read(
    state: Folder, reader: TableReader, table: str, path: Path, sheet: str | None, shown: str, sha256: str
) -> None:
    for other in state.files:
        if other.table == table and other.sha256 == sha256:
            message = f"the file is the same as {other.name}"
            reader.problems.append(trouble(shown, message, "keep one of the two"))
            return
    records: Iterator[Record]
    if sheet is None:
        records = text_records(path, reader.problems)
    else:
        records = sheet_records(path, sheet, shown, reader.problems)
    try:
        rows = reader.add(shown, records, padded=sheet is not None)
    except OSError as error:
        message = f"the file cannot be read ({error.strerror})"
        reader.problems.append(trouble(shown, message, "check who may read it"))
        return
    state.files.append(SourceFile(shown, sha256, table, rows))

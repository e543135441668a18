"""One table from one or more files: header, cells column by column, and where each row came from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from itertools import islice
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, INTS
from paryield.results import Problem
from paryield.tables.cells import CellReader, Value
from paryield.tables.files import CUT_OFF, Record, UnreadableFile, clipped, header_name, trouble
from paryield.tables.loaded import Loaded
from paryield.tables.own_form import OWN, slip_of
from paryield.tables.schema import DTYPES, TABLES, Column, Table

CHUNK = 50_000
"""Rows read at a time: bounds the text held in memory."""


class Header:
    """Places of the known and unknown columns, and what is wrong with the header."""

    def __init__(self, table: Table, file: str, record: Record | None) -> None:
        if record is None:
            message = "there is no header row"
            raise UnreadableFile(
                trouble(file, message, f"begin with the columns {', '.join(table.required)}")
            )
        self.table, self.file = table, file
        self.row, cells = record
        while cells and not cells[-1].strip():
            cells = cells[:-1]
        self.width = len(cells)
        self.problems: list[Problem] = []
        self.places: dict[str, int] = {}
        self.unknown: dict[str, int] = {}
        for place, cell in enumerate(cells):
            self._place(place, cell)
        self._missing()
        self.usable = not any(problem.severity == "error" for problem in self.problems)
        self._name_unknown()

    def _place(self, place: int, cell: str) -> None:
        name = header_name(cell)
        if name in self.places:
            remedy = "keep one of the two columns"
            self.problems.append(Problem(self.file, self.row, name, "", "the column stands twice", remedy))
        elif name in self.table.names:
            self.places[name] = place
        else:
            shown = cell.strip() or f"column {place + 1}"
            self.unknown[shown if shown not in self.unknown else f"{shown} ({place + 1})"] = place

    def _missing(self) -> None:
        missing = [name for name in self.table.required if name not in self.places]
        for name in missing:
            self._lacks(name, "the column is missing")
        groups = self.table.either
        filled = any(all(name in self.places for name in group) for group in groups)
        waived = self.table.waived_by is not None and self.table.waived_by[0] in self.places
        if groups and not filled and not waived:
            ways = " or ".join(" and ".join(group) for group in groups)
            lacking = [name for group in groups for name in group if name not in self.places]
            self._lacks(lacking[0], f"the table needs {ways}")

    def _lacks(self, name: str, message: str) -> None:
        missing = sum(one not in self.places for one in self.table.required)
        alone = len(self.unknown) == 1 and missing == 1
        near = next(iter(self.unknown)) if alone else slip_of(name, sorted(self.unknown))
        remedy = f"add the column {name}"
        if near:
            remedy += f", or rename {near!r}, the nearest one found"
        elif name in self.table.required and self.table.name in TABLES:
            remedy += f"; {OWN}"
        self.problems.append(Problem(self.file, self.row, name, "", message, remedy))

    def _name_unknown(self) -> None:
        if self.unknown:
            names = clipped(", ".join(self.unknown), 300)
            message = f"columns that the table {self.table.name} does not have are kept aside"
            remedy = "rename them if they are meant, else nothing need be done"
            self.problems.append(Problem(self.file, self.row, None, names, message, remedy, "warning"))


@dataclass
class TableReader:
    """Gathers the rows of one table from its files."""

    table: Table
    today: date
    problems: list[Problem] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    rows_found: int = 0
    whole: bool = True

    def __post_init__(self) -> None:
        self._stated: list[frozenset[str]] = []
        self._readers = {column.name: CellReader(column, self.today) for column in self.table.columns}
        self._parts: dict[str, list[npt.NDArray[Any]]] = {name: [] for name in self._readers}
        self._origin: list[tuple[INTS, INTS, BOOLS, BOOLS]] = []
        self._aside: list[pd.DataFrame] = []

    def add(self, file: str, records: Iterator[Record], *, padded: bool = False) -> int:
        """Read one file or sheet and return the count of its data rows.

        Parameters
        ----------
        file : str
            Name in messages.
        records : iterator of (int, list of str)
            Row numbers and cells, the header first.
        padded : bool
            Whether short rows are only blank at the end (workbooks) rather than cut off (text).
        """
        self.files.append(file)
        self._stated.append(frozenset())
        before = self.rows_found
        try:
            header = Header(self.table, file, next(records, None))
            self.problems += header.problems
            if not header.usable:
                self.whole = False
                self.rows_found += sum(1 for _ in records)
                return self.rows_found - before
            self._stated[-1] = frozenset(header.places)
            whole_rows = self._of_one_width(file, records, header.width, padded)
            while chunk := list(islice(whole_rows, CHUNK)):
                self._add_chunk(header, chunk)
        except UnreadableFile as stop:
            self.whole = False
            self.problems.append(stop.problem)
        return self.rows_found - before

    def _of_one_width(
        self, file: str, records: Iterator[Record], width: int, padded: bool
    ) -> Iterator[Record]:
        short: Problem | None = None
        for number, cells in records:
            self.rows_found += 1
            if short:
                self.problems.append(short)
                short = None
            have = len(cells)
            if have < width and not padded:
                message = f"the row has {have} cells, the header {width}"
                short = trouble(file, message, f"fill in the missing cells; {CUT_OFF}", row=number)
            elif any(cell.strip() for cell in cells[width:]):
                message = f"the row has {have} cells, the header {width}"
                remedy = "quote the cells that hold the separator, such as a decimal comma"
                extra = clipped(", ".join(cells[width:]))
                self.problems.append(trouble(file, message, remedy, row=number, found=extra))
            else:
                yield number, cells[:width] + [""] * (width - have)
        if short:
            message = f"the last row breaks off: {short.message.removeprefix('the row ')}"
            self.problems.append(trouble(file, message, CUT_OFF, row=short.row))

    def _add_chunk(self, header: Header, chunk: list[Record]) -> None:
        numbers = np.array([number for number, _ in chunk], dtype=np.int64)
        columns = list(zip(*(cells for _, cells in chunk), strict=True))
        bad, keyless = np.zeros(len(chunk), dtype=bool), np.zeros(len(chunk), dtype=bool)
        for name, reader in self._readers.items():
            place = header.places.get(name)
            if place is None:
                self._parts[name].append(
                    np.broadcast_to(_array(reader.column, [reader.value("")]), len(chunk))
                )
                continue
            self._parts[name].append(_array(reader.column, reader.read(columns[place])))
            if reader.faults:
                faulty = self._note_faults(reader, columns[place], numbers)
                bad[faulty] = True
                keyless[faulty] |= name in self.table.key
        self._origin.append((np.full(len(chunk), len(self.files) - 1, dtype=np.int64), numbers, bad, keyless))
        if header.unknown:
            kept = {name: columns[place] for name, place in header.unknown.items()}
            self._aside.append(pd.DataFrame({"file": self.files[-1], "row": numbers, **kept}))

    def _note_faults(self, reader: CellReader, texts: Sequence[str], numbers: INTS) -> list[int]:
        faulty = [index for index, text in enumerate(texts) if text in reader.faults]
        for index in faulty:
            fault = reader.faults[texts[index]]
            where = self.files[-1], int(numbers[index]), reader.column.name
            self.problems.append(Problem(*where, clipped(texts[index].strip()), fault.message, fault.remedy))
        return faulty

    def finish(self) -> Loaded:
        """Return the table with all its rows, typed."""
        any_rows = any(self._parts.values())
        frame = _frame(self.table, self._parts) if any_rows else _no_rows(self.table).copy()
        file_no, row_no, bad, keyless = (
            np.concatenate(parts) if parts else np.zeros(0, dtype=dtype)
            for parts, dtype in zip(
                zip(*self._origin, strict=True) if self._origin else ((),) * 4,
                (np.int64, np.int64, bool, bool),
                strict=True,
            )
        )
        aside = pd.concat(self._aside, ignore_index=True) if self._aside else pd.DataFrame()
        return Loaded(
            self.table,
            tuple(self.files),
            numbered(self.table, frame),
            file_no,
            row_no,
            bad,
            keyless,
            self.rows_found,
            self.whole,
            self.problems,
            aside,
            tuple(self._stated),
        )


def _frame(table: Table, parts: dict[str, list[npt.NDArray[Any]]]) -> pd.DataFrame:
    """Return the columns of a table as a typed frame; each is let go of once it stands there."""
    columns = {column.name: _typed(column, parts.pop(column.name)) for column in table.columns}
    return pd.DataFrame(columns, copy=False)


@cache
def _no_rows(table: Table) -> pd.DataFrame:
    """Return a table without rows; to make one takes longer than to read many, and most have none."""
    return _frame(table, {name: [] for name in table.names})


def numbered(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """Fill blanks of the column that stands for the order of rows: the place within the rest of the key."""
    if table.ordered is None or frame.empty or not frame[table.ordered].isna().any():
        return frame
    others = [name for name in table.key if name != table.ordered]
    place = frame.groupby(others, dropna=False, sort=False).cumcount() + 1
    return frame.assign(**{table.ordered: frame[table.ordered].fillna(place.astype("Int64"))})


def _array(column: Column, values: list[Value]) -> npt.NDArray[Any]:
    return np.array(values, dtype=object if column.kind in ("text", "choice") else float)


def _typed(column: Column, parts: list[npt.NDArray[Any]]) -> Any:
    values = np.concatenate(parts) if parts else _array(column, [])
    if column.kind in ("text", "choice"):
        return pd.array(values, dtype="string")
    if DTYPES[column.kind] == "float64":
        return values
    blank = np.isnan(values)
    whole = np.where(blank, 0, values).astype(np.int64)
    if column.kind == "count":
        return pd.arrays.IntegerArray(whole, blank)
    if column.kind == "yes_no":
        return pd.arrays.BooleanArray(whole.astype(bool), blank)
    days = whole.astype("datetime64[D]").astype("datetime64[ns]")
    days[blank] = np.datetime64("NaT", "ns")
    return days

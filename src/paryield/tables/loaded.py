"""A table as read: its rows, where each came from, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import BOOLS, FLOATS, INTS
from paryield.results import Problem
from paryield.tables.cells import text_of
from paryield.tables.files import clipped
from paryield.tables.frames import Tables
from paryield.tables.schema import Table
from paryield.tables.write import written


@dataclass
class Loaded:
    """A table as read: good and bad rows, with file and row of each.

    ``bad`` marks the rows with an error, ``keyless`` those of which a key cell could not be read; ``stated``
    holds the columns that each file has.
    """

    table: Table
    files: tuple[str, ...]
    frame: pd.DataFrame
    file_no: INTS
    row_no: INTS
    bad: BOOLS
    keyless: BOOLS
    rows_found: int
    whole: bool
    problems: list[Problem]
    aside: pd.DataFrame
    stated: tuple[frozenset[str], ...] = ()

    @property
    def good(self) -> pd.DataFrame:
        """Rows without an error."""
        return self.frame[~self.bad].reset_index(drop=True) if self.bad.any() else self.frame

    @property
    def places(self) -> pd.DataFrame:
        """``file`` and ``row`` of each good row."""
        files = np.array(self.files, dtype=object)[self.file_no[~self.bad]]
        return pd.DataFrame({"file": files, "row": self.row_no[~self.bad]})

    @property
    def columns_stated(self) -> list[frozenset[str]]:
        """Columns that the file of each good row has: of others it says nothing."""
        return [self.stated[number] for number in self.file_no[~self.bad]]

    @property
    def rejected(self) -> int:
        """Count of rows that are left out."""
        return self.rows_found - int((~self.bad).sum())

    def numbers(self, column: str) -> FLOATS:
        """Return a numeric column as floats with NaN for blanks."""
        return self.frame[column].to_numpy(dtype=float, na_value=np.nan)

    def cell(self, row: int, column: str) -> str:
        """Return a cell as it would be written, without an apostrophe that protects it."""
        return text_of(written(self.table.column(column), self.frame[column].iloc[row])) or ""

    def flag(
        self,
        where: npt.ArrayLike,
        column: str | None,
        message: str | Callable[[int], str],
        remedy: str,
        *,
        found: Callable[[int], str] | None = None,
        severity: Literal["error", "warning"] = "error",
    ) -> None:
        """Note a problem for each row marked; errors make the row bad."""
        mask = np.asarray(where, dtype=bool)
        for row in np.flatnonzero(mask).tolist():
            value = found(row) if found else self.cell(row, column) if column else ""
            text = message if isinstance(message, str) else message(row)
            file, number = self.files[self.file_no[row]], int(self.row_no[row])
            self.problems.append(Problem(file, number, column, clipped(value), text, remedy, severity))
        if severity == "error":
            self.bad |= mask

    def flag_once(
        self,
        where: npt.ArrayLike,
        by: Sequence[str],
        column: str | None,
        message: Callable[[int], str],
        remedy: str,
        *,
        severity: Literal["error", "warning"] = "error",
    ) -> None:
        """Note one problem, at the first row, for the rows marked that share the columns ``by``."""
        mask = np.asarray(where, dtype=bool)
        rows = np.flatnonzero(mask)
        if not len(rows):
            return
        groups = self.frame.loc[rows, list(by)].assign(_file=self.file_no[rows])
        code = groups.groupby(list(groups.columns), dropna=False, sort=False).ngroup().to_numpy()
        _, first, counts = np.unique(code, return_index=True, return_counts=True)
        count_at = dict(zip(rows[first].tolist(), counts.tolist(), strict=True))
        once = np.zeros_like(mask)
        once[rows[first]] = True

        def text(row: int) -> str:
            more = count_at[row]
            return message(row) + (f" ({more} rows)" if more > 1 else "")

        self.flag(once, column, text, remedy, severity=severity)
        if severity == "error":
            self.bad |= mask


def with_known(table: Loaded, known: Tables | None) -> pd.DataFrame:
    """Return the good rows of a table after those that the club already holds; the last of a key counts."""
    good = table.good
    if known is None:
        return good
    held: pd.DataFrame = getattr(known, table.table.name)
    if good.empty:
        return held
    both = pd.concat([held, good], ignore_index=True)
    return both.drop_duplicates(list(table.table.key), keep="last", ignore_index=True)

"""Problems of the tables told by the coach's own file, sheet, row and heading, in a coach's words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import PurePath

from paryield.results import Problem
from paryield.tables.files import table_of
from paryield.tables.schema import TABLES

WORDS: dict[str, str] = {
    "adjusted_gross_score": "score",
    "raw_score": "score before it was adjusted",
    "score_differential": "differential",
    "golfer_id": "golfer",
    "golfer": "who",
    "display_name": "name",
    "played_on": "date",
    "practised_on": "date",
    "assessed_on": "date",
    "date": "when",
    "slope_rating": "slope",
    "greens_hit": "greens",
    "fairways_hit": "fairways",
    "category": "what was practised",
    "log": "what was practised, in words",
    "note": "remark",
    "start_index": "index",
    "goal_index": "index to reach",
    "goal_on": "day of the goal",
    "distance_ft": "distance in feet",
    "distance_m": "distance in metres",
    "keep_good": "the good rows",
}
"""What a coach calls a column of the tables; the others are their own words."""


def words_of(column: str) -> str:
    """Return what a coach calls a column, or what one holds."""
    return WORDS.get(column, column.replace("_", " "))


NAMES = sorted(
    {name for table in TABLES.values() for name in table.names if "_" in name} | {"keep_good"},
    key=len,
    reverse=True,
)
IN_TEXT = re.compile(rf"\b(?:{'|'.join(NAMES)})\b")


def plainly(text: str) -> str:
    """Return a message with the names of columns in a coach's words."""
    return IN_TEXT.sub(lambda match: words_of(match[0]), text)


@dataclass(frozen=True)
class Origins:
    """Where the rows of the tables stood.

    Parameters
    ----------
    files : tuple of str
        The coach's files.
    places : mapping of str to sequence of str
        Table to the place of each of its rows, ``file, sheet X, row 7``.
    headings : mapping of str to mapping of str to str
        Sheet to the heading of the column that holds something.
    wrote : mapping of str to sequence of str
        Table to what stands at the place of each of its rows: the filled cells from left to right, or the
        name, the heading and the cell where a sheet has a column a day or a kind.
    """

    files: tuple[str, ...]
    places: Mapping[str, Sequence[str]]
    headings: Mapping[str, Mapping[str, str]]
    wrote: Mapping[str, Sequence[str]] = field(default_factory=dict, repr=False)

    def place(self, table: str, row: int) -> str:
        """Return the place of a row of a table as it was written, its header being row 1."""
        return _of_row(self.places, table, row)

    def written(self, table: str, row: int) -> str:
        """Return what stands at the place of a row of a table, its header being row 1."""
        return _of_row(self.wrote, table, row)

    def own(self, problem: Problem) -> Problem:
        """Return a problem of a table as one of the coach's own sheet."""
        table = table_of(PurePath(problem.file).stem)
        message, remedy = plainly(problem.message), plainly(problem.remedy)
        if table is None or problem.row is None:
            where = ", ".join(self.files)
            if message.startswith("the table ") and message.endswith(" is missing"):
                message = f"no {message.split()[2]} were found"
                remedy = "bring them in too, or store what was found"
            column = None if problem.column is None else words_of(problem.column)
            return replace(problem, file=where, message=message, remedy=remedy, column=column)
        sheet, _, number = self.place(table, problem.row).rpartition(", row ")
        column = problem.column
        if column is not None:
            column = self._heading(sheet, column)
        return replace(
            problem,
            file=sheet or ", ".join(self.files),
            row=int(number) if number.isdigit() else None,
            column=column,
            message=message,
            remedy=remedy,
        )

    def _heading(self, sheet: str, column: str) -> str:
        held = self.headings.get(sheet, {})
        named = next((held[name] for name in (column, *SOURCES.get(column, ())) if name in held), None)
        return words_of(column) if named is None else named


def _of_row(told: Mapping[str, Sequence[str]], table: str, row: int) -> str:
    rows = told.get(table, ())
    return rows[row - 2] if 2 <= row < len(rows) + 2 else ""


SOURCES: dict[str, tuple[str, ...]] = {
    "golfer_id": ("golfer", "last_name"),
    "display_name": ("golfer", "last_name"),
    "played_on": ("date", "week", "week_ending"),
    "practised_on": ("date", "week", "week_ending"),
    "assessed_on": ("date", "week", "week_ending"),
    "minutes": ("hours", "log", "category"),
    "reps": ("log", "category"),
    "category": ("log", "note"),
}
"""Columns of the tables to what a sheet may hold them by."""

"""Several rows from a page, stored by the way that spreadsheets take: the same checks and history."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from paryield import private
from paryield.club import Club, ImportRefused
from paryield.club.opened import COMMAND_LINE
from paryield.desk.card import Card, field_of
from paryield.desk.fields import Form
from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables import TABLES

if TYPE_CHECKING:
    from paryield.desk.state import Desk


def store_rows(
    desk: Desk,
    table: str,
    rows: Sequence[Mapping[str, str]],
    *,
    replace: bool = False,
    who: str = COMMAND_LINE,
) -> int | None:
    """Store rows of one table and return the number of the change, None when all were stored before.

    Raises
    ------
    ImportRefused
        When a row has an error; its ``problems`` name the columns.
    """
    return store_tables(desk, {table: rows}, replace=replace, who=who)


def store_tables(
    desk: Desk,
    tables: Mapping[str, Sequence[Mapping[str, str]]],
    *,
    replace: bool = False,
    who: str = COMMAND_LINE,
) -> int | None:
    """Store rows of several tables as one change; as :func:`store_rows`."""
    with desk.scratch.folder() as folder:
        for table, rows in tables.items():
            names = [name for name in TABLES[table].names if any(name in row for row in rows)]
            needed = [name for name in TABLES[table].required if name not in names]
            with private.opened(folder / f"{table}.csv", "w", encoding="utf-8", newline="") as stream:
                writer = csv.DictWriter(stream, [*names, *needed], restval="", quoting=csv.QUOTE_ALL)
                writer.writeheader()
                writer.writerows([{name: _one_cell(value) for name, value in row.items()} for row in rows])
        with Club.open(desk.where, who=who) as club:
            done = club.import_folder(folder, replace=replace, undoable=True, bring_back=True, entry=True)
            return done.import_no


def _one_cell(text: str) -> str:
    return text.replace("\r\n", "\n")


def problems_of(error: InputError) -> tuple[Problem, ...]:
    """Return what is wrong with an entry that was refused, to be shown at the form."""
    if isinstance(error, ImportRefused):
        return error.problems
    return (Problem("", None, None, "", error.message, error.remedy),)


def by_field(form: Form, problems: tuple[Problem, ...], made: Card | None = None) -> dict[str, list[str]]:
    """Return what is wrong by the field that holds it; by nothing where it is of none."""
    wrong: dict[str, list[str]] = {}
    for problem in problems:
        if problem.severity == "warning" and made is not None:
            continue
        column = {form.day: "day", "golfer_id": "golfer"}.get(problem.column or "", problem.column or "")
        if made is not None and problem.file.startswith("holes"):
            column = field_of(problem, made)
        wrong.setdefault(column, []).append(f"{problem.message}: {problem.remedy}")
    return wrong

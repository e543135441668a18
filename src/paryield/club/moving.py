"""A row moved to another day or taken off the record, a round with its holes and shots, as one change."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import sqlalchemy as sa

from paryield.club import edits, history, layout
from paryield.club.compare import Difference
from paryield.club.contents import Row, keyed
from paryield.club.imports import before, insert, new_row
from paryield.errors import InputError
from paryield.tables import TABLES

PARTS = {
    "rounds": ("rounds", "holes", "shots"),
    "practice": ("practice",),
    "assessments": ("assessments",),
}
"""Tables whose rows can be moved, each with those whose rows belong to them, in the order of storing."""


def move_row(
    connection: sa.Connection,
    table: str,
    key: Mapping[str, str],
    cells: Mapping[str, str],
    seen: str,
    *,
    today: date | None,
    where: str,
) -> edits.Edit:
    """Put a row that the caller has looked at under another key, such as another day, as the last of it.

    Parameters
    ----------
    connection : Connection
        Within the caller's transaction.
    table : str
        One of :data:`PARTS`.
    key : mapping
        Key of the row on record, as text by column.
    cells : mapping
        The row as it shall be, as text by column; its number is chosen here.
    seen : str
        Fingerprint of the row on record as the caller saw it.

    Raises
    ------
    ImportRefused
        When a cell has an error.
    InputError
        When the row is gone, was changed since the caller looked at it, or another one has its new key.
    """
    old = edits.key_of_text(table, key, where)
    edits.unchanged(connection, table, old, seen, where)
    given = dict(cells)
    number = numbered(table)
    if number:
        first = edits.key_of_text(table, {**cells, number: "1"}, where)
        given[number] = str(edits.next_free(connection, table, first))
    new, row, problems = edits.checked(connection, table, given, today, where)
    if edits.find(connection, table, new) is not None:
        message = f"the club already holds a row for {edits.spelt(table, new)}"
        raise InputError(message, where=where, remedy="correct that row, and take this one off the record")
    changed = dict(zip(TABLES[table].key, new, strict=True))
    held = {name: _rows(connection, table, name, old) for name in PARTS[table]}
    moved = {name: [_with(name, one, changed) for one in rows] for name, rows in held.items()}
    moved[table] = [row]
    counts: dict[str, tuple[int, int, int]] = {}
    kept = _take(connection, table, old, held)
    for name in PARTS[table]:
        added = tuple(keyed(name, moved[name]))
        insert(connection, Difference(name, added, 0, ()))
        kept += [new_row(name, at, one) for at, one in added]
        if added:
            counts[name] = (len(added), 0, len(held[name]))
    done = history.record(connection, (), counts, kept, "edit")
    return edits.Edit(done, table, str(new[0]), edits.stored(table, row), problems)


def remove_row(
    connection: sa.Connection, table: str, key: Mapping[str, str], seen: str, *, where: str
) -> edits.Edit:
    """Take a row that the caller has looked at off the record; undoing it brings it back.

    Raises
    ------
    InputError
        When the row is gone or was changed since the caller looked at it.
    """
    old = edits.key_of_text(table, key, where)
    row = edits.unchanged(connection, table, old, seen, where)
    held = {name: _rows(connection, table, name, old) for name in PARTS[table]}
    kept = _take(connection, table, old, held)
    counts = {name: (0, 0, len(rows)) for name, rows in held.items() if rows}
    done = history.record(connection, (), counts, kept, "edit")
    return edits.Edit(done, table, str(old[0]), edits.stored(table, row))


def numbered(table: str) -> str:
    """Return the column that numbers the rows of one key, blank where each key has one row."""
    last = TABLES[table].key[-1]
    return last if last in edits.COUNTERS else ""


def same_place(table: str, key: Mapping[str, str], cells: Mapping[str, str], where: str) -> bool:
    """Return whether cells name the same key but for its number: golfer and day, and what was practised.

    Raises
    ------
    InputError
        When a day or number cannot be read.
    """
    number = numbered(table)
    one, other = ({**given, **({number: "1"} if number else {})} for given in (key, cells))
    return edits.key_of_text(table, one, where) == edits.key_of_text(table, other, where)


def _take(
    connection: sa.Connection, table: str, key: Row, held: Mapping[str, list[Row]]
) -> list[dict[str, Any]]:
    """Delete a row with what belongs to it and return how it was."""
    kept: list[dict[str, Any]] = []
    for name in reversed(PARTS[table]):
        connection.execute(layout.CLUB_TABLES[name].delete().where(*_under(table, name, key)))
        kept += [before(name, at, one) for at, one in keyed(name, held[name])]
    return kept


def _rows(connection: sa.Connection, table: str, name: str, key: Row) -> list[Row]:
    """Return the rows of a table that belong to one of ``table``."""
    query = layout.rows_of(name).where(*_under(table, name, key))
    return [edits.blanked(name, tuple(found)) for found in connection.execute(query)]


def _under(table: str, name: str, key: Row) -> list[Any]:
    columns = layout.CLUB_TABLES[name].c
    return [columns[part] == value for part, value in zip(TABLES[table].key, key, strict=True)]


def _with(table: str, row: Row, changed: Mapping[str, Any]) -> Row:
    names = layout.dtypes(table)
    return tuple(changed.get(name, value) for name, value in zip(names, row, strict=True))

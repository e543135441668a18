"""One change taken back: rows that it added go, rows that it replaced return, and the history says so."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa

from paryield.club import designs, history, layout, people
from paryield.club.compare import Difference, spelt
from paryield.club.contents import Row, key_record, keyed, plain
from paryield.club.imports import before, insert, new_row, update
from paryield.errors import InputError
from paryield.tables import TABLES, SourceFile

UNDO = "undo of "
"""How the history names the source of a change that took back another one, before its number."""
TAKEN = tuple(reversed(TABLES))
"""Tables in the order in which their rows go: what refers to others first."""
NEEDS = {
    "rounds": ("holes", "shots"),
    "golfers": tuple(name for name in TAKEN if name != "golfers" and "golfer_id" in TABLES[name].names),
}
"""Tables whose rows need a row of another one."""


@dataclass(frozen=True)
class UndoReceipt:
    """What was taken back.

    Parameters
    ----------
    import_no : int
        Number of the undo in the history; undoing it brings the change back.
    undone : int
        Number of the change that was taken back.
    removed, restored : int
        Rows that went, and rows that hold their former values again.
    """

    import_no: int
    undone: int
    removed: int
    restored: int


def undo(connection: sa.Connection, number: int, where: str) -> UndoReceipt:
    """Take back one change, within the caller's transaction.

    Raises
    ------
    InputError
        When there is no such change, its rows were not kept for undoing, or one was changed since.
    """
    kept = _kept(connection, number, where)
    parts = [_part(connection, number, name, rows, where) for name, rows in kept.items()]
    counts: dict[str, tuple[int, int, int]] = {}
    old_rows: list[dict[str, Any]] = []
    for name, removed, _ in sorted(parts, key=lambda part: TAKEN.index(part[0])):
        for key, row in removed:
            _needed_by_none(connection, name, key, where)
            connection.execute(layout.CLUB_TABLES[name].delete().where(*_at(name, key)))
            old_rows.append(before(name, key, row))
            if name == "golfers":  # another person may get this id
                people.unlink(connection, str(key[0]))
        if name == "plans":
            designs.forget(connection, {str(key_record(name, key)["plan"]) for key, _ in removed})
    for name, removed, back in sorted(parts, key=lambda part: TAKEN.index(part[0]), reverse=True):
        insert(connection, back)
        update(connection, back)
        old_rows += [new_row(name, key, row) for key, row in back.added]
        old_rows += [before(name, key, old) for key, old, _, _ in back.updates]
        counts[name] = (len(back.added), 0, len(removed) + len(back.updates))
    source = [SourceFile(f"{UNDO}{number}", "", name, sum(counts[name])) for name in counts]
    new = history.record(connection, source, counts, old_rows, "undo")
    gone = sum(len(removed) for _, removed, _ in parts)
    restored = sum(len(back.added) + len(back.updates) for _, _, back in parts)
    return UndoReceipt(new, number, gone, restored)


class ChangedSince(InputError):
    """A row of a change was changed again: by change ``later``, which is to be taken back first.

    ``table`` and ``key`` name the row.
    """

    def __init__(self, table: str, key: dict[str, Any], later: int, where: str) -> None:
        said = f"{table}, {spelt(key)} was changed again by change {later}"
        super().__init__(said, where=where, remedy=f"take back change {later} first")
        self.table, self.key, self.later = table, key, later


class StillNeeded(InputError):
    """A row of a change cannot go: rows of the table ``other`` on record need it."""

    def __init__(self, table: str, key: dict[str, Any], other: str, where: str) -> None:
        said = f"{spelt(key)} in {table} still has {other} on record"
        super().__init__(said, where=where, remedy="take those back first")
        self.table, self.key, self.other = table, key, other


Kept = dict[str, list[tuple[dict[str, Any], dict[str, Any] | None]]]


def _kept(connection: sa.Connection, number: int, where: str) -> Kept:
    """Return key and former row of every row that a change touched, by table."""
    rows, changes = layout.REPLACED_ROWS, layout.IMPORT_TABLES
    query = sa.select(changes).where(changes.c.import_no == layout.askable(number))
    counted = connection.execute(query).mappings().all()
    if not counted:
        raise InputError(f"there is no change {number}", where=where, remedy="look at the history of changes")
    found = connection.execute(sa.select(rows).where(rows.c.import_no == number)).mappings().all()
    touched = sum(row["added"] + row["replaced"] for row in counted)
    if touched != len(found) or any(row["table_name"] not in layout.CLUB_TABLES for row in found):
        raise InputError(
            f"change {number} cannot be taken back: its rows were not kept for that, or were erased",
            where=where,
            remedy="correct the rows and import them with --replace",
        )
    kept: Kept = {}
    for row in found:
        _unchanged_since(connection, number, row["table_name"], row["row_key"], where)
        entry = (json.loads(row["row_key"]), json.loads(row["old"]))
        kept.setdefault(row["table_name"], []).append(entry)
    return kept


def _unchanged_since(connection: sa.Connection, number: int, table: str, key: str, where: str) -> None:
    """Refuse where a later change of the row still stands; one that was taken back does not."""
    rows, files = layout.REPLACED_ROWS, layout.IMPORT_FILES
    query = sa.select(rows.c.import_no).where(
        rows.c.table_name == table, rows.c.row_key == key, rows.c.import_no > number
    )
    standing: list[int] = []
    for later in sorted(set(connection.execute(query).scalars())):
        names = connection.execute(sa.select(files.c.name).where(files.c.import_no == later)).scalars()
        undone = {name.removeprefix(UNDO) for name in names if name.startswith(UNDO)}
        if standing and undone == {str(standing[-1])}:
            standing.pop()
        else:
            standing.append(later)
    if standing:
        raise ChangedSince(table, json.loads(key), standing[-1], where)


def _part(
    connection: sa.Connection,
    number: int,
    name: str,
    kept: list[tuple[dict[str, Any], dict[str, Any] | None]],
    where: str,
) -> tuple[str, list[tuple[Row, Row]], Difference]:
    """Return the rows of one table that go, and those that come back."""
    go, new, changed = [], [], []
    for place, (key_values, old_values) in enumerate(kept):
        key = keyed(name, [_row(name, key_values)])[0][0]
        now = connection.execute(layout.rows_of(name).where(*_at(name, key))).first()
        if now is None and old_values is None:
            raise InputError(f"the row of change {number} is gone already", where=where)
        present = None if now is None else _blanked(name, tuple(now))
        if old_values is None and present is not None:
            go.append((key, present))
        elif old_values is not None and present is None:
            new.append((key, _row(name, old_values)))
        elif old_values is not None and present is not None:
            changed.append((key, present, _row(name, old_values), place))
    return name, go, Difference(name, tuple(new), 0, tuple(changed))


def _needed_by_none(connection: sa.Connection, name: str, key: Row, where: str) -> None:
    """Refuse to take away a round whose holes or shots stay, and a golfer of whom anything stays."""
    match = dict(zip(TABLES[name].key, key, strict=True))
    others = {table: layout.CLUB_TABLES[table] for table in NEEDS.get(name, ())}
    if name == "golfers":
        others["seasons"] = designs.DESIGN_MEMBERS
    for other, table in others.items():
        query = sa.select(sa.func.count()).where(*(table.c[part] == value for part, value in match.items()))
        if connection.execute(query.select_from(table)).scalar():
            raise StillNeeded(name, key_record(name, key), other, where)


def _row(table: str, values: dict[str, Any]) -> Row:
    """Return a JSON record as a row of plain values."""
    return tuple(_typed(values.get(name), dtype) for name, dtype in layout.dtypes(table).items())


def _typed(value: Any, dtype: str) -> Any:
    return date.fromisoformat(value) if dtype == "datetime64[ns]" and value is not None else value


def _blanked(table: str, row: Row) -> Row:
    """Return a stored row with the fillings of blank key parts taken out."""
    key = key_record(table, keyed(table, [row])[0][0])
    names = layout.dtypes(table)
    return tuple(
        None if name in layout.keys(table) and key.get(name) != plain(value) else value
        for name, value in zip(names, row, strict=True)
    )


def _at(table: str, key: Row) -> list[Any]:
    where = layout.CLUB_TABLES[table]
    return [where.c[name] == value for name, value in zip(layout.keys(table), key, strict=True)]

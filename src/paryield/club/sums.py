"""A checksum in each row, so that a value that changed in the file by itself is found."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

import sqlalchemy as sa

SUM = "row_sum"
"""Column of the checksum: 64 bits of BLAKE2b, as a whole number with sign. A row that changed by chance keeps
its sum once in 2^64 times; it is no protection against somebody who can compute it."""


def row_sum(values: Mapping[Any, Any]) -> int:
    """Return the checksum of a row.

    Parameters
    ----------
    values : mapping of str to object
        Values by column as they are stored, whether typed or as plain SQL returns them; blanks do not count,
        so that a column added later changes nothing.
    """
    kept = {str(name): _plain(value) for name, value in values.items() if value is not None and name != SUM}
    text = json.dumps(kept, sort_keys=True, ensure_ascii=True)
    digest = hashlib.blake2b(text.encode(), digest_size=8).digest()
    return int.from_bytes(digest, "big", signed=True)


def _plain(value: Any) -> Any:
    """Return a value in one form: dates as ISO text, yes as 1, whole decimals as whole numbers."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes):
        return value.hex()
    if isinstance(value, bool) or (isinstance(value, float) and value.is_integer()):
        return int(value)
    return value


def column() -> sa.Column[Any]:
    """Return the column, which a new row fills by itself."""
    return sa.Column(SUM, sa.BigInteger(), default=_of_new_row)


def _of_new_row(context: Any) -> int:
    return row_sum(context.get_current_parameters())


def changed(connection: sa.Connection, table: sa.Table) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table that are not as they were written."""
    for row in connection.execute(sa.select(table)).mappings():
        if row[SUM] != row_sum(row):
            yield dict(row)


def changed_in_file(connection: sqlite3.Connection) -> bool:
    """Tell whether a club file that plain SQL reads holds such a row; an older one has no checksums."""
    names = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    for name in names:
        quoted = '"' + str(name).replace('"', '""') + '"'
        columns = [row[1] for row in connection.execute(f"PRAGMA table_info({quoted})")]
        if SUM not in columns:
            continue
        for row in connection.execute(f"SELECT * FROM {quoted}"):
            values = dict(zip(columns, row, strict=True))
            if values[SUM] != row_sum(values):
                return True
    return False


def renew(connection: sa.Connection, table: sa.Table, added: frozenset[str] = frozenset()) -> None:
    """Give rows their sums after an upgrade: those without one, and those that were right before it.

    Parameters
    ----------
    added : frozenset of str
        Columns that the upgrade added.
    """
    for row in connection.execute(sa.select(table)).mappings().all():
        now = row_sum(row)
        before = row_sum({name: value for name, value in row.items() if name not in added})
        if row[SUM] != now and (row[SUM] is None or row[SUM] == before):
            change(connection, table, row, {SUM: now})


def change(
    connection: sa.Connection, table: sa.Table, row: Mapping[Any, Any], values: dict[str, Any]
) -> None:
    """Change one row by its key."""
    where = [part == row[part.name] for part in table.primary_key.columns]
    connection.execute(table.update().where(*where).values(values))


def reworded(row: Mapping[Any, Any], values: dict[str, Any]) -> dict[str, Any]:
    """Return new values of a row with its new sum; a row that was not as written stays recognisable."""
    if SUM not in row or row[SUM] != row_sum(row):
        return values
    return values | {SUM: row_sum(dict(row) | values)}

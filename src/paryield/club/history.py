"""What was imported, when, from which files, and what each replaced row held before."""

from __future__ import annotations

import json
import warnings
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd
import sqlalchemy as sa

from paryield.club.layout import IMPORT_FILES, IMPORT_TABLES, IMPORTS, REPLACED_ROWS, now
from paryield.errors import Notice
from paryield.tables import SourceFile

COLUMNS = [
    "import_no",
    "imported_at",
    "table",
    "files",
    "added",
    "skipped",
    "replaced",
    "old_rows",
    "source",
    "who",
]


def record(
    connection: sa.Connection,
    files: Iterable[SourceFile],
    counts: Mapping[str, tuple[int, int, int]],
    old_rows: Sequence[Mapping[str, Any]],
    source: str | None = None,
) -> int:
    """Write one import: counts per table are added, skipped and replaced; old rows as they were."""
    last = connection.execute(sa.select(sa.func.max(IMPORTS.c.import_no))).scalar()
    number = int(last or 0) + 1
    connection.execute(IMPORTS.insert(), [{"import_no": number, "imported_at": now(), "source": source}])
    tables = [
        {
            "import_no": number,
            "table_no": at,
            "table_name": name,
            "added": added,
            "skipped": skipped,
            "replaced": replaced,
        }
        for at, (name, (added, skipped, replaced)) in enumerate(counts.items(), start=1)
    ]
    sources = [
        {
            "import_no": number,
            "file_no": at,
            "name": file.name,
            "sha256": file.sha256,
            "table_name": file.table,
            "row_count": file.rows,
        }
        for at, file in enumerate(files, start=1)
    ]
    old = [{"import_no": number, "row_no": at, **row} for at, row in enumerate(old_rows, start=1)]
    for table, rows in ((IMPORT_TABLES, tables), (IMPORT_FILES, sources), (REPLACED_ROWS, old)):
        if rows:
            connection.execute(table.insert(), rows)
    return number


def taken_off(connection: sa.Connection, table: str) -> frozenset[str]:
    """Return the keys, as JSON, of rows that somebody took off the record or moved by hand and that stay so.

    A spreadsheet that still has them does not bring them back; undoing the change does.
    """
    query = (
        sa.select(REPLACED_ROWS.c.row_key, REPLACED_ROWS.c.old, IMPORTS.c.source)
        .join(IMPORTS, IMPORTS.c.import_no == REPLACED_ROWS.c.import_no)
        .where(REPLACED_ROWS.c.table_name == table)
        .order_by(REPLACED_ROWS.c.import_no, REPLACED_ROWS.c.row_no)
    )
    latest = {key: (old, source) for key, old, source in connection.execute(query)}
    return frozenset(key for key, (old, source) in latest.items() if source == "edit" and old != "null")


def by_hand(connection: sa.Connection, table: str) -> frozenset[str]:
    """Return the keys, as JSON, of rows that somebody logged or edited."""
    query = (
        sa.select(REPLACED_ROWS.c.row_key)
        .join(IMPORTS, IMPORTS.c.import_no == REPLACED_ROWS.c.import_no)
        .where(REPLACED_ROWS.c.table_name == table, IMPORTS.c.source.in_(("log", "edit")))
    )
    return frozenset(connection.execute(query).scalars())


def sign(connection: sa.Connection, number: int, who: str) -> None:
    """Write down who made an import, under the name of the audit trail."""
    connection.execute(IMPORTS.update().where(IMPORTS.c.import_no == number).values({"who": who}))


def check_clock(connection: sa.Connection, where: str) -> None:
    """Say so when the computer's clock stands before the last import; numbers, not moments, give the order.

    Warns
    -----
    Notice
        When it does: dates are then held against a wrong today.
    """
    last = connection.execute(sa.select(sa.func.max(IMPORTS.c.imported_at))).scalar()
    if last is not None and now()[:10] < str(last)[:10]:
        text = f"the computer's clock says {now()[:10]}, but the club was last changed on {str(last)[:10]}"
        warnings.warn(f"{where}: {text}; check the clock", Notice, stacklevel=2)


def listing(connection: sa.Connection) -> pd.DataFrame:
    """Return one row per import and table, oldest first.

    Returns
    -------
    DataFrame
        import_no, imported_at (UTC, ISO), table, files (JSON list of name, sha256, rows), added,
        skipped, replaced (counts of rows), old_rows (JSON list of key and old values, ``null`` for a row
        that was not there before), source (``folder``, ``log``, ``edit`` or ``undo``) and who (as the
        audit trail names them; blank in what older versions wrote).
    """
    about = {row.import_no: row for row in connection.execute(sa.select(IMPORTS))}
    files = grouped(connection, IMPORT_FILES, "file_no", ("name", "sha256", "row_count"))
    old = grouped(connection, REPLACED_ROWS, "row_no", ("row_key", "old"))
    rows = []
    query = sa.select(IMPORT_TABLES).order_by(IMPORT_TABLES.c.import_no, IMPORT_TABLES.c.table_no)
    for row in connection.execute(query).mappings():
        place = (row["import_no"], row["table_name"])
        sources = [{"name": n, "sha256": s, "rows": r} for n, s, r in files.get(place, [])]
        before = [{"key": json.loads(k), "old": json.loads(o)} for k, o in old.get(place, [])]
        rows.append(
            (
                row["import_no"],
                about[row["import_no"]].imported_at,
                row["table_name"],
                json.dumps(sources, ensure_ascii=False),
                row["added"],
                row["skipped"],
                row["replaced"],
                json.dumps(before, ensure_ascii=False),
                about[row["import_no"]].source or "folder",
                about[row["import_no"]].who or "",
            )
        )
    return pd.DataFrame(rows, columns=COLUMNS)


def grouped(
    connection: sa.Connection, table: sa.Table, order: str, columns: Sequence[str]
) -> dict[tuple[int, str], list[tuple[Any, ...]]]:
    """Return the rows of a history table by import and table, in order."""
    query = sa.select(table).order_by(table.c.import_no, table.c[order])
    found: dict[tuple[int, str], list[tuple[Any, ...]]] = {}
    for row in connection.execute(query).mappings():
        values = tuple(row[column] for column in columns)
        found.setdefault((row["import_no"], row["table_name"]), []).append(values)
    return found

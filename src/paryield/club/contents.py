"""The whole content of a club as tables, rows of plain values, and its fingerprint."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date
from functools import cache
from typing import Any, cast

import numpy as np
import pandas as pd
import sqlalchemy as sa

from paryield.club import layout
from paryield.club.layout import dtypes, keys
from paryield.tables import SHIPPED, TABLES, Category, Settings, Tables
from paryield.tables.settings import SHOWN_ONLY

Row = tuple[Any, ...]

BLANK_KEY: dict[str, Any] = {
    "string": "",
    "datetime64[ns]": date(1, 1, 1),
    "Int64": -1,
    "float64": -1.0,
}
"""What a blank part of a key is stored as, by dtype, because a database key part cannot be blank; the
schema allows none of these values in a key part."""

PYTHON: dict[str, Any] = {"string": str, "Int64": int, "float64": float, "boolean": bool}

OLD_LOGO = "data:image/svg+xml"
"""Logos that older versions took; they are not shown any more."""

NO_SETTINGS = "{}"
"""The settings of a club that has never changed a default."""


def to_rows(table: str, frame: pd.DataFrame) -> list[Row]:
    """Return the rows of a frame as plain values in the order of the columns, None where blank."""
    columns = [plain_column(frame[name], dtype) for name, dtype in dtypes(table).items()]
    return list(zip(*columns, strict=True))


def plain_column(series: pd.Series[Any], dtype: str) -> list[Any]:
    """Return one column as plain values, None where blank."""
    if dtype == "datetime64[ns]":
        return [None if value is pd.NaT else value.date() for value in series]
    blank = series.isna().to_numpy(dtype=bool)
    make = PYTHON[dtype]
    values = series.astype(object).tolist()
    return [None if empty else make(value) for value, empty in zip(values, blank, strict=True)]


def to_frame(table: str, rows: Sequence[Row]) -> pd.DataFrame:
    """Return rows of plain values as a typed frame."""
    return _frame(table, list(zip(*rows, strict=True))) if rows else _no_rows(table).copy()


def _frame(table: str, columns: Sequence[Sequence[Any]]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            name: typed_column(values, dtype)
            for (name, dtype), values in zip(dtypes(table).items(), columns, strict=True)
        }
    )


@cache
def _no_rows(table: str) -> pd.DataFrame:
    """Return a table without rows; to make one takes longer than to read many, and most tables have none."""
    return _frame(table, [() for _ in dtypes(table)])


def typed_column(values: Sequence[Any], dtype: str) -> pd.Series[Any]:
    """Return plain values as a typed column."""
    if dtype == "datetime64[ns]":
        texts = ["NaT" if value is None else value.isoformat() for value in values]
        return pd.Series(np.array(texts, dtype="datetime64[ns]"))
    if dtype == "float64":
        return pd.Series(np.array([np.nan if v is None else v for v in values], dtype="float64"))
    return pd.Series(pd.array(list(values), dtype=cast(Any, dtype)))


def keyed(table: str, rows: Iterable[Row]) -> list[tuple[Row, Row]]:
    """Return each row with its key; blank key parts as in :data:`BLANK_KEY`."""
    names = list(dtypes(table))
    parts = [(names.index(name), BLANK_KEY[dtypes(table)[name]]) for name in keys(table)]
    return [(tuple(blank if row[at] is None else row[at] for at, blank in parts), row) for row in rows]


def plain(value: Any) -> Any:
    """Return a value as JSON holds it."""
    return value.isoformat() if isinstance(value, date) else value


def record(table: str, row: Row) -> dict[str, Any]:
    """Return a row as a JSON record without its blanks."""
    return {name: plain(value) for name, value in zip(dtypes(table), row, strict=True) if value is not None}


def key_record(table: str, key: Row) -> dict[str, Any]:
    """Return a key as a JSON record without its blanks."""
    pairs = zip(keys(table), key, strict=True)
    return {name: plain(value) for name, value in pairs if value != BLANK_KEY[dtypes(table)[name]]}


def digest(content: dict[str, list[Row]], settings: str) -> str:
    """Return the sha256 of rows and settings: the order of rows and blank columns do not matter."""
    whole = hashlib.sha256()
    for table in sorted(content):
        lines = [json.dumps(record(table, row), sort_keys=True, ensure_ascii=True) for row in content[table]]
        for line in sorted(lines):
            whole.update(f"{table}\t{line}\n".encode())
    whole.update(f"settings\t{settings}\n".encode())
    return whole.hexdigest()


def stored_rows(connection: sa.Connection, table: str, golfer: str | None = None) -> list[Row]:
    """Return the rows of a table in the order of the key, None where blank; of one golfer where named."""
    where = layout.CLUB_TABLES[table]
    query = layout.rows_of(table).order_by(
        *(in_bytes(connection, where.c[name]) for name in layout.keys(table))
    )
    if golfer is not None:
        query = query.where(where.c.golfer_id == golfer)
    dtypes = layout.dtypes(table)
    blanks = [
        (at, BLANK_KEY[dtype])
        for at, (name, dtype) in enumerate(dtypes.items())
        if name in layout.keys(table)
    ]
    rows = [tuple(row) for row in connection.execute(query).all()]
    for at, blank in blanks:
        if any(row[at] == blank for row in rows):
            rows = [(*row[:at], None, *row[at + 1 :]) if row[at] == blank else row for row in rows]
    return rows


def in_bytes(connection: sa.Connection, column: sa.Column[Any]) -> sa.ColumnElement[Any]:
    """Return a column to order by, text in the order of its bytes whatever the database's language."""
    if connection.dialect.name == "postgresql" and isinstance(column.type, sa.Text):
        return sa.collate(column, "C")
    return column


def read_tables(connection: sa.Connection, golfer: str | None = None) -> Tables:
    """Return everything the club holds as typed tables, rows in the order of the key.

    With ``golfer`` all golfers, and of every other table the rows of that one alone: what a row of his can
    disagree with.
    """
    frames = {
        table: to_frame(table, stored_rows(connection, table, None if table == "golfers" else golfer))
        for table in TABLES
    }
    settings, categories = from_text(layout.fact(connection, "settings") or NO_SETTINGS)
    return Tables(**frames, categories=categories, settings=settings)


def revision(connection: sa.Connection) -> tuple[int, ...]:
    """Return the last import, the last run, the runs out of use and the number of golfers."""
    golfers = sa.select(sa.func.count()).select_from(layout.CLUB_TABLES["golfers"])
    stale = sa.select(sa.func.count()).select_from(layout.RUNS).where(layout.RUNS.c.stale)
    last = [sa.select(sa.func.max(column)) for column in (layout.IMPORTS.c.import_no, layout.RUNS.c.run_no)]
    return tuple(int(connection.execute(query).scalar() or 0) for query in (*last, stale, golfers))


def fingerprint(tables: Tables) -> str:
    """Return the sha256 of the content of tables.

    The order of rows does not matter, and neither does a column that is all blank; a number counts as
    its column's type, whatever wrote it.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    rows = {name: to_rows(name, frame) for name, frame in tables.items()}
    return digest(rows, to_text(tables, shown_only=False))


def to_text(tables: Tables, *, shown_only: bool = True) -> str:
    """Return the settings and the club's own categories as canonical JSON; defaults are left out.

    Without ``shown_only`` the settings that no answer depends on are left out too.
    """
    defaults = asdict(Settings())
    changed = {name: value for name, value in asdict(tables.settings).items() if value != defaults[name]}
    if not shown_only:
        changed = {name: value for name, value in changed.items() if name not in SHOWN_ONLY}
    own = [asdict(category) for category in tables.categories if category not in SHIPPED]
    content: dict[str, Any] = dict(changed)
    if own:
        content["categories"] = own
    return json.dumps(content, sort_keys=True, ensure_ascii=False)


def from_text(text: str) -> tuple[Settings, tuple[Category, ...]]:
    """Return settings and all categories, the shipped ones first, from :func:`to_text`."""
    content = json.loads(text)
    own = {item["name"]: Category(**item) for item in content.pop("categories", [])}
    if str(content.get("logo", "")).startswith(OLD_LOGO):
        del content["logo"]
    shipped = tuple(own.pop(category.name, category) for category in SHIPPED)
    return Settings(**content), (*shipped, *own.values())

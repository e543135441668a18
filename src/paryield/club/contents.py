"""The whole content of a club as tables, its settings, and its fingerprint."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

import sqlalchemy as sa

from paryield.club import layout
from paryield.club.frames import BLANK_KEY, Row, digest, to_frame, to_rows
from paryield.tables import SHIPPED, TABLES, Category, Settings, Tables
from paryield.tables.settings import SHOWN_ONLY

OLD_LOGO = "data:image/svg+xml"
"""Logos that older versions took; they are not shown any more."""

NO_SETTINGS = "{}"
"""The settings of a club that has never changed a default."""


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

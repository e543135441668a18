"""The tables of the club in the database: one per spreadsheet table, and the club's own records."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from functools import cache
from typing import Any

import sqlalchemy as sa

from paryield.club import backups, sums
from paryield.errors import InputError
from paryield.tables import DTYPES, TABLES

VERSION = 6
"""Version of this layout; ``migrations`` brings older clubs up to it."""

KIND = "paryield club"

SQL_TYPES: dict[str, Any] = {
    "string": sa.Text(),
    "datetime64[ns]": sa.Date(),
    "Int64": sa.BigInteger(),
    "float64": sa.Double(),
    "boolean": sa.Boolean(),
}

MOST_NUMBER = 2**31 - 1
"""The largest number of a change or run that a database holds; no query is asked for a larger one."""
METADATA = sa.MetaData()


def askable(number: int) -> int:
    """Return a number that a database can be asked for; 0, which nothing has, for others."""
    return number if 0 < number <= MOST_NUMBER else 0


def dtypes(table: str) -> dict[str, str]:
    """Return the pandas dtype of each column of a table, in order."""
    return {column.name: DTYPES[column.kind] for column in TABLES[table].columns}


def keys(table: str) -> tuple[str, ...]:
    """Return the key columns of a table."""
    return TABLES[table].key


def sql_table(table: str) -> sa.Table:
    """Return the database table of a spreadsheet table.

    ``golfer_id`` refers to golfers, except in the calendar, where a blank is the whole club.
    """
    columns: list[sa.Column[Any]] = []
    for name, dtype in dtypes(table).items():
        refers = name == "golfer_id" and table not in ("golfers", "calendar")
        links = [sa.ForeignKey("golfers.golfer_id")] if refers else []
        is_key = name in keys(table)
        columns.append(sa.Column(name, SQL_TYPES[dtype], *links, primary_key=is_key, autoincrement=False))
    return sa.Table(table, METADATA, *columns, sums.column())


def rows_of(table: str) -> sa.Select[Any]:
    """Return the query for all rows of a spreadsheet table, without their checksums."""
    return sa.select(*(CLUB_TABLES[table].c[name] for name in dtypes(table)))


CLUB_TABLES: dict[str, sa.Table] = {table: sql_table(table) for table in TABLES}

FACTS = sa.Table(
    "club_facts",
    METADATA,
    sa.Column("name", sa.Text(), primary_key=True),
    sa.Column("value", sa.Text(), nullable=False),
    sums.column(),
)

IMPORTS = sa.Table(
    "imports",
    METADATA,
    sa.Column("import_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("imported_at", sa.Text(), nullable=False),
    sa.Column("source", sa.Text()),
    sa.Column("who", sa.Text()),
)
"""``source`` is blank for a folder, else what wrote the rows: ``log``, ``edit`` or ``undo``; ``who`` is
whom the audit trail names for it."""


def of_import(number: str) -> list[sa.Column[Any]]:
    """Return the key columns of a record that belongs to an import."""
    link = sa.ForeignKey("imports.import_no")
    return [
        sa.Column("import_no", sa.Integer(), link, primary_key=True, autoincrement=False),
        sa.Column(number, sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("table_name", sa.Text(), nullable=False),
    ]


IMPORT_TABLES = sa.Table(
    "import_tables",
    METADATA,
    *of_import("table_no"),
    sa.Column("added", sa.Integer(), nullable=False),
    sa.Column("skipped", sa.Integer(), nullable=False),
    sa.Column("replaced", sa.Integer(), nullable=False),
)

IMPORT_FILES = sa.Table(
    "import_files",
    METADATA,
    *of_import("file_no"),
    sa.Column("name", sa.Text(), nullable=False),
    sa.Column("sha256", sa.Text(), nullable=False),
    sa.Column("row_count", sa.Integer(), nullable=False),
)

REPLACED_ROWS = sa.Table(
    "replaced_rows",
    METADATA,
    *of_import("row_no"),
    sa.Column("golfer_id", sa.Text(), nullable=False),
    sa.Column("row_key", sa.Text(), nullable=False),
    sa.Column("old", sa.Text(), nullable=False),
    sums.column(),
)

RUNS = sa.Table(
    "runs",
    METADATA,
    sa.Column("run_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("saved_at", sa.Text(), nullable=False),
    sa.Column("facts", sa.Text(), nullable=False),
    sa.Column("payload", sa.LargeBinary()),
    sa.Column("stale", sa.Boolean(), nullable=False),
)

READ_FROM = sa.Table(
    "read_from",
    METADATA,
    sa.Column("source_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("golfer_id", sa.Text(), nullable=False),
    sa.Column("table_name", sa.Text(), nullable=False),
    sa.Column("row_key", sa.Text(), nullable=False),
    sa.Column("source", sa.LargeBinary(), nullable=False),
    sa.Column("held", sa.LargeBinary(), nullable=False),
)
"""``source`` is the fingerprint of the place and text that a row was read from, ``held`` that of the row as
it was read. A row that was replaced keeps its line: undoing brings it back."""


def now() -> str:
    """Return the present moment, UTC, ISO."""
    return datetime.now(UTC).isoformat(timespec="seconds")


@cache
def columns_now() -> str:
    """Return the columns of this version as canonical JSON."""
    return json.dumps({table: sorted(dtypes(table).items()) for table in TABLES}, sort_keys=True)


def fact(connection: sa.Connection, name: str) -> str | None:
    """Return a stored fact about the club, None where there is none."""
    return connection.execute(sa.select(FACTS.c.value).where(FACTS.c.name == name)).scalar()


def set_fact(connection: sa.Connection, name: str, value: str) -> None:
    """Store a fact about the club in place of an older one."""
    connection.execute(FACTS.delete().where(FACTS.c.name == name))
    connection.execute(FACTS.insert(), [{"name": name, "value": value}])


def touch(connection: sa.Connection) -> None:
    """Write a fact as it is, to see whether the club can be written."""
    kind = FACTS.c.name == "kind"
    connection.execute(FACTS.update().where(kind).values({"value": KIND}))


def make(connection: sa.Connection) -> None:
    """Make the tables of an empty club."""
    METADATA.create_all(connection)
    facts = {"kind": KIND, "schema_version": str(VERSION), "columns": columns_now()}
    connection.execute(FACTS.insert(), [{"name": name, "value": value} for name, value in facts.items()])


def is_made(connection: sa.Connection) -> bool:
    """Tell whether the database holds a club."""
    return sa.inspect(connection).has_table(FACTS.name) and fact(connection, "kind") == KIND


def is_current(connection: sa.Connection, where: str) -> bool:
    """Tell whether a club has the present layout; False when an older version made it.

    Raises
    ------
    InputError
        When the database is no club, or a newer version made it.
    """
    if not is_made(connection):
        if len(set(CLUB_TABLES) & set(sa.inspect(connection).get_table_names())) > 1:
            raise backups.damaged(where, "it no longer says that it is a club")
        raise InputError("this is not a club file", where=where, remedy="name a file made by paryield import")
    found = fact(connection, "schema_version") or ""
    if not (found.isascii() and found.isdecimal()):
        raise backups.damaged(where, f"its layout is called {found[:20]!r}")
    if int(found) > VERSION:
        raise InputError(
            f"the club was made by a newer version (layout {found[:20]}, this one reads {VERSION})",
            where=where,
            remedy=backups.remedy(where, "update paryield", "update paryield; if that does not help, "),
        )
    current = int(found) == VERSION and fact(connection, "columns") == columns_now()
    if current:
        check_columns(connection, kinds_now(connection), where)
    return current


def kinds(columns: Iterable[sa.Column[Any]], connection: sa.Connection) -> set[tuple[str, str, str]]:
    """Return table, name and kind of columns, as the database spells the kind."""
    dialect = connection.dialect
    return {(one.table.name, one.name, one.type.compile(dialect=dialect)) for one in columns}


_KINDS: dict[tuple[str, int], set[tuple[str, str, str]]] = {}


def kinds_now(connection: sa.Connection) -> set[tuple[str, str, str]]:
    """Return :func:`kinds` of all columns known so far, spelt once: every opening asks for it."""
    asked = (connection.dialect.name, len(METADATA.tables))
    if asked not in _KINDS:
        made = (column for table in METADATA.sorted_tables for column in table.columns)
        _KINDS[asked] = kinds(made, connection)
    return _KINDS[asked]


COLUMNS_OF_FILE = """SELECT tables.name, columns.name, columns.type FROM sqlite_master AS tables
JOIN pragma_table_info(tables.name) AS columns WHERE tables.type = 'table'"""


def check_columns(connection: sa.Connection, wanted: set[tuple[str, str, str]], where: str) -> None:
    """Refuse a club file that lacks columns which it says it has.

    Raises
    ------
    InputError
        When a table or column is missing, or of another kind than it was made.
    """
    if connection.dialect.name != "sqlite":
        return
    missing = sorted(wanted - {tuple(row) for row in connection.exec_driver_sql(COLUMNS_OF_FILE)})
    if missing:
        table, column, _ = missing[0]
        raise backups.damaged(where, f"the table {table} lacks the column {column}, or it is of another kind")

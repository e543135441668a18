"""Older clubs brought up to the present layout: in order, in one transaction, and nothing is lost.

Tables and columns that an older club lacks are added, blank or with the default of the schema. A change
that is more than an addition is a step of its own, named by the version that it leaves.
"""

from __future__ import annotations

import json
from collections.abc import Callable

import sqlalchemy as sa

from paryield.club import layout
from paryield.club.people import PEOPLE, PEOPLE_GOLFERS, SESSIONS
from paryield.club.registers import AUDIT, COPIES, MARKS
from paryield.errors import InputError
from paryield.tables import TABLES

Step = Callable[[sa.Connection], None]

STEPS: dict[int, Step] = {}
"""What is more than an addition, by the version left behind. Version 1 to 2 only adds: the registers of
copies, of who saw what and of marks, and ``source`` of imports. Version 2 to 3 only adds: who may sign in
and who is signed in, and ``who`` of imports. Version 3 to 4 only adds: the tables strikes and events."""

REGISTERS = (COPIES, AUDIT, MARKS, PEOPLE, PEOPLE_GOLFERS, SESSIONS)


def upgrade(connection: sa.Connection, where: str) -> None:
    """Bring a club up to the present layout, within the caller's transaction.

    Raises
    ------
    InputError
        When it has columns that this version does not know, or of another kind.
    """
    if layout.is_current(connection, where):
        return
    found = int(layout.fact(connection, "schema_version") or 0)
    check_columns(layout.fact(connection, "columns") or "", where)
    add_missing(connection)
    for version in range(found, layout.VERSION):
        STEPS.get(version, lambda _: None)(connection)
    layout.set_fact(connection, "columns", layout.columns_now())
    layout.set_fact(connection, "schema_version", str(layout.VERSION))


def check_columns(stored: str, where: str) -> None:
    """Refuse columns that went or changed their kind, and new parts of a key."""
    before = {name: dict(columns) for name, columns in json.loads(stored).items()}
    for name, columns in before.items():
        now = layout.dtypes(name) if name in TABLES else {}
        gone = sorted(column for column, dtype in columns.items() if now.get(column) != dtype)
        key = sorted(set(layout.keys(name) if name in TABLES else ()) - set(columns))
        if gone or key:
            raise InputError(
                f"the club was made by a version with other columns ({name}: {', '.join(gone + key)})",
                where=where,
                remedy="export it with that version and import the folder into a new club",
            )


def add_missing(connection: sa.Connection) -> None:
    """Add the tables and columns that the club lacks."""
    layout.METADATA.create_all(connection)
    inspector = sa.inspect(connection)
    for table in layout.METADATA.sorted_tables:
        held = {column["name"] for column in inspector.get_columns(table.name)}
        for column in table.columns:
            if column.name not in held:
                add_column(connection, table, column)


def add_column(connection: sa.Connection, table: sa.Table, column: sa.Column[object]) -> None:
    """Add one column; where the schema has a default for blanks, older rows get it."""
    quote = connection.dialect.identifier_preparer
    kind = column.type.compile(dialect=connection.dialect)
    name = f"{quote.format_table(table)} ADD COLUMN {quote.format_column(column)}"
    connection.execute(sa.DDL(f"ALTER TABLE {name} {kind}"))
    known = TABLES.get(table.name)
    default = known.column(column.name).default if known is not None else None
    if known is not None and default is not None:
        from paryield.tables.frames import typed_default  # late: it loads pandas

        value = typed_default(known.column(column.name).kind, default)
        connection.execute(table.update().values({column.name: value}))

"""Older clubs brought up to the present layout: in order, in one transaction, and nothing is lost.

Tables and columns that an older club lacks are added, blank or with the default of the schema. A change
that is more than an addition is a step of its own, named by the version that it leaves.
"""

from __future__ import annotations

import json
from collections.abc import Callable

import sqlalchemy as sa

from paryield.club import layout, sums
from paryield.club.adopted import ADOPTED
from paryield.club.designs import DESIGN_MEMBERS, DESIGNS
from paryield.club.layout import READ_FROM
from paryield.club.people import PEOPLE, PEOPLE_GOLFERS, SESSIONS
from paryield.club.registers import AUDIT, COPIES, MARKS
from paryield.errors import InputError
from paryield.tables import TABLES

Step = Callable[[sa.Connection], None]

STEPS: dict[int, Step] = {}
"""What is more than an addition, by the version left behind. Version 1 to 2 only adds: the registers of
copies, of who saw what and of marks, and ``source`` of imports. Version 2 to 3 only adds: who may sign in
and who is signed in, and ``who`` of imports. Version 3 to 4 only adds: the tables strikes and events.
Version 4 to 5 only adds: the checksums of rows, seasons drawn by lot, and what was told about spreadsheets of
a coach's own. Version 5 to 6 only adds: what rows were read from."""

REGISTERS = (
    *(COPIES, AUDIT, MARKS, PEOPLE, PEOPLE_GOLFERS, SESSIONS, ADOPTED, DESIGNS, DESIGN_MEMBERS),
    READ_FROM,
)


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
    check_columns(connection, layout.fact(connection, "columns") or "", where)
    added = add_missing(connection)
    for table in layout.METADATA.sorted_tables:
        if sums.SUM in table.c and table.name in added:
            sums.renew(connection, table, frozenset(added[table.name]))
    for version in range(found, layout.VERSION):
        STEPS.get(version, lambda _: None)(connection)
    layout.set_fact(connection, "columns", layout.columns_now())
    layout.set_fact(connection, "schema_version", str(layout.VERSION))


def check_columns(connection: sa.Connection, stored: str, where: str) -> None:
    """Refuse columns that went or changed their kind, and new parts of a key."""
    before = {name: dict(columns) for name, columns in json.loads(stored).items()}
    held = [
        layout.CLUB_TABLES[name].c[column]
        for name, columns in before.items()
        if name in TABLES
        for column, dtype in columns.items()
        if layout.dtypes(name).get(column) == dtype
    ]
    layout.check_columns(connection, layout.kinds(held, connection), where)
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


def add_missing(connection: sa.Connection) -> dict[str, list[str]]:
    """Add the tables and columns that the club lacks; return the columns added, by table."""
    layout.METADATA.create_all(connection)
    inspector = sa.inspect(connection)
    added: dict[str, list[str]] = {}
    for table in layout.METADATA.sorted_tables:
        held = {column["name"] for column in inspector.get_columns(table.name)}
        for column in table.columns:
            if column.name not in held:
                add_column(connection, table, column)
                added.setdefault(table.name, []).append(column.name)
    return added


def add_column(connection: sa.Connection, table: sa.Table, column: sa.Column[object]) -> None:
    """Add one column; where the schema has a default for blanks, older rows get it."""
    quote = connection.dialect.identifier_preparer
    kind = column.type.compile(dialect=connection.dialect)
    name = f"{quote.format_table(table)} ADD COLUMN {quote.format_column(column)}"
    connection.execute(sa.DDL(f"ALTER TABLE {name} {kind}"))
    known = TABLES.get(table.name) if column.name != sums.SUM else None
    default = known.column(column.name).default if known is not None else None
    if known is not None and default is not None:
        from paryield.tables.frames import typed_default  # late: it loads pandas

        value = typed_default(known.column(column.name).kind, default)
        connection.execute(table.update().values({column.name: value}))

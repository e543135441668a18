"""One person gone from the club: rows, old rows in the history, and the draws that hold him."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

import sqlalchemy as sa

from paryield.club import layout, runs
from paryield.errors import InputError
from paryield.tables import TABLES


@dataclass(frozen=True)
class EraseReceipt:
    """What was erased.

    Parameters
    ----------
    golfer_id : str
        Who.
    erased_at : str
        When (UTC, ISO).
    removed : dict of str to int
        Rows removed, by table.
    old_rows : int
        Earlier values removed from the history of imports.
    runs : tuple of int
        Runs whose draws were removed; answers need a new fit.
    mentions : dict of str to int
        Cells of other rows, by ``table.column``, and names of imported files (``import_files.name``)
        that still hold the golfer's display name; they were left as they are.
    compacted : bool
        Whether the file was rewritten as well; the erased rows are overwritten either way.
    """

    golfer_id: str
    erased_at: str
    removed: dict[str, int]
    old_rows: int
    runs: tuple[int, ...]
    mentions: dict[str, int]
    compacted: bool


def erase(connection: sa.Connection, golfer_id: str, where: str) -> EraseReceipt:
    """Remove every row of a golfer, within the caller's transaction.

    Raises
    ------
    InputError
        When the club holds no such golfer.
    """
    golfers = layout.CLUB_TABLES["golfers"]
    query = sa.select(golfers.c.golfer_id, golfers.c.display_name)
    held = {row.golfer_id: row.display_name for row in connection.execute(query)}
    if golfer_id not in held:
        near = difflib.get_close_matches(golfer_id, held, n=1, cutoff=0.5)
        remedy = f"the nearest is {near[0]}" if near else f"the club holds {len(held)} golfers"
        raise InputError(f"there is no golfer {golfer_id!r}", where=where, remedy=remedy)
    removed = {name: remove(connection, layout.CLUB_TABLES[name], golfer_id) for name in reversed(TABLES)}
    name = held[golfer_id]
    return EraseReceipt(
        golfer_id=golfer_id,
        erased_at=layout.now(),
        removed={table: removed[table] for table in TABLES if removed[table]},
        old_rows=remove(connection, layout.REPLACED_ROWS, golfer_id),
        runs=runs.make_stale(connection, golfer_id),
        mentions=mentions(connection, name) if name else {},
        compacted=False,
    )


def remove(connection: sa.Connection, table: sa.Table, golfer_id: str) -> int:
    """Delete the golfer's rows of one table and return how many there were."""
    return connection.execute(table.delete().where(table.c.golfer_id == golfer_id)).rowcount


def mentions(connection: sa.Connection, name: str) -> dict[str, int]:
    """Count the cells that still hold a name, by table and column."""
    found = {}
    for table in [*layout.CLUB_TABLES.values(), layout.IMPORT_FILES, layout.REPLACED_ROWS]:
        for column in table.columns:
            if isinstance(column.type, sa.Text):
                has = column.contains(name, autoescape=True)
                count = connection.execute(sa.select(sa.func.count()).select_from(table).where(has)).scalar()
                if count:
                    found[f"{table.name}.{column.name}"] = int(count)
    return found

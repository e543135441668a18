"""One person gone from the club: rows, history, draws that hold him, and proof from the file's bytes."""

from __future__ import annotations

import difflib
import json
import struct
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from paryield.club import adopted, designs, layout, people, registers, runs
from paryield.club.mentions import scrub
from paryield.errors import InputError
from paryield.tables import TABLES
from paryield.units import counted

BEYOND = (
    "copies that others made of backups, exports, reports and tables, or of the club file",
    "the spreadsheets that were imported, and answers that were kept beside them",
    "files of what other clubs learnt from this one: they hold sums over its golfers",
    "the memory of a desk that is open, until its next page",
    "what the disk, its snapshots, or a database server's own logs keep of deleted blocks",
)
"""Where a person may still be found after an erasure."""

SHORTEST = 5
"""Bytes that a text needs to be searched for: shorter ones turn up by chance in stored draws (a given
run of 5 bytes is expected 5e-6 times in 5 MB of random bytes)."""

SIDE_FILES = ("", "-journal", "-wal", "-shm")
BLOCK = 2**22


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
        Rows removed, by table; under ``people`` the accounts and links that led to the golfer.
    old_rows : int
        Earlier values removed from the history of imports.
    runs : tuple of int
        Runs whose draws were removed; answers need a new fit.
    scrubbed : dict of str to int
        Cells of other rows, by ``table.column``, in which the name or id was replaced.
    mentions : dict of str to int
        Cells that may still hold the name or id: it is too short or common to replace safely there, or
        the cell is another golfer's id or the path of a copy.
    copies : tuple of dict
        Backups, exports and reports outside that hold the person, or may: kind, path, made_at, state
        (``holds``, ``may hold``, ``not found``, ``cannot be read``); and uploads to an open desk
        (``removed``).
    searched_bytes : int or None
        Bytes of the club file and its side files that were searched afterwards; None for a database.
    found : int
        How many of the person's names, notes and scores still stood there; 0 is the proof.
    compacted : bool
        Whether the file was rewritten as well; the erased rows are overwritten either way.
    beyond : tuple of str
        What no erasure reaches from here, in words.
    """

    golfer_id: str
    erased_at: str
    removed: dict[str, int]
    old_rows: int
    runs: tuple[int, ...]
    scrubbed: dict[str, int]
    mentions: dict[str, int]
    copies: tuple[dict[str, str], ...] = ()
    searched_bytes: int | None = None
    found: int = 0
    compacted: bool = False
    beyond: tuple[str, ...] = ()
    display_name: str | None = field(default=None, repr=False)

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``erase`` command."""
        return {name: value for name, value in vars(self).items() if name != "display_name"}


def known(connection: sa.Connection, golfer_id: str, where: str) -> str | None:
    """Return a golfer's display name.

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
        remedy = f"the nearest is {near[0]}" if near else f"the club holds {counted(len(held), 'golfer')}"
        raise InputError(f"there is no golfer {golfer_id!r}", where=where, remedy=remedy)
    return held[golfer_id]


def held(connection: sa.Connection, golfer_id: str, where: str) -> str | None:
    """Return a golfer's display name; None where only runs, old rows, logs or links still hold the id.

    Raises
    ------
    InputError
        When nothing in the club holds the id.
    """
    try:
        return known(connection, golfer_id, where)
    except InputError:
        columns = [
            table.c.golfer_id for table in layout.METADATA.sorted_tables if "golfer_id" in table.columns
        ]
        for column in columns:
            if connection.execute(sa.select(column).where(column == golfer_id).limit(1)).first() is not None:
                return None
        for text in connection.execute(sa.select(layout.RUNS.c.facts)).scalars():
            listed = json.loads(text).get("golfers")
            if runs.without(listed, golfer_id) != listed:
                return None
        raise


def erase(connection: sa.Connection, golfer_id: str, where: str, who: str) -> EraseReceipt:
    """Remove every row of a golfer, within the caller's transaction.

    Raises
    ------
    InputError
        When the club holds no such golfer.
    """
    name = held(connection, golfer_id, where)
    registers.note(connection, who, registers.ERASED, "everything", [golfer_id])
    accounts = people.unlink(connection, golfer_id)
    seasons = remove(connection, designs.DESIGN_MEMBERS, golfer_id)
    removed = {each: remove(connection, layout.CLUB_TABLES[each], golfer_id) for each in reversed(TABLES)}
    old_rows = remove(connection, layout.REPLACED_ROWS, golfer_id)
    remove(connection, registers.MARKS, golfer_id)
    adopted.forget(connection, golfer_id)
    remove(connection, layout.READ_FROM, golfer_id)
    stale = runs.make_stale(connection, golfer_id)
    scrubbed, left = scrub(connection, [golfer_id, *([name] if name else [])])
    return EraseReceipt(
        golfer_id=golfer_id,
        erased_at=layout.now(),
        removed={table: removed[table] for table in TABLES if removed[table]}
        | ({"people": accounts} if accounts else {})
        | ({"design_members": seasons} if seasons else {}),
        old_rows=old_rows,
        runs=stale,
        scrubbed=scrubbed,
        mentions=left,
        display_name=name,
    )


def remove(connection: sa.Connection, table: sa.Table, golfer_id: str) -> int:
    """Delete the golfer's rows of one table and return how many there were."""
    return connection.execute(table.delete().where(table.c.golfer_id == golfer_id)).rowcount


def needles(connection: sa.Connection, golfer_id: str) -> set[bytes]:
    """Return what the file must not hold afterwards: texts and numbers that are the golfer's alone.

    Numbers with decimals stand in a club file as 8 bytes, the highest first (sqlite.org, Database File
    Format, section 2.1, serial type 7). Whole numbers take 1 to 6 bytes, which says nothing by itself.
    """
    own: set[bytes] = set()
    others: set[bytes] = set()
    for name, table in layout.CLUB_TABLES.items():
        columns = [
            c
            for c in table.columns
            if isinstance(c.type, sa.Text | sa.Double) and not is_choice(name, c.name)
        ]
        kind = [layout.dtypes(name)[column.name] for column in columns]
        place = table.c.golfer_id
        for who, *values in connection.execute(sa.select(place, *columns)):
            found = {form for v, k in zip(values, kind, strict=True) if (form := as_bytes(v, k))}
            (own if who == golfer_id else others).update(found)
    query = sa.select(layout.REPLACED_ROWS.c.old).where(layout.REPLACED_ROWS.c.golfer_id == golfer_id)
    own.update(text.encode() for text in connection.execute(query).scalars() if len(text) > SHORTEST)
    rest = b"\0".join([*others, *words_of_layout()])
    return {needle for needle in own - others if needle not in rest}


def is_choice(table: str, column: str) -> bool:
    """Return whether a column holds words of the schema, such as ``lesson``: they tell of nobody."""
    found = TABLES[table]
    return column in found.names and found.column(column).kind == "choice"


def words_of_layout() -> list[bytes]:
    """Return names of tables and columns: every club file holds them, whoever wrote them in a cell."""
    tables = layout.METADATA.tables.values()
    return [name.encode() for table in tables for name in (table.name, *table.columns.keys())]


def as_bytes(value: object, dtype: str) -> bytes | None:
    """Return a value as the file holds it, None where it is too short or too common to tell."""
    if dtype == "string" and isinstance(value, str):
        text = value.encode()
        return text if len(text) >= SHORTEST else None
    if dtype == "float64" and isinstance(value, float) and not value.is_integer():
        return struct.pack(">d", value)
    return None


def search(path: Path, wanted: Iterable[bytes]) -> tuple[int, set[bytes]]:
    """Search a club file and its side files.

    Returns
    -------
    (int, set of bytes)
        How many bytes were searched, and what was found.
    """
    left, found, size = set(wanted), set(), 0
    keep = max((len(needle) for needle in left), default=1) - 1
    for ending in SIDE_FILES:
        file = path.with_name(path.name + ending)
        if not file.is_file():
            continue
        tail = b""
        with file.open("rb") as stream:
            while block := stream.read(BLOCK):
                size += len(block)
                window = tail + block
                hits = {needle for needle in left if needle in window}
                found |= hits
                left -= hits
                tail = window[-keep:] if keep else b""
    return size, found

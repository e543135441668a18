"""Proof that a person is gone: what stood in the file before is searched for in its bytes afterwards."""

from __future__ import annotations

import struct
from collections.abc import Iterable
from pathlib import Path

import sqlalchemy as sa

from paryield.club import layout
from paryield.tables import TABLES

SHORTEST = 5
"""Bytes that a text needs to be searched for: shorter ones turn up by chance in stored draws (a given
run of 5 bytes is expected 5e-6 times in 5 MB of random bytes)."""

SIDE_FILES = ("", "-journal", "-wal", "-shm")
BLOCK = 2**22


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

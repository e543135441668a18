"""What a batch of spreadsheets was read as, row by row: what stood there, and what would be stored."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from paryield.adopt import Origins
from paryield.adopt.origins import words_of
from paryield.desk.row_words import DAYS, cell_text
from paryield.report.words import balls_text, missing, one_line
from paryield.tables import TABLES, Reading, Tables

A_PAGE = 200
"""Rows that are shown at once."""
UNSAID = ("golfer_id", "round_no", "entry_no", *DAYS)
"""Columns that stand for themselves, or only number the rows of a day."""

STATES = {"done": (), "none": ("no practice",), "unknown": ("how long is not known",)}


@dataclass(frozen=True)
class ReadRow:
    """One row as it was read.

    Parameters
    ----------
    place : str
        File and row.
    wrote : str
        What stands there, where the sheet is a coach's own; blank for a table of the project's own form.
    golfer_id, golfer : str
        Id, and the name as it is on record or as the sheets have it.
    on : date or None
        Its day.
    said : str
        What would be stored: score 84, course rating 71.3.
    held : bool
        Whether the club has a row of the same golfer, day and number already.
    """

    place: str
    wrote: str
    golfer_id: str
    golfer: str
    on: date | None
    said: str
    held: bool


def rows_read(
    reading: Reading,
    table: str,
    origins: Origins | None,
    names: Mapping[str, str],
    known: Tables,
    tables: frozenset[str] = frozenset(),
) -> list[ReadRow]:
    """Return the good rows of one table, in the order in which the sheets have them.

    Parameters
    ----------
    reading : Reading
        Of the batch.
    table : str
    origins : Origins or None
        Where the rows stood in a coach's own sheets; None for tables of the project's own form.
    names : mapping
        Name by golfer id of those on record.
    known : Tables
        The club's.
    tables : frozenset of str
        Files and sheets that are tables and came with a coach's own.
    """
    frame: pd.DataFrame = getattr(reading.tables, table)
    if frame.empty:
        return []
    named = {**_named(reading), **names}
    held = set(_keys(table, getattr(known, table)))
    found = []
    at = reading.places[table]
    places = zip(at["file"].astype(str), at["row"].astype(int), strict=True)
    each = zip(frame.to_dict("records"), _keys(table, frame), places, reading.stated[table], strict=True)
    for row, key, (file, number), stated in each:
        own = None if file in tables else origins
        place = "" if own is None else own.place(table, number)
        golfer_id = "" if missing(row.get("golfer_id")) else str(row["golfer_id"])
        found.append(
            ReadRow(
                place or f"{file}, row {number}",
                "" if own is None else own.written(table, number),
                golfer_id,
                one_line(named.get(golfer_id, golfer_id)),
                next((row[name].date() for name in DAYS if not missing(row.get(name))), None),
                said_of(table, {name: row[name] for name in TABLES[table].names if name in stated}),
                key in held,
            )
        )
    return found if origins is None else sorted(found, key=lambda one: _in_sheet(one.place))


def said_of(table: str, row: Mapping[str, Any]) -> str:
    """Return what a row holds, in words; its golfer and day are left out."""
    parts = []
    for name, value in row.items():
        if name in UNSAID or missing(value):
            continue
        if name in ("category", "test", "kind", "display_name"):
            parts.append(one_line(value, 60).replace("_", " "))
        elif name == "state":
            parts += STATES[str(value)]
        elif name == "minutes":
            parts.append(f"{value:g} min")
        elif name == "reps":
            parts.append(balls_text(value, str(row.get("category") or "")))
        elif isinstance(value, pd.Timestamp):
            parts.append(f"{words_of(name)} {value.date().isoformat()}")
        else:
            parts.append(f"{words_of(name)} {cell_text(table, name, value)}")
    return ", ".join(parts)


def _named(reading: Reading) -> dict[str, str]:
    people = reading.tables.golfers
    pairs = zip(people["golfer_id"], people["display_name"], strict=True)
    return {str(golfer): str(golfer if missing(name) else name) for golfer, name in pairs}


def _keys(table: str, frame: pd.DataFrame) -> Iterator[tuple[Any, ...]]:
    """Yield the key of each row as text."""
    columns = [frame[name].astype("string").fillna("") for name in TABLES[table].key]
    yield from zip(*columns, strict=True)


def _in_sheet(place: str) -> tuple[str, int]:
    sheet, _, number = place.rpartition(", row ")
    return sheet, int(number) if number.isdigit() else 0

"""A fingerprint of what a row was read from, the same however it is read."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import date

from paryield.adopt.days import Order, read_date

DAYS = ("assessed_on", "practised_on", "played_on")
ORDERS: tuple[Order, ...] = ("day first", "month first")


def fingerprint(table: str, place: str, wrote: str, row: Mapping[str, str], today: date) -> str:
    """Return the fingerprint of what a row was read from: its sheet, its text, and its day where needed.

    Rows of a sheet may move, and its golfers, days, tests and kinds be read otherwise, and it stays the same.
    The day stands in it only where the text does not say it, as where it is written once over several rows.

    Parameters
    ----------
    table : str
    place : str
        ``file, sheet X, row 7``.
    wrote : str
        What stands there: the cells with ``|`` between them.
    row : mapping of str to str
        What it was read as, by the columns of the table.
    """
    day = next((row[name] for name in DAYS if name in row), "")
    told = "" if day and _says(wrote, date.fromisoformat(day), today) else day
    text = json.dumps([table, place.rpartition(", row ")[0], wrote, told])
    return hashlib.sha256(text.encode()).hexdigest()


def _says(wrote: str, day: date, today: date) -> bool:
    """Whether a cell says a day, in either order of day and month, whatever its year."""
    cells = (cell for cell in wrote.split(" | ") if any(map(str.isdigit, cell)))
    read = (read_date(cell, order, today) for cell in cells for order in ORDERS)
    return any(one is not None and (one.day, one.month) == (day.day, day.month) for one in read)

"""Putting that is shared in equal parts between short and lag putting."""

from __future__ import annotations

import math
from dataclasses import replace

from paryield.adopt.log import Entry

MADE_OF_BOTH = (
    "made and tried of putting that is shared between short and lag putting: whose they are nobody knows, so "
    "they are kept as a remark"
)
"""What is told of them."""
HALF = {"short putting": "short_putting", "lag putting": "lag_putting"}
"""The two parts, by their phrase."""


def halves(entry: Entry, counted: bool) -> list[Entry]:
    """Return two entries of short and lag putting with half of the amounts each."""

    def half(number: float | None, over: bool) -> float | None:
        return None if number is None else math.ceil(number / 2) if over else math.floor(number / 2)

    if counted and entry.bare is not None:
        entry = replace(entry, reps=entry.bare, bare=None)
    return [
        replace(
            entry,
            phrase=phrase,
            minutes=None if entry.minutes is None else entry.minutes / 2,
            bare=None if entry.bare is None else entry.bare / 2,
            reps=half(entry.reps, over),
            made=None,
            tried=None,
        )
        for phrase, over in (("short putting", True), ("lag putting", False))
    ]

"""Days as whole numbers, and the dates that they stand for."""

from __future__ import annotations

from datetime import date, timedelta

EPOCH = date(1970, 1, 1)
"""Day 0, as NumPy counts days (``datetime64[D]``)."""


def date_of(day: int) -> date:
    """Return the date of a day since 1970-01-01."""
    return EPOCH + timedelta(days=int(day))

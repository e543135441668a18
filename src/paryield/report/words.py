"""Numbers, dates and chances as a reader says them."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pandas as pd

MINUS, NBSP = "−", "\u00a0"
NO_VALUE = "not known"
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def one_line(text: Any, longest: int | None = None) -> str:
    """Return the text on one line, without control characters, cut with an ellipsis when too long."""
    flat = " ".join("".join(c if c.isprintable() else " " for c in str(text)).split())
    if longest is not None and len(flat) > longest:
        return flat[: longest - 1].rstrip() + "…"
    return flat


def number(value: float | None, digits: int = 1) -> str:
    """Return a number with a real minus sign; a missing one is said to be missing."""
    if missing(value):
        return NO_VALUE
    text = f"{float(value):.{digits}f}"  # type: ignore[arg-type]
    if float(text) == 0:
        return text.lstrip("-")
    return text.replace("-", MINUS)


def missing(value: Any) -> bool:
    """Return whether a cell is blank: None, NaN, NaT or NA."""
    return (
        value is None or value is pd.NaT or value is pd.NA or (isinstance(value, float) and math.isnan(value))
    )


def index_text(value: float | None) -> str:
    """Return a Handicap Index as golfers write it.

    A plus handicap is stored as a negative number and written with a plus sign (Rules of Handicapping).
    """
    if missing(value):
        return NO_VALUE
    text = f"{abs(float(value)):.1f}"  # type: ignore[arg-type]
    return f"+{text}" if float(value) < 0 and float(text) != 0 else text  # type: ignore[arg-type]


def chance_text(chance: float | None) -> str:
    """Return a chance between 0 and 1 as a percentage that never claims certainty."""
    if missing(chance):
        return NO_VALUE
    share = float(chance)  # type: ignore[arg-type]
    if not 0 <= share <= 1:
        raise ValueError(f"a chance lies between 0 and 1, found {share}")
    if share < 0.01:
        return f"under 1{NBSP}%"
    if share > 0.99:
        return f"over 99{NBSP}%"
    return f"{share * 100:.0f}{NBSP}%"


def strokes(value: float, digits: int = 1) -> str:
    """Return a number of strokes with its unit."""
    text = number(value, digits)
    return f"{text} stroke" if float(f"{value:.{digits}f}") == 1 else f"{text} strokes"


def day(value: Any) -> str:
    """Return a date as 5 July 2026."""
    when = as_date(value)
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def as_date(value: Any) -> date:
    """Return the calendar date of a date, a timestamp or an ISO text."""
    stamp = pd.Timestamp(value)
    if pd.isna(stamp):
        raise ValueError(f"not a date: {value!r}")
    return stamp.date()


def category_text(category: str) -> str:
    """Return a practice category in plain words: ``short_putting`` is short putting."""
    return one_line(category).replace("_", " ")


def sentence(text: str) -> str:
    """Return the text with a capital at the start."""
    return text[:1].upper() + text[1:]


def weeks_text(weeks: int) -> str:
    """Return a number of weeks with its unit."""
    return "1 week" if weeks == 1 else f"{weeks} weeks"


def listed(items: list[str]) -> str:
    """Return the items as a list in a sentence: a, b and c."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"

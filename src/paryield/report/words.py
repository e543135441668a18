"""Numbers, dates and chances as a reader says them."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from babel.dates import format_date, format_skeleton
from babel.numbers import format_decimal

from paryield.report.reader import decimal_point, locale, reader
from paryield.units import FEET_PER_YARD, from_yards, hours_words

MINUS, NBSP = "−", "\u00a0"
YARDS_PER_FOOT = 1.0 / FEET_PER_YARD
NO_VALUE = "not known"
BLANKS = ("NaTType", "NAType")
"""Types of pandas' blanks, by name: words alone need not load it."""


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
    plain = text.lstrip("-") if float(text) == 0 else text.replace("-", MINUS)
    return plain.replace(".", decimal_point())


def span(low: float | None, high: float | None, digits: int = 1) -> str:
    """Return a range: 1.2 to 3.4."""
    return f"{number(low, digits)} to {number(high, digits)}"


def middle_span(found: Mapping[str, Any], digits: int = 1) -> str:
    """Return the middle value of quantiles and the range that holds 8 in 10: 2.3 (1.2 to 3.4)."""
    return f"{number(found['q50'], digits)} ({span(found['q10'], found['q90'], digits)})"


def missing(value: Any) -> bool:
    """Return whether a cell is blank: None, NaN, NaT or NA."""
    if isinstance(value, float):
        return math.isnan(value)
    return value is None or type(value).__name__ in BLANKS


def index_text(value: float | None) -> str:
    """Return a Handicap Index as golfers write it.

    A plus handicap is stored as a negative number and written with a plus sign (Rules of Handicapping).
    """
    if missing(value):
        return NO_VALUE
    text = f"{abs(float(value)):.1f}"  # type: ignore[arg-type]
    plus = "+" if float(value) < 0 and float(text) != 0 else ""  # type: ignore[arg-type]
    return plus + text.replace(".", decimal_point())


def index_span(low: float | None, high: float | None) -> str:
    """Return a range of the index from the better end; where it passes scratch, it says so."""
    if not missing(low) and not missing(high) and index_text(low).startswith("+"):
        if not index_text(high).startswith("+"):
            return f"{index_text(low)}, better than scratch, to {index_text(high)}"
        return f"{index_text(low)}, the better, to {index_text(high)}"
    return f"{index_text(low)} to {index_text(high)}"


def index_tick(value: float) -> str:
    """Return a Handicap Index on an axis, without a decimal that is 0."""
    return index_text(value).removesuffix(f"{decimal_point()}0")


def tick(value: float, *, signed: bool = False) -> str:
    """Return a number on an axis, with as few digits as it needs."""
    text = f"+{value:g}" if signed and value > 0 else f"{value:g}"
    return text.replace("-", MINUS).replace(".", decimal_point())


def count_text(value: int) -> str:
    """Return a whole number with its groups of three as the reader writes them."""
    return str(format_decimal(value, locale=locale()))


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


LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th"})


def by_name(name: str) -> str:
    """Return the key by which names are put in order: without case, accents and apostrophes."""
    parts = unicodedata.normalize("NFD", name.casefold().translate(LETTERS))
    return "".join(one for one in parts if not unicodedata.combining(one) and one not in "'’")


def strokes(value: float, digits: int = 1) -> str:
    """Return a number of strokes with its unit."""
    text = number(value, digits)
    return f"{text} stroke" if float(f"{value:.{digits}f}") == 1 else f"{text} strokes"


def day(value: Any) -> str:
    """Return a date as the reader writes it: 5 July 2026."""
    return str(format_date(as_date(value), format="long", locale=locale()))


def weekday(value: Any) -> str:
    """Return a date with its day of the week as the reader writes it, without the year: Tuesday 7 July."""
    when = as_date(value)
    name = format_date(when, format="EEEE", locale=locale())
    return f"{name} {format_skeleton('MMMMd', when, locale=locale())}"


def time_text(hours: float | None) -> str:
    """Return hours as a person says them, to the minute on every page: 34 min, 1 h 22 min, 3 h."""
    if missing(hours):
        return NO_VALUE
    return hours_words(float(hours))  # type: ignore[arg-type]


def month(value: Any, between: str = " ") -> str:
    """Return a month and its year in short, for an axis: Jul 2026."""
    when = as_date(value)
    return f"{format_date(when, format='LLL', locale=locale())}{between}{when.year}"


def distance_text(yards: float) -> str:
    """Return a distance in the reader's unit, in whole yards or metres."""
    unit = reader().distance_unit
    return f"{number(from_yards(yards, unit), 0)} {unit}"


def putt_text(feet: float) -> str:
    """Return the length of a putt: in feet where distances are in yards, else in metres."""
    if reader().distance_unit == "yd":
        return f"{tick(feet)} ft"
    return f"{number(from_yards(feet * YARDS_PER_FOOT, 'm'))} m"


def as_date(value: Any) -> date:
    """Return the calendar date of a date, a timestamp or an ISO text."""
    if missing(value):
        raise ValueError(f"not a date: {value!r}")
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    import pandas as pd

    return pd.Timestamp(value).date()


NO_BALL = ("strength", "mobility")
"""Categories that are practised without a ball."""


def category_text(category: str) -> str:
    """Return a practice category in plain words: ``short_putting`` is short putting."""
    return one_line(category).replace("_", " ")


def balls_text(count: float, category: str) -> str:
    """Return how often something is practised: 100 balls; repetitions where no ball is hit."""
    one = "repetition" if category in NO_BALL else "ball"
    return f"{count:g} {one}{'' if count == 1 else 's'}"


def area_text(area: str) -> str:
    """Return a scoring area in plain words: ``short_game`` is short game."""
    return one_line(area).replace("_", " ")


def sentence(text: str) -> str:
    """Return the text with a capital at the start."""
    return text[:1].upper() + text[1:]


def weeks_text(weeks: int) -> str:
    """Return a number of weeks with its unit."""
    return "1 week" if weeks == 1 else f"{weeks} weeks"

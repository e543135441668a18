"""One cell at a time: text to a value of its column's kind, or what is wrong with it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from difflib import get_close_matches

from paryield.days import EPOCH
from paryield.tables.schema import Column

Value = float | str | None

NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+", re.ASCII)
THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+", re.ASCII)
ISO_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00(?:\.0+)?)?Z?)?", re.ASCII)
YEAR_FIRST = re.compile(r"(\d{4})[-./ ]?(\d{1,2})[-./ ]?(\d{1,2})(?:[T ].*)?", re.ASCII)
YEAR_LAST = re.compile(r"(\d{1,2})[-./ ](\d{1,2})[-./ ](\d{4}|\d{2})(?:[T ].*)?", re.ASCII)
DAY_NUMBER = re.compile(r"(\d{5})(?:\.\d*)?", re.ASCII)
CLOCK = re.compile(r"(\d{1,2})(?::|\s*h\s*)(\d{2})(?::00)?(?:\s*m(?:in)?)?", re.ASCII | re.IGNORECASE)
PROTECTED = re.compile(r"'(?='*(?:[=+\-@#\s\uff1d\uff0b\uff0d\uff20]|[\s\S]*\s\Z))")
SIGNS = r"=+\-@\uff1d\uff0b\uff0d\uff20"
SPLIT = re.compile(rf"(?<=[;\t\r\n])('*)(?=[^\S\t\r\n]*[{SIGNS}])")
"""Where a program that takes semicolons, tabs or line ends for the end of a cell would see a formula."""
NOT_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

YES_NO = {"yes": 1.0, "y": 1.0, "true": 1.0, "1": 1.0, "no": 0.0, "n": 0.0, "false": 0.0, "0": 0.0}
LONGEST_TEXT = 10_000
FIRST_YEAR, LAST_YEAR = 1950, 2100
SPREADSHEET_EPOCH = date(1899, 12, 30)
"""Day 0 of the 1900 date system of spreadsheets, right from 1 March 1900 on (ECMA-376, part 1, 18.17.4.1)."""


@dataclass(frozen=True)
class Fault:
    """What is wrong with a cell and what to do about it."""

    message: str
    remedy: str


class CellReader:
    """Reads the cells of one column; the same text is parsed only once.

    Numbers, yes/no (1 and 0) and dates (days since 1970-01-01) become floats with NaN for a blank; text
    becomes str or None.

    Parameters
    ----------
    column : Column
        Column of the schema.
    today : date
        Last day accepted where the column lies in the past.
    """

    def __init__(self, column: Column, today: date) -> None:
        self.column = column
        self.today = today
        self.faults: dict[str, Fault] = {}
        self._values: dict[str, Value] = {}

    def read(self, texts: Sequence[str]) -> list[Value]:
        """Return the values of the cells; those in ``faults`` are blank."""
        values = self._values
        if len(values) > 200_000:
            values.clear()
            self.faults.clear()
        for text in dict.fromkeys(texts):
            if text not in values:
                values[text] = self.value(text)
        return [values[text] for text in texts]

    def value(self, text: str) -> Value:
        """Return the value of one cell, and note a fault."""
        found = self._parse(text)
        if isinstance(found, Fault):
            self.faults[text] = found
            return None if self.column.kind in ("text", "choice") else math.nan
        return found

    def _parse(self, text: str) -> Value | Fault:
        kind = self.column.kind
        raw, bare = text_of(text), text.strip().removeprefix("'").strip()
        if raw is None:
            if self.column.needed:
                return Fault("is blank, but every row needs it", "fill it in, or take the row out")
            if self.column.default is not None:
                return self._parse(self.column.default)
            return None if kind in ("text", "choice") else math.nan
        if kind == "text":
            return _text(raw)
        if kind == "choice":
            return _choice(bare.lower(), self.column.choices)
        if kind == "date":
            return _date(bare, self.column, self.today)
        if kind == "yes_no":
            return YES_NO.get(
                bare.lower(), Fault("is neither yes nor no", "write yes or no, or leave it blank")
            )
        found = _number(bare, self.column)
        if self.column.past and isinstance(found, float) and found > self.today.year:
            return Fault(f"lies in the future (today is {self.today})", "check the year")
        return found


def text_of(cell: str) -> str | None:
    """Return the text of a cell: trimmed, or as it is behind a protecting apostrophe; None when blank."""
    begun = SPLIT.sub(lambda found: found[1][1:], cell.lstrip())
    if PROTECTED.match(begun):
        return begun[1:]
    return begun.rstrip() or None


def protect(text: str) -> str:
    """Return text that no spreadsheet takes for a formula or a comment; :func:`text_of` undoes it.

    An apostrophe goes in front, and behind each semicolon, tab or line end that a formula would follow.
    """
    inside = SPLIT.sub(r"'\1", text)
    return "'" + inside if PROTECTED.match("'" + inside) else inside


def _text(text: str) -> str | Fault:
    if len(text) > LONGEST_TEXT:
        return Fault(f"holds {len(text)} characters, more than {LONGEST_TEXT}", "shorten the text")
    if NOT_TEXT.search(text):
        return Fault("holds a control character", "type the cell again")
    return text


def _choice(text: str, choices: tuple[str, ...]) -> str | Fault:
    word = text.replace(" ", "_").replace("-", "_")
    if word in choices:
        return word
    near = get_close_matches(word, choices, n=1, cutoff=0.6)
    hint = f"; nearest is {near[0]}" if near else ""
    return Fault("is not a word that this column knows", f"write one of {', '.join(choices)}{hint}")


def _number(text: str, column: Column) -> float | Fault:
    text = text.replace("\N{MINUS SIGN}", "-")
    could_be_thousands = column.kind == "count" or column.high is None or column.high >= 200
    if could_be_thousands and THOUSANDS.fullmatch(text):
        plain, point = text.replace(",", ""), text.replace(",", ".", 1)
        return Fault("may be thousands or a decimal comma", f"write {plain} or {point}")
    if COMMA_NUMBER.fullmatch(text):
        text = text.replace(",", ".")
    if not NUMBER.fullmatch(text):
        return _not_a_number(text, column)
    value = float(text)
    if column.kind in ("index", "differential") and text.startswith("+"):
        value = 0.0 - value
    if column.kind == "count" and math.isfinite(value) and not value.is_integer():
        return Fault("is not a whole number", "write a whole number, or leave it blank when it is unknown")
    return _in_range(value, column)


def _not_a_number(text: str, column: Column) -> Fault:
    clock = CLOCK.fullmatch(text)
    if clock and column.name.endswith("minutes"):
        minutes = 60 * int(clock[1]) + int(clock[2])
        return Fault("is a time, not a number of minutes", f"write {minutes} for {clock[1]} h {clock[2]} min")
    kind = "a whole number" if column.kind == "count" else "a number"
    return Fault(
        f"is not {kind}", f"write {kind} without unit or words, or leave it blank when it is unknown"
    )


def _in_range(value: float, column: Column) -> float | Fault:
    low = -math.inf if column.low is None else column.low
    high = 1e12 if column.high is None else column.high
    if low <= value <= high:
        return value
    remedy = column.hint or "check the value, or leave it blank when it is unknown"
    if low == 0 and value < 0:
        return Fault("cannot be negative", remedy)
    return Fault(f"must lie between {low:g} and {high:g}", remedy)


def _date(text: str, column: Column, today: date) -> float | Fault:
    iso = ISO_DATE.fullmatch(text)
    if not iso:
        return _not_iso(text)
    day = _day(*map(int, iso.groups()))
    if day is None:
        return Fault("is not a day of the calendar", "check the day and the month")
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        return Fault(f"lies outside the years {FIRST_YEAR} to {LAST_YEAR}", "check the year")
    if column.past and day > today:
        return Fault(f"lies in the future (today is {today})", "check the date, above all the year")
    return float((day - EPOCH).days)


def _not_iso(text: str) -> Fault:
    if serial := DAY_NUMBER.fullmatch(text):
        day = SPREADSHEET_EPOCH + timedelta(days=int(serial[1]))
        return Fault(
            "is the day number of a spreadsheet, not a date", f"write {day} if that is the day meant"
        )
    if last := YEAR_LAST.fullmatch(text):
        first, second, year = (int(part) for part in last.groups())
        year += 2000 if year < 100 else 0
        by_day, by_month = _day(year, second, first), _day(year, first, second)
        if by_day and by_month and by_day != by_month:
            return Fault(
                "may be read day first or month first",
                f"write {by_day} (day first) or {by_month} (month first)",
            )
        if by_day or by_month:
            return Fault("is not written as year-month-day", f"write {by_day or by_month}")
    if first_year := YEAR_FIRST.fullmatch(text):
        day_meant = _day(*map(int, first_year.groups()))
        if day_meant:
            return Fault("is not written as year-month-day alone", f"write {day_meant}")
    return Fault("is not a date", "write year-month-day, such as 2026-03-01")


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None

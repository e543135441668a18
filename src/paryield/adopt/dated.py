"""Tests with the golfers down, a column a day, and how many were tried in a line above."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.days import read_date
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tests_named import named_test
from paryield.adopt.values import sums_up
from paryield.adopt.words import begins_sum, meaning_of, practice_of

WORDS = (
    r"(?:out of|of|from|max\.?|aus|von|sur|de|sobre|su|di|van|uit|av|af)\s+(\d{1,3})(?:\s+[^\W\d]+\.?)?"
    r"|(\d{1,3})\s+(?:balls|tries|attempts|versuche|b[äa]e?lle|essais|balles|intentos|bolas|tentativi|palline"
    r"|pogingen|ballen|f[öo]rs[öo]k|bollar|baller)"
)
TRIED = re.compile(
    rf"\s*[,;:–-]?\s*[(\[]\s*(?:{WORDS})\s*[)\]]\s*$|\s*[,;:–-]\s*(?:{WORDS})\s*$", re.IGNORECASE
)
"""How many were tried, at the end of a heading: ``(out of 20)``, ``, aus 15``."""
WHO, WHEN = "Player", "Date"


def heading_of(row: Sequence[Cell]) -> tuple[str, float] | None:
    """Return the name of a test and how many were tried, where a line says both and nothing else."""
    filled = [cell for cell in row if cell is not None]
    if not 1 <= len(filled) <= 2 or not all(isinstance(cell, str) for cell in filled):
        return None
    text = ", ".join(str(cell).strip(" ,") for cell in filled)
    match = TRIED.search(text)
    if match is None or practice_of(text[: match.start()]) is None:
        return None
    return text[: match.start()].strip(), float(next(filter(None, match.groups())))


def day_columns(row: Sequence[Cell], today: date) -> tuple[int, dict[int, Cell]] | None:
    """Return the column of the golfers and those of the days, where a header has these and averages alone."""
    who, days = None, dict[int, Cell]()
    for place, cell in enumerate(row):
        if cell is None or (place and isinstance(cell, str) and _beside(cell)):
            continue
        if who is None and isinstance(cell, str) and meaning_of(cell) == "golfer":
            who = place
        elif who is not None and _is_day(cell, today):
            days[place] = cell
        else:
            return None
    return (who, days) if who is not None and days else None


def _is_day(cell: Cell, today: date) -> bool:
    return isinstance(cell, date | str) and read_date(cell, "day first", today) is not None


def _beside(cell: str) -> bool:
    """Whether a heading is that of a sum or an average, or of remarks."""
    return begins_sum(cell) or meaning_of(cell) == "note"


def by_test_days(sheet: Sheet, today: date) -> Sheet:
    """Return tests with a column a day as one list with a row a result, else the sheet as it is.

    Several may stand one below the other, each under its own heading. A list whose heading does not say how
    many were tried is left for others to read where it is the only one, else its rows name no test.
    """
    heads = {place: found for place, row in enumerate(sheet.rows) if (found := day_columns(row, today))}
    told = {place: _above(sheet, place) for place in heads}
    if not any(told.values()):
        return sheet
    rows: list[list[Cell]] = [[WHEN, WHO, "Test", "Distance ft", "Made", "Tried"]]
    numbers = [sheet.number_of(min(heads) + 1)]
    head: int | None = None
    for place, row in enumerate(sheet.rows):
        if place in heads:
            head = place
        elif head is not None and sum(cell is not None for cell in row) > 1 and not sums_up(row):
            rows += (added := _results(row, heads[head], told[head]))
            numbers += [sheet.number_of(place + 1)] * len(added)
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark="tests, a column a day")


def _above(sheet: Sheet, place: int) -> tuple[str, float] | None:
    """Return what the nearest line above a header that is not blank says."""
    above = next((row for row in reversed(sheet.rows[:place]) if any(cell is not None for cell in row)), None)
    return None if above is None else heading_of(above)


def _results(
    row: Sequence[Cell],
    held: tuple[int, dict[int, Cell]],
    told: tuple[str, float] | None,
) -> list[list[Cell]]:
    who, days = held
    name = row[who] if who < len(row) else None
    if not isinstance(name, str):
        return []
    one = None if told is None else named_test(told[0], told[1])
    out: list[list[Cell]] = []
    for place, day in days.items():
        cell = row[place] if place < len(row) else None
        if cell is not None:
            beside = (None, None) if one is None else (one.said, one.feet)
            out.append([day, name, *beside, cell, None if one is None else one.tried])
    return out

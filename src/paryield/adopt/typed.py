"""The header above columns of one type each, days with a time of day, and logs of several kinds of entry."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.days import read_date
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.values import read_minutes, read_number
from paryield.adopt.words import meaning_of, plain

HEADER_ROWS = 40
TYPED = 0.8
"""Share of a column's cells that must be days or numbers for it to be one of these. [judgement]"""
LEAST_COLUMNS, LEAST_ROWS = 3, 4
MOST_KINDS = 5
MOSTLY = 0.5
"""Share of a row's cells above which numbers make it an entry, not a header. [judgement]"""
NUMBER = re.compile(r"\s*[+-]?\d+(?:[.,]\d+)?\s*")
STAMP = re.compile(r"\S*\d\S*[ T]+\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?:\s*[ap]\.?m\.?)?\s*Z?", re.IGNORECASE)
"""A day with a time of day."""
DATE = "Date"


def typed_header(sheet: Sheet, today: date) -> int | None:
    """Return the first row, from 1, of text alone, no two the same, over columns of days or numbers.

    None where there is no such row over two columns and at least four rows, or the row above it says more.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        filled = [place for place, cell in enumerate(row) if cell is not None]
        if len(filled) < LEAST_COLUMNS:
            continue
        names = [plain(row[place]) for place in filled]
        texts = all(isinstance(row[place], str) and not is_typed(row[place], today) for place in filled)
        below = [one for one in sheet.rows[number:] if any(cell is not None for cell in one)]
        if not texts or len(set(names)) < len(names) or len(below) < LEAST_ROWS:
            return None
        typed = [place for place in filled if _share(below, place, today) >= TYPED]
        return number if len(typed) >= 2 else None
    return None


def is_typed(cell: Cell, today: date) -> bool:
    """Whether a cell holds a day or a number."""
    if isinstance(cell, date | float):
        return True
    return read_date(cell, "day first", today) is not None or read_number(cell) is not None


def is_entry(sheet: Sheet, number: int, row: Sequence[Cell], today: date) -> bool:
    """Whether a row, from 1, is an entry and no header: it holds numbers, or one day of a column of days."""
    filled = [place for place, cell in enumerate(row) if cell is not None]
    numbers = sum(isinstance(row[place], float) or NUMBER.fullmatch(str(row[place])) is not None
                  for place in filled)  # fmt: skip
    days = [place for place in filled if _is_day(row[place], today)]
    if filled and numbers > MOSTLY * len(filled) and len(days) < 2:
        return True
    if len(days) != 1 or len(filled) < 2:
        return False
    others = (cell_at(other, days[0]) for place, other in enumerate(sheet.rows, 1) if place != number)
    return any(_is_day(cell, today) for cell in others)


def over_days(sheet: Sheet, number: int, place: int, today: date) -> bool:
    """Whether most filled cells of a column below a row, from 1, are days, and the first one is."""
    cells = [cell for row in sheet.rows[number:] if (cell := cell_at(row, place)) is not None]
    days = [_is_day(cell, today) for cell in cells]
    return bool(days) and days[0] and sum(days) >= TYPED * len(days)


def _is_day(cell: Cell, today: date) -> bool:
    return read_date(cell, "day first", today) is not None


def _share(rows: Sequence[Sequence[Cell]], place: int, today: date) -> float:
    cells = [row[place] for row in rows if place < len(row) and row[place] is not None]
    told = sum(is_typed(cell, today) or read_minutes(cell) is not None for cell in cells)
    return told / len(cells) if cells else 0.0


def stamped(sheet: Sheet, today: date) -> Sheet:
    """Return a sheet whose rows have the day on which they were written down where they name no other.

    A column of days with a time of day, or of days under a heading that says nothing, fills the gaps of the
    one that says when; where there is none, it says when itself.
    """
    number = typed_header(sheet, today)
    if number is None:
        return sheet
    top, below = sheet.rows[number - 1], sheet.rows[number:]
    dated = [place for place, cell in enumerate(top) if cell is not None and meaning_of(cell) == "date"]
    stamps = [place for place in range(len(top)) if place not in dated and _is_stamp(below, place, today)]
    if not stamps or len(dated) > 1:
        return sheet
    stamp = stamps[0]
    gaps = bool(dated) and any(cell_at(row, dated[0]) is None for row in below if any(row))
    if dated and not gaps:
        return sheet
    if not dated and meaning_of(top[stamp]) is not None:
        return sheet
    rows: list[list[Cell]] = [[*row] for row in sheet.rows]
    for row in rows[number:]:
        if not any(cell is not None for cell in row):
            continue
        row += [None] * (len(top) - len(row))
        if dated:
            row[dated[0]] = row[stamp] if row[dated[0]] is None else row[dated[0]]
            row[stamp] = None
    rows[number - 1][stamp] = None if dated else DATE
    return replace(sheet, rows=rows)


def _is_stamp(rows: Sequence[Sequence[Cell]], place: int, today: date) -> bool:
    """Whether a column is filled with days, in text with a time of day behind each."""
    cells = [cell_at(row, place) for row in rows if any(cell is not None for cell in row)]
    told = [
        isinstance(cell, date)
        or (isinstance(cell, str) and STAMP.fullmatch(cell) and read_date(cell, "day first", today))
        for cell in cells
    ]
    return bool(cells) and sum(map(bool, told)) >= TYPED * len(cells)


def kinds_apart(sheet: Sheet, today: date) -> list[Sheet]:
    """Return a log of several kinds of entry as one sheet a kind, else the sheet as it is.

    A column says the kind where it has few values, and each of them has columns that no other fills.
    """
    number = typed_header(sheet, today)
    if number is None:
        return [sheet]
    top = sheet.rows[number - 1]
    below = [
        (place, [*row, *[None] * (len(top) - len(row))])
        for place, row in enumerate(sheet.rows[number:], number + 1)
        if any(cell is not None for cell in row)
    ]
    for column, cell in enumerate(top):
        if cell is not None and (kinds := _kinds([row for _, row in below], column, len(top))):
            return [*_each(sheet, number, column, kinds, below)]
    return [sheet]


def _kinds(rows: Sequence[Sequence[Cell]], column: int, width: int) -> dict[str, set[int]]:
    """Return the values of a column with the columns that each fills, where they tell kinds apart."""
    values = [row[column] for row in rows]
    if any(not isinstance(value, str) for value in values):
        return {}
    told = {plain(value): set[int]() for value in values}
    if not 2 <= len(told) <= MOST_KINDS or len(rows) < 2 * len(told):
        return {}
    for row in rows:
        told[plain(row[column])] |= {place for place in range(width) if row[place] is not None}
    for kind, places in told.items():
        others = set[int]().union(*(filled for other, filled in told.items() if other != kind))
        if not places - others:
            return {}
    return told


def _each(
    sheet: Sheet,
    number: int,
    column: int,
    kinds: dict[str, set[int]],
    below: Sequence[tuple[int, list[Cell]]],
) -> Iterator[Sheet]:
    top = sheet.rows[number - 1]
    for kind, places in kinds.items():
        kept = [place for place in range(len(top)) if place in places and place != column]
        rows = [*([*row] for row in sheet.rows[: number - 1]), [top[place] for place in kept]]
        numbers = [sheet.number_of(place) for place in range(1, number + 1)]
        for place, row in below:
            if plain(row[column]) == kind:
                rows.append([row[one] for one in kept])
                numbers.append(sheet.number_of(place))
        yield replace(sheet, rows=rows, numbers=tuple(numbers), spans=())

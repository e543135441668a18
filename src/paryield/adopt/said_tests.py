"""Sheets that read like practice and hold tests, as somebody said: turned so that every result has a row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.dated import by_test_days
from paryield.adopt.layout import Layout, signature
from paryield.adopt.log import read_log
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.tested import ADDED, WHEN, column_a_test, out_of_row, sums

NAMES = ("golfer", "golfer_id", "first_name", "last_name")
DAYS = ("date", "week", "week_ending")
WHAT = ("category", "test", "log", "note")
AMOUNTS = ("made", "reps", "minutes", "hours", "value")
"""Columns that may hold the result of a row, the likeliest first."""


def as_said(sheet: Sheet, layout: Layout, today: date) -> Sheet:
    """Return a sheet of tests with a row a result.

    Its columns may be days, tests, or what was tested and how many; in a log in words, results are such as
    ``putts 7/10``. A cell that is no result is kept as it is, so that it is told of.
    """
    if (turned := by_test_days(sheet, today, said=True)) is not sheet:
        return turned
    days = {place: day for place, day in layout.spread.items() if isinstance(day, date)}
    if layout.kind == "wide practice" and days:
        return _list(sheet, layout, _by_days(sheet, layout, days))
    if layout.kind == "wide practice":
        return column_a_test(sheet, layout.header, today, said=True) or sheet
    return _list(sheet, layout, _by_rows(sheet, layout))


def _list(sheet: Sheet, layout: Layout, results: Iterator[tuple[int, list[Cell]]]) -> Sheet:
    """Return results with the lines above them under one header: names, day, test, distance, made, tried."""
    top = sheet.rows[layout.header - 1]
    names = [place for place, held in layout.columns.items() if held in NAMES]
    nameless = not any(layout.column(name) is not None for name in WHAT)
    rows: list[list[Cell]] = [[*row] for row in sheet.rows[: layout.header - 1] if not out_of_row(row)]
    kept = [place for place in range(1, layout.header) if not out_of_row(sheet.rows[place - 1])]
    rows.append([*(top[place] for place in names), WHEN, *ADDED[nameless:]])
    numbers = [sheet.number_of(place) for place in (*kept, layout.header)]
    for place, row in results:
        before, test, behind = row[: len(names) + 1], row[len(names) + 1], row[len(names) + 2 :]
        rows.append([*before, *([] if nameless else [test]), None, *behind])
        numbers.append(sheet.number_of(place))
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=signature(sheet, layout.header), spans=())


def _body(sheet: Sheet, layout: Layout) -> Iterator[tuple[int, list[Cell]]]:
    """Yield rows below the header with their places, from 1; a name or day holds for those below it."""
    top = sheet.rows[layout.header - 1]
    held = [place for place, what in layout.columns.items() if what in (*NAMES, *DAYS)]
    last: dict[int, Cell] = {}
    for place, row in enumerate(sheet.rows[layout.header :], layout.header + 1):
        wide = [*row, *[None] * (len(top) - len(row))]
        if all(cell is None for cell in wide) or sums(wide[0]) or out_of_row(wide):
            continue
        for one in held:
            last[one] = wide[one] = last.get(one) if wide[one] is None else wide[one]
        yield place, wide


def _by_days(sheet: Sheet, layout: Layout, days: dict[int, date]) -> Iterator[tuple[int, list[Cell]]]:
    """A column a day: each cell is a result of its row's golfer, in the test that the row names, if any."""
    top = sheet.rows[layout.header - 1]
    names = [place for place, held in layout.columns.items() if held in NAMES]
    what = next((one for name in WHAT if (one := layout.column(name)) is not None), None)
    for place, row in _body(sheet, layout):
        for column in days:
            if row[column] is not None:
                beside = [row[one] for one in names]
                yield place, [*beside, top[column], cell_at(row, what), row[column], None]


def _by_rows(sheet: Sheet, layout: Layout) -> Iterator[tuple[int, list[Cell]]]:
    """A row a result, or a log in words with several in a cell."""
    names = [place for place, held in layout.columns.items() if held in NAMES]
    when = next((one for name in DAYS if (one := layout.column(name)) is not None), None)
    what = next((one for name in WHAT if (one := layout.column(name)) is not None), None)
    amount = next((one for name in AMOUNTS if (one := layout.column(name)) is not None), None)
    tried = layout.column("tried")
    for place, row in _body(sheet, layout):
        before = [*(row[one] for one in names), cell_at(row, when)]
        result = cell_at(row, amount)
        if result is not None:
            yield place, [*before, cell_at(row, what), result, cell_at(row, tried)]
            continue
        for test, made, of in _told(cell_at(row, what)):
            yield place, [*before, test, made, of]


def _told(cell: Cell) -> Iterator[tuple[Cell, Cell, Cell]]:
    """Yield the tests of a cell in words with made and tried; the whole cell where it tells none."""
    entries = read_log(cell) if isinstance(cell, str) else []
    found: Sequence[tuple[Cell, Cell, Cell]] = [
        (one.phrase, float(one.made), float(one.tried))
        for one in entries
        if one.phrase and one.made is not None and one.tried is not None
    ]
    if found and len(found) == len(entries):
        yield from found
    elif cell is not None:
        yield cell, cell, None

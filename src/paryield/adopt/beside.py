"""Blocks that stand side by side on one sheet, each with days and headings of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.days import read_date
from paryield.adopt.layout import HEADER_ROWS, find_layout, roles
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.typed import is_typed
from paryield.adopt.words import plain

LEAST_HEADINGS = 2
DAYS = 0.8
"""Share of the cells below a heading that must be days for it to say when. [judgement]"""


def side_by_side(sheet: Sheet, today: date) -> list[Sheet]:
    """Return the blocks of a sheet that stand side by side as one sheet each, else the sheet as it is.

    Blank columns set them apart. Each has a column of days of its own, or is a list of courses or golfers;
    what is neither stays with the block before it. A line that stands alone above them holds for all.
    """
    for place, row in enumerate(sheet.rows[:HEADER_ROWS]):
        filled = [cell for cell in row if cell is not None]
        if len(filled) < 2 * LEAST_HEADINGS or any(is_typed(cell, today) for cell in filled):
            continue
        runs = _runs(sheet, place)
        if len(runs) < 2:
            continue
        parts = _joined(sheet, place, runs, today)
        if len(parts) > 1:
            return [_part(sheet, place, one) for one in parts]
    return [sheet]


def _runs(sheet: Sheet, place: int) -> list[range]:
    """Return the columns with headings between columns that are blank from the header down."""
    below = sheet.rows[place:]
    width = max(map(len, below))
    filled = [any(cell_at(row, column) is not None for row in below) for column in range(width)]
    runs: list[range] = []
    first = None
    for column, held in enumerate([*filled, False]):
        if held and first is None:
            first = column
        elif not held and first is not None:
            runs.append(range(first, column))
            first = None
    return runs


def _joined(sheet: Sheet, place: int, runs: Sequence[range], today: date) -> list[range]:
    """Return the columns of each block, with those that are no block of their own in the one before."""
    own = [run for run in runs if _is_block(sheet, place, run, today)]
    if len(own) < 2:
        return []
    parts: list[range] = []
    for run in runs:
        if parts and run not in own:
            parts[-1] = range(parts[-1].start, run.stop)
        elif not parts or run in own:
            start = 0 if not parts else run.start
            parts.append(range(start, run.stop))
    return parts


def _is_block(sheet: Sheet, place: int, run: range, today: date) -> bool:
    top = [cell_at(sheet.rows[place], column) for column in run]
    if sum(cell is not None for cell in top) < LEAST_HEADINGS:
        return False
    rows = [[cell_at(row, column) for column in run] for row in sheet.rows[place + 1 :]]
    dated = {one for one, held in roles(top, today)[0].items() if held in ("date", "week", "week_ending")}
    for column in range(len(run)):
        cells = [row[column] for row in rows if row[column] is not None]
        days = sum(read_date(cell, "day first", today) is not None for cell in cells)
        if cells and (column in dated or days >= DAYS * len(cells)) and top[column] is not None:
            return True
    layout = find_layout(replace(sheet, rows=[top, *rows], numbers=(), spans=()), today)
    return layout is not None and layout.kind in ("courses", "golfers")


def _part(sheet: Sheet, place: int, columns: range) -> Sheet:
    rows: list[list[Cell]] = []
    for number, row in enumerate(sheet.rows):
        filled = [cell for cell in row if cell is not None]
        if number < place and len(filled) == 1:
            rows.append([filled[0]])
        else:
            rows.append([cell_at(row, column) for column in columns])
    spans = tuple(
        (row, left - columns.start, right - columns.start)
        for row, left, right in sheet.spans
        if columns.start <= left and right < columns.stop
    )
    named = ", ".join(repr(plain(cell)) for cell in rows[place] if cell is not None)
    return replace(sheet, rows=rows, spans=spans, part=named)

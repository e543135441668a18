"""Tables that stand one below the other on one sheet, each under headings of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.layout import find_layout, roles
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.typed import is_typed
from paryield.adopt.words import plain

LEAST_HEADINGS = 3
LEAST_KNOWN = 0.5
"""Share of headings that must say what their column holds for a row to begin a table. [judgement]"""
MOST_IN_A_LINE = 2
"""Cells that a line above headings may hold and still be their title. [judgement]"""


def one_below_other(sheet: Sheet, today: date) -> list[Sheet]:
    """Return tables that stand one below the other as one sheet each, else the sheet as it is.

    They have other headings than the one above, and a blank row or a title sets them apart. What stands over
    the first of them holds for all. Lists with the same headings again, such as one a golfer, stay together.
    """
    heads = [place for place in range(len(sheet.rows)) if _begins(sheet, place, today)]
    names = [frozenset(map(plain, filter(None, sheet.rows[place]))) for place in heads]
    if len(heads) < 2 or len(set(names)) < len(names):
        return [sheet]
    firsts = [_first(sheet, place) for place in heads]
    over = [place for place in range(firsts[0]) if _is_title(sheet.rows[place])]
    ends = [*firsts[1:], len(sheet.rows)]
    parts = [_part(sheet, over, first, end) for first, end in zip(firsts, ends, strict=True)]
    for part, place in zip(parts, heads, strict=True):
        layout = find_layout(part, today)
        if layout is None or part.number_of(layout.header) != sheet.number_of(place + 1):
            return [sheet]
    return [replace(part, part=_named(sheet.rows[place])) for part, place in zip(parts, heads, strict=True)]


def _first(sheet: Sheet, head: int) -> int:
    """Return the first of the rows above headings that are their titles; the first of all above the first."""
    place = head
    while place and _is_title(sheet.rows[place - 1]):
        place -= 1
    return place


def _is_title(row: Sequence[Cell]) -> bool:
    filled = [cell for cell in row if cell is not None]
    return 0 < len(filled) <= MOST_IN_A_LINE and all(isinstance(cell, str) for cell in filled)


def _part(sheet: Sheet, over: Sequence[int], first: int, end: int) -> Sheet:
    places = [*over, *range(first, end)]
    numbers = tuple(sheet.number_of(place + 1) for place in places)
    spans = tuple(one for one in sheet.spans if one[0] in numbers)
    return replace(sheet, rows=[list(sheet.rows[place]) for place in places], numbers=numbers, spans=spans)


def _named(row: Sequence[Cell]) -> str:
    return ", ".join(repr(plain(cell)) for cell in row if cell is not None)


def _begins(sheet: Sheet, place: int, today: date) -> bool:
    """Whether a row holds headings, with a blank row or a title above it, and entries below it."""
    above = sheet.rows[place - 1] if place else ()
    if any(cell is not None for cell in above) and not _is_title(above):
        return False
    row = sheet.rows[place]
    filled = [cell for cell in row if cell is not None]
    if len(filled) < LEAST_HEADINGS or not all(isinstance(cell, str) for cell in filled):
        return False
    if any(is_typed(cell, today) for cell in filled):
        return False
    columns, spread = roles(row, today)
    if len(columns) < 2 or len(columns) + len(spread) < LEAST_KNOWN * len(filled):
        return False
    below = sheet.rows[place + 1] if place + 1 < len(sheet.rows) else ()
    return any(cell is not None and any(map(str.isdigit, str(cell))) for cell in below)

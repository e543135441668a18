"""Cells that hold for the rows below them: marks that say "as above", and what stands once over a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from paryield.adopt.found import DITTO
from paryield.adopt.headings import weekdays_in_order
from paryield.adopt.layout import HEADER_ROWS, Layout, signature
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Cell, Sheet

SIGNS = frozenset(("''", '""', "``", "´´", "‘‘", "’’", ",,", *'"″„“”‟〃˝'))
WORDS = frozenset(
    (
        *("ditto", "do.", "idem", "ídem", "id.", "idem.", "dito", "dto.", "dto", "detto", "as above"),
        *("same as above", "wie oben", "s.o.", "comme ci-dessus", "como arriba", "come sopra", "c.s."),
        *("als boven", "zie boven", "som ovan", "som over", "som ovenfor"),
    )
)
OF_A_DAY = ("course", "tee", "par", "holes", "course_rating", "slope_rating", "competition")
SAME = 0.9
"""Share of rows in which a column must be blank where the day is, and filled where it is. [judgement]"""
LEAST = 2


def is_ditto(cell: Cell) -> bool:
    """Whether a cell says no more than that it is as another one."""
    if not isinstance(cell, str):
        return False
    return cell.strip() in SIGNS or cell.strip().casefold() in WORDS


def undittoed(sheet: Sheet, ask: Ask) -> Sheet:
    """Return a sheet with the cell above in place of each such mark.

    Under columns of the days of a week it may be the day before instead: that is asked once.
    """
    if not any(is_ditto(cell) for row in sheet.rows for cell in row):
        return sheet
    days, header = _days(sheet)
    said = _said(sheet, days, header, ask)
    rows: list[list[Cell]] = []
    above: list[Cell] = []
    for row in sheet.rows:
        if not any(cell is not None for cell in row):
            rows.append(row)
            continue
        out: list[Cell] = []
        for place, cell in enumerate(row):
            over = above[place] if place < len(above) else None
            if not is_ditto(cell):
                out.append(cell)
            elif place not in days:
                out.append(cell if is_ditto(over) or over is None else over)
            elif said == DITTO[0]:
                out.append(out[place - 1] if place - 1 in days else None)
            else:
                out.append(over if said == DITTO[1] else None)
        rows.append(out)
        above = out
    return replace(sheet, rows=rows)


def _days(sheet: Sheet) -> tuple[dict[int, str], int]:
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        if days := weekdays_in_order(row):
            return days, number
    return {}, 0


def _said(sheet: Sheet, days: dict[int, str], header: int, ask: Ask) -> str | None:
    """What a mark under the days of a week was said to be, asked where there is one."""
    marked = [
        (number, row[place])
        for number, row in enumerate(sheet.rows[header:], header + 1)
        for place in days
        if place < len(row) and is_ditto(row[place])
    ]
    if not marked:
        return None
    number, cell = marked[0]
    text = f"What does {cell!r} under a day of the week say (first in row {sheet.number_of(number)})?"
    question = Question(f"ditto: {signature(sheet, header)}", text, sheet.name, DITTO, DITTO[0])
    return ask(question)


def carried(sheet: Sheet, layout: Layout) -> Sheet:
    """Return a sheet of rounds with what is written once a day written in each row of it.

    A column is carried down where it is blank in the rows in which the day is, and in hardly any other.
    """
    dated = layout.column("date")
    if layout.kind != "rounds" or dated is None:
        return sheet
    places = [place for name in OF_A_DAY if (place := layout.column(name)) is not None]
    rows = [row for _, row in layout.rows(sheet)]
    carried_down = [place for place in places if _blank_alike(rows, dated, place)]
    if not carried_down:
        return sheet
    out: list[list[Cell]] = [[*row] for row in sheet.rows]
    above: dict[int, Cell] = {}
    width = len(sheet.rows[layout.header - 1])
    for row in out[layout.header :]:
        row += [None] * (width - len(row))
        if all(cell is None for cell in row):
            continue
        if row[dated] is not None:
            above = {place: row[place] for place in carried_down}
        else:
            for place, cell in above.items():
                row[place] = cell if row[place] is None else row[place]
    return replace(sheet, rows=out)


def _blank_alike(rows: Sequence[Sequence[Cell]], dated: int, place: int) -> bool:
    told = [(row[dated] is None, row[place] is None) for row in rows]
    below = sum(day for day, _ in told)
    return (
        below >= LEAST
        and all(blank for day, blank in told if day)
        and sum(day == blank for day, blank in told) >= SAME * len(told)
    )

"""Marks that say "as above": the cell above is written in their place."""

from __future__ import annotations

from dataclasses import replace

from paryield.adopt.found import DITTO
from paryield.adopt.headings import weekdays_in_order
from paryield.adopt.layout import HEADER_ROWS, signature
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

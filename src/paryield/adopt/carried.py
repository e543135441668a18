"""What stands once over the rounds of a day, such as the course, carried down as the day is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from paryield.adopt.layout import Layout
from paryield.adopt.sheets import Cell, Sheet

OF_A_DAY = ("course", "tee", "par", "holes", "course_rating", "slope_rating", "competition")
SAME = 0.9
"""Share of rows in which a column must be blank where the day is, and filled where it is. [judgement]"""
LEAST = 2


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

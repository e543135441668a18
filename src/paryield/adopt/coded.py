"""Practice in letters with a legend: ``P40 B20`` where the sheet says what P and B are."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.across import PRACTISED, WHO
from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.values import sums_up
from paryield.adopt.words import plain

LEGEND = re.compile(r"(?<!\w)([^\W\d_]{1,3})\s*[=:→]\s*([^\W\d_][^,;=:→|\n.]*)")
"""A code and what it stands for."""
CODED = re.compile(
    r"([^\W\d_]{1,3})\s*[:=]?\s*(\d{1,3})(?!\d)|(?<!\d)(\d{1,3})\s*([^\W\d_]{1,3})(?![^\W\d_])"
)
LEAST_CODES = 2
MOST = 0.8
"""Share of a column's cells that must be codes with numbers for it to be one of practice. [judgement]"""


def decoded(sheet: Sheet, today: date) -> Sheet:
    """Return a sheet with words for the codes of its legend, a row a golfer where they stand side by side.

    A sheet without a legend, or without cells of such codes, is returned as it is.
    """
    legend = legend_of(sheet)
    if len(legend) < LEAST_CODES:
        return sheet
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        columns, spread = roles(row, today)
        held = set(columns.values())
        if not (held & {"date", "week", "week_ending"} or spread):
            continue
        below = sheet.rows[number:]
        coded = [place for place in range(len(row)) if _is_coded(below, place, legend)]
        if not coded:
            continue
        free = [place for place in coded if place not in columns and place not in spread]
        names = [place for place in free if cell_at(row, place)]
        if len(names) < 2 or held & {"golfer", "golfer_id", "last_name", "first_name"}:
            rows = [*sheet.rows[:number], *([_words(cell, legend) for cell in one] for one in below)]
            return replace(sheet, rows=rows)
        return _turned(sheet, number, names, legend)
    return sheet


def legend_of(sheet: Sheet) -> dict[str, str]:
    """Return codes, as they are written, with the words for them: of a line that explains several."""
    for row in sheet.rows:
        text = ", ".join(cell for cell in row if isinstance(cell, str))
        found = {code: " ".join(words.split()) for code, words in LEGEND.findall(text)}
        if len(found) >= LEAST_CODES:
            return found
    return {}


def _is_coded(rows: Sequence[Sequence[Cell]], place: int, legend: Mapping[str, str]) -> bool:
    cells = [row[place] for row in rows if cell_at(row, place) is not None and not sums_up(row)]
    told = sum(_words(cell, legend) != cell for cell in cells)
    return bool(cells) and told >= MOST * len(cells)


def _words(cell: Cell, legend: Mapping[str, str]) -> Cell:
    """Return a cell of nothing but codes with numbers in words, ``putt 40, bunker 20``, else as it is."""
    if not isinstance(cell, str) or any(map(str.isalnum, CODED.sub("", cell))):
        return cell
    out = []
    for before, amount, other, behind in CODED.findall(cell):
        words = legend.get(before or behind)
        if words is None:
            return cell
        out.append(f"{words} {amount or other}")
    return ", ".join(out) if out else cell


def _turned(sheet: Sheet, number: int, names: Sequence[int], legend: Mapping[str, str]) -> Sheet:
    """Write each golfer's cell below the other, with all else of its row beside it."""
    top = sheet.rows[number - 1]
    kept = [place for place in range(len(top)) if place not in names]
    rows: list[list[Cell]] = [[*row] for row in sheet.rows[: number - 1]]
    rows.append([*(top[place] for place in kept), WHO, PRACTISED])
    numbers = [sheet.number_of(place) for place in range(1, number + 1)]
    for place, row in enumerate(sheet.rows[number:], number + 1):
        for name in names:
            if (cell := cell_at(row, name)) is not None and not sums_up(row):
                rows.append([*(cell_at(row, one) for one in kept), top[name], _words(cell, legend)])
                numbers.append(sheet.number_of(place))
    mark = " | ".join(plain(top[place]) for place in kept if isinstance(top[place], str))
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=f"{mark} | {plain(PRACTISED)}", spans=())

"""Tables of a terminal: aligned columns, none wider than the screen."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from itertools import zip_longest
from typing import Any

from rich.cells import cell_len

from paryield.report.words import MINUS, one_line

WIDTH, BELOW, LAST = 80, "      ", 240
"""Columns of a terminal, where a line below a row begins, and the most letters of a last cell."""
FIGURE = re.compile(rf"[+\-{MINUS}]?\d")


def columns(head: Sequence[str], rows: Iterable[Sequence[Any]], width: int = WIDTH) -> list[str]:
    """Return rows below a header as lines with aligned columns, none wider than a terminal.

    Where they would be, words are broken at blanks, those of the header first; figures with their range
    stay whole. What still does not fit of the last column goes below its row.
    """
    cells = [list(head)]
    cells += [[*(one_line(cell, 60) for cell in row[:-1]), one_line(row[-1], LAST)] for row in rows]
    beside = [line for block in _blocks(cells, width) for line in block]
    if len(beside) == len(cells) or len(head) == 1:
        return beside
    below = [
        [*block, *textwrap.wrap(row[-1], width, initial_indent=BELOW, subsequent_indent=BELOW)]
        for block, row in zip(_blocks([row[:-1] for row in cells], width), cells, strict=True)
    ]
    fits = max(map(cell_len, beside)) <= width
    under = [line for block in below for line in block]
    return beside if fits and len(beside) <= len(under) else under


def _blocks(cells: Sequence[Sequence[str]], width: int) -> list[list[str]]:
    """Return the lines of each row."""
    widths = _widths(cells, width)
    blocks = []
    for row in cells:
        parts = [textwrap.wrap(cell, most) or [""] for cell, most in zip(row, widths, strict=True)]
        blocks.append(
            [
                "  ".join(
                    cell + " " * (most - cell_len(cell)) for cell, most in zip(line, widths, strict=True)
                ).rstrip()
                for line in zip_longest(*parts, fillvalue="")
            ]
        )
    return blocks


def _taken(widths: Sequence[int]) -> int:
    return sum(widths) + 2 * (len(widths) - 1)


def _widths(cells: Sequence[Sequence[str]], width: int) -> list[int]:
    """Return the width of each column: no more than needed to fit, headers broken before words below them."""
    by_column = list(zip(*cells, strict=True))
    widths = [max(map(cell_len, column)) for column in by_column]
    least = [max(map(_least, column)) for column in by_column]
    body = [max(map(cell_len, column[1:]), default=0) for column in by_column]
    for floor in ([max(pair) for pair in zip(body, least, strict=True)], least):
        while _taken(widths) > width:
            spare = [(now, place) for place, now in enumerate(widths) if now > floor[place]]
            if not spare:
                break
            widths[max(spare)[1]] -= 1
    return widths


def _least(cell: str) -> int:
    """Return the width that a cell needs: that of its longest word, or of a figure with its range."""
    figure = FIGURE.match(cell) and not cell.replace(" ", "").isdigit()
    return cell_len(cell) if figure else max(map(cell_len, cell.split()), default=0)

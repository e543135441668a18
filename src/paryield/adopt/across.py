"""Sheets with a golfer in each column, turned so that every score has a row of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import read_number
from paryield.adopt.words import plain

TAKEN = {"golfer", "first_name", "last_name", "golfer_id", "adjusted_gross_score", "score_differential"}
WHO, SCORE = "Player", "Gross score"
NO_NAMES = frozenset(
    (
        *(
            "temp",
            "temperature",
            "temperatur",
            "wind",
            "vent",
            "humidity",
            "rain",
            "regen",
            "pluie",
            "weather",
        ),
        *("sss", "css", "par", "rating", "target", "field", "best", "worst", "winner", "cut", "low", "high"),
        *("pace", "time", "line", "mean", "gross", "net", "score"),
    )
)
"""Headings whose numbers may look like scores and that name nobody."""
LEAST, MOST = 61.0, 140.0
"""Scores of rounds of 18 holes as they are looked for in cells (common practice, no source)."""
SCORES = 0.9
"""Share of the numbers of a column that must be such scores for its heading to be taken as a name."""


def upright(sheet: Sheet, today: date) -> Sheet:
    """Return a sheet with a row a score where its columns are golfers, else the sheet as it is.

    The columns of golfers are those whose heading names nothing else and whose numbers are scores; the sheet
    has a date in each row, and neither a golfer nor a score of its own.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        columns, spread = roles(row, today)
        held = set(columns.values())
        if "date" not in held or held & TAKEN:
            continue
        below = sheet.rows[number:]
        golfers = [
            place
            for place, cell in enumerate(row)
            if place not in columns and place not in spread and _is_name(cell) and _holds_scores(below, place)
        ]
        if len(golfers) >= 2:
            return _turned(sheet, number, golfers)
    return sheet


def _is_name(cell: Cell) -> bool:
    """Whether a heading may be a person: one to four words of letters, none of weather or of a card."""
    if not isinstance(cell, str):
        return False
    words = plain(cell).split()
    return 1 <= len(words) <= 4 and all(one.isalpha() and one not in NO_NAMES for one in words)


def _holds_scores(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    found = (read_number(row[place]) for row in rows if place < len(row))
    numbers = [number for number in found if number is not None]
    whole = all(one == int(one) for one in numbers)
    return bool(numbers) and whole and sum(LEAST <= one <= MOST for one in numbers) >= SCORES * len(numbers)


def _is_word(cell: Cell) -> bool:
    """Whether a cell holds a word instead of a score, such as NR: it is counted as left out."""
    return isinstance(cell, str) and any(sign.isalpha() for sign in cell)


def _turned(sheet: Sheet, header: int, golfers: list[int]) -> Sheet:
    """Write each golfer's score below the other, with all else of its row beside it."""
    top = sheet.rows[header - 1]
    kept = [place for place in range(len(top)) if place not in golfers]
    rows: list[list[Cell]] = [list(row) for row in sheet.rows[: header - 1]]
    rows.append([*(top[place] for place in kept), WHO, SCORE])
    numbers = list(range(1, header + 1))
    for number, row in enumerate(sheet.rows[header:], header + 1):
        wide = [*row, *[None] * (len(top) - len(row))]
        for place in golfers:
            if read_number(wide[place]) is not None or _is_word(wide[place]):
                rows.append([*(wide[one] for one in kept), top[place], wide[place]])
                numbers.append(number)
    return replace(sheet, rows=rows, numbers=tuple(numbers))

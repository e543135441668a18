"""Rounds with a column a day and a row a golfer, beside rows that say where each day was played."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from paryield.adopt.days import read_date
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.values import read_number, read_score
from paryield.adopt.words import begins_sum, meaning_of, plain

OF_A_DAY: dict[str, str] = {
    "course": "Course",
    "tee": "Tee",
    "course_rating": "Course rating",
    "slope_rating": "Slope",
    "holes": "Holes",
    "par": "Par",
    "competition": "Competition",
}
"""What a row may say of each day, and the column that is made of it."""
RATED = ("sss", "scratch", "standard scratch")
"""What a row of ratings is called too, where a row of slopes stands beside it."""
WHEN, WHO, SCORE = "Date", "Player", "Gross score"
LOWEST, HIGHEST = 27.0, 140.0
LEAST_DAYS = 2
SCORES = 0.8
"""Share of the numbers of golfers' rows that must be scores of rounds. [judgement]"""


@dataclass(frozen=True)
class Block:
    """Rows under one row of days, from 0: what some say of each day, and those of golfers."""

    days: Mapping[int, Cell]
    said: Mapping[str, Sequence[Cell]]
    golfers: Mapping[int, Sequence[Cell]]


def days_across(sheet: Sheet, today: date) -> Sheet:
    """Return rounds with a column a day as one list with a row a round, else the sheet as it is.

    Several blocks may stand one below the other. At least one has a row of courses, ratings or the like;
    a sheet without any is left as it is. Rows and columns of means are left out.
    """
    heads = [place for place, row in enumerate(sheet.rows) if _days(row, today)]
    if not heads:
        return sheet
    ends = [*heads[1:], len(sheet.rows)]
    blocks = [_block(sheet, first, end, today) for first, end in zip(heads, ends, strict=True)]
    if not any(block.said for block in blocks) or not _holds_rounds(blocks):
        return sheet
    named = [name for name in OF_A_DAY if any(name in block.said for block in blocks)]
    rows: list[list[Cell]] = [[WHEN, WHO, SCORE, *(OF_A_DAY[name] for name in named)]]
    numbers = [sheet.number_of(heads[0] + 1)]
    for block in blocks:
        for place, row in block.golfers.items():
            for column, day in block.days.items():
                if (cell := cell_at(row, column)) is not None:
                    beside = [cell_at(block.said.get(name, ()), column) for name in named]
                    rows.append([day, row[0], cell, *beside])
                    numbers.append(sheet.number_of(place + 1))
    mark = f"rounds, a column a day | {' | '.join(named)}"
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=mark, spans=())


def _days(row: Sequence[Cell], today: date) -> dict[int, Cell]:
    """Columns behind the first that are headed by days, where no other is headed by a number."""
    if not row or isinstance(row[0], date | float):
        return {}
    days: dict[int, Cell] = {
        place: cell
        for place, cell in enumerate(row)
        if place and isinstance(cell, date | str) and read_date(cell, "day first", today) is not None
    }
    others = [cell for place, cell in enumerate(row) if place and place not in days and cell is not None]
    told = all(isinstance(cell, str) and read_number(cell) is None for cell in others)
    return days if len(days) >= LEAST_DAYS and told and len(others) <= len(days) else {}


def _block(sheet: Sheet, first: int, end: int, today: date) -> Block:
    """Read the rows between a row of days and the next, and those right above it that say more of each."""
    days = _days(sheet.rows[first], today)
    said: dict[str, Sequence[Cell]] = {}
    golfers: dict[int, Sequence[Cell]] = {}
    above = [*_said_above(sheet, first)]
    slopes = any(_said(row) == "slope_rating" for row in (*above, *sheet.rows[first + 1 : end]))
    for row in above:
        if (what := _said(row, slopes)) is not None:
            said[what] = row
    for place in range(first + 1, end):
        row = sheet.rows[place]
        if not isinstance(cell_at(row, 0), str) or all(cell_at(row, column) is None for column in days):
            continue
        if (what := _said(row, slopes)) is not None:
            said.setdefault(what, row)
        elif not _sums(row, days):
            golfers[place] = row
    return Block(days, said, golfers)


def _said_above(sheet: Sheet, first: int) -> Iterator[Sequence[Cell]]:
    """Yield the rows right above a row of days that say something of each."""
    for row in reversed(sheet.rows[:first]):
        if sum(cell is not None for cell in row) <= 1 or _said(row, True) is None:
            return
        yield row


def _said(row: Sequence[Cell], slopes: bool = False) -> str | None:
    """Return what a row says of each day, as its first cell names it, or None."""
    label = cell_at(row, 0)
    if not isinstance(label, str):
        return None
    if slopes and plain(label) in RATED:
        return "course_rating"
    meaning = meaning_of(label)
    return meaning if meaning in OF_A_DAY else None


def _sums(row: Sequence[Cell], days: Mapping[int, Cell]) -> bool:
    """Whether a row is one of means or the like: it says so, or a number of it is not whole."""
    numbers = [number for column in days if (number := read_number(cell_at(row, column))) is not None]
    return begins_sum(row[0]) or any(number != int(number) for number in numbers)


def _holds_rounds(blocks: Sequence[Block]) -> bool:
    cells = [
        cell_at(row, column)
        for block in blocks
        for row in block.golfers.values()
        for column in block.days
    ]  # fmt: skip
    numbers = [number for cell in cells if (number := read_score(cell)) is not None]
    inside = [LOWEST <= number <= HIGHEST and number == int(number) for number in numbers]
    return bool(numbers) and sum(inside) >= SCORES * len(numbers)

"""Tests with the golfers down, a column a day, and how many were tried in a line above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from paryield.adopt.days import read_date
from paryield.adopt.kinds_of_tests import kinds_of
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tests_named import TRIED, feet_in, named_test
from paryield.adopt.titled import line_above, title_in
from paryield.adopt.values import sums_up
from paryield.adopt.words import begins_sum, meaning_of

WHO, WHEN = "Player", "Date"


def heading_of(row: Sequence[Cell]) -> tuple[str, float] | None:
    """Return the name of a test and how many were tried, where a line says both and nothing else."""
    filled = [cell for cell in row if cell is not None]
    if not 1 <= len(filled) <= 2 or not all(isinstance(cell, str) for cell in filled):
        return None
    text = ", ".join(str(cell).strip(" ,") for cell in filled)
    match = TRIED.search(text)
    if match is None or not kinds_of(text[: match.start()]):
        return None
    return text[: match.start()].strip(), float(next(filter(None, match.groups())))


def day_columns(row: Sequence[Cell], today: date) -> tuple[int, dict[int, Cell]] | None:
    """Return the column of the golfers and those of the days, where a header has these and averages alone.

    The heading of the golfers may be blank or an unknown word.
    """
    who, days = None, dict[int, Cell]()
    for place, cell in enumerate(row):
        if place and (cell is None or (isinstance(cell, str) and _beside(cell))):
            continue
        if who is None and _may_head_golfers(cell, today):
            who = place
        elif who is not None and _is_day(cell, today):
            days[place] = cell
        else:
            return None
    return (who, days) if who is not None and days else None


def _may_head_golfers(cell: Cell, today: date) -> bool:
    if cell is None:
        return True
    return isinstance(cell, str) and meaning_of(cell) in ("golfer", None) and not _is_day(cell, today)


def _is_day(cell: Cell, today: date) -> bool:
    return isinstance(cell, date | str) and read_date(cell, "day first", today) is not None


def _beside(cell: str) -> bool:
    """Whether a heading is that of a sum or an average, or of remarks."""
    return begins_sum(cell) or meaning_of(cell) == "note"


@dataclass(frozen=True)
class _Block:
    """A header's golfers and days, and the test that the line above it names, if any."""

    who: int
    days: dict[int, Cell]
    title: str | None
    far: dict[int, Cell] = field(default_factory=dict)


def _with_distances(block: _Block, row: Sequence[Cell]) -> _Block:
    """Return a block with the distances below its days, where a second heading has nothing else.

    A day stands once over those of its distances.
    """
    far: dict[int, Cell] = {place: cell for place, cell in enumerate(row) if cell is not None}
    told = all(isinstance(cell, str) and feet_in(cell) is not None for cell in far.values())
    if len(far) < 2 or not told or min(far) <= block.who:
        return block
    days: dict[int, Cell] = {}
    for place in far:
        before = [one for one in block.days if one <= place]
        if not before:
            return block
        days[place] = block.days[max(before)]
    return replace(block, days=days, far=far)


def by_test_days(sheet: Sheet, today: date, said: bool = False) -> Sheet:
    """Return tests with a column a day as one list with a row a result, else the sheet as it is.

    Several may stand one below the other, each under its own heading. One heading at least says how many
    were tried, or its test's unit, where nobody ``said`` that the sheet holds tests. A list without a heading
    is left for others to read where it is the only one, else its rows name no test.
    """
    heads: dict[int, _Block] = {}
    titles: set[int] = set()
    for place, row in enumerate(sheet.rows):
        if (found := day_columns(row, today)) is None:
            continue
        above = line_above(sheet, place)
        title = None if above is None else _title(sheet.rows[above], sure=not said)
        if found[0] == 0 or title is not None or meaning_of(row[found[0]]) == "golfer":
            under = sheet.rows[place + 1] if place + 1 < len(sheet.rows) else ()
            heads[place] = _with_distances(_Block(*found, title), under)
            titles |= {above} if title is not None and above is not None else set()
    if not any(block.title and (said or _sure(block.title)) for block in heads.values()):
        return sheet
    rows: list[list[Cell]] = [[WHEN, WHO, "Test", "Distance ft", "Made", "Tried"]]
    numbers = [sheet.number_of(min(heads) + 1)]
    block: _Block | None = None
    for place, row in enumerate(sheet.rows):
        if place in heads:
            block = heads[place]
        elif place in titles:
            block = None
        elif block is not None and sum(cell is not None for cell in row) > 1 and not sums_up(row):
            rows += (added := _results(row, block))
            numbers += [sheet.number_of(place + 1)] * len(added)
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark="tests, a column a day")


def _title(row: Sequence[Cell], sure: bool) -> str | None:
    """Return the test that a line above a header names; any line of one cell where somebody said so."""
    filled = [cell for cell in row if cell is not None]
    if (told := heading_of(row)) is not None:
        return f"{told[0]} ({told[1]:g})"
    if (title := title_in(row)) is not None:
        return title
    return None if sure or len(filled) != 1 or not isinstance(filled[0], str) else filled[0]


def _sure(title: str) -> bool:
    """Whether a title can only be that of a test: it says how many are tried, or the unit of a value."""
    one = named_test(title, None)
    return one.tried is not None or one.unit is not None


def _results(row: Sequence[Cell], block: _Block) -> list[list[Cell]]:
    name = row[block.who] if block.who < len(row) else None
    if not isinstance(name, str):
        return []
    one = None if block.title is None else named_test(block.title, None)
    out: list[list[Cell]] = []
    for place, day in block.days.items():
        cell = row[place] if place < len(row) else None
        if cell is not None:
            feet = feet_in(str(block.far[place])) if place in block.far else None if one is None else one.feet
            beside = (None, feet) if one is None else (one.said, feet)
            out.append([day, name, *beside, cell, None if one is None else one.tried])
    return out

"""Tests whose name, ring, distance or number of tries stands in a line above their rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from paryield.adopt.kinds_of_tests import kinds_of
from paryield.adopt.layout import HEADER_ROWS, roles, signature
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tests_named import LENGTH, NUMBER_OF, OUT_OF, RING, named_test, value_of
from paryield.adopt.words import meaning_of, plain

MOST_IN_A_TITLE = 2
"""Cells that a title may hold: what is tested, and out of how many. [judgement]"""
NAMED = frozenset(
    (
        *("test", "category", "log", "course", "adjusted_gross_score", "score_differential", "course_rating"),
        *("minutes", "hours", "reps", "start_index"),
    )
)
"""Columns of sheets that need no title to say what they hold."""


def title_in(row: Sequence[Cell]) -> str | None:
    """Return the text of a line that names a test and nothing else, or None."""
    filled = [cell for cell in row if cell is not None]
    if not 1 <= len(filled) <= MOST_IN_A_TITLE or not all(isinstance(cell, str) for cell in filled):
        return None
    if len(filled) == MOST_IN_A_TITLE and (meaning_of(filled[0]) or meaning_of(filled[1])):
        return None
    text = ", ".join(str(cell).strip(" ,") for cell in filled)
    return text if kinds_of(text) or value_of(text) else None


def tells_test(text: str) -> bool:
    """Whether a title says more than a kind of practice: a length, a ring, how many are tried, a unit."""
    said = (RING.search(text.casefold()), LENGTH.search(text), OUT_OF.search(text), NUMBER_OF.search(text))
    return any(said) or value_of(text) is not None


@dataclass(frozen=True)
class Head:
    """A header of results, from 0, with the title above it, and that title's row."""

    place: int
    title: str | None
    at: int | None

    @property
    def start(self) -> int:
        """Return the first row of the list: its title, or its header."""
        return self.place if self.at is None else self.at


def under_titles(sheet: Sheet, today: date) -> Sheet:
    """Return lists of results with the test of each row beside it, else the sheet as it is.

    Their headers name a golfer or a day and how many were made, or distances, but no test; those of several
    lists are the same.
    """
    heads = [*_heads(sheet, today)]
    if not heads or heads[0].place >= HEADER_ROWS:
        return sheet
    if not any(head.title and tells_test(head.title) for head in heads):
        return sheet
    top = sheet.rows[heads[0].place]
    counted = any(what == "tried" for what in roles(top, today)[0].values())
    added: list[Cell] = ["Test", *([] if counted else ["Tried"])]
    held = roles(top, today)[0]
    named = [
        "Made" if held.get(place) == "value" and "made" not in held.values() else cell
        for place, cell in enumerate(top)
    ]
    rows: list[list[Cell]] = [[*row] for row in sheet.rows[: heads[0].start]]
    numbers = [sheet.number_of(place + 1) for place in range(len(rows))]
    rows.append([*named, *added])
    numbers.append(sheet.number_of(heads[0].place + 1))
    ends = [*(head.start for head in heads[1:]), len(sheet.rows)]
    for head, end in zip(heads, ends, strict=True):
        one = None if head.title is None else named_test(head.title, None)
        beside: list[Cell] = [head.title, *([] if counted else [None if one is None else one.tried])]
        for place in range(head.place + 1, end):
            row = sheet.rows[place]
            if sum(cell is not None for cell in row) > 1:
                rows.append([*row, *[None] * (len(top) - len(row))][: len(top)] + beside)
                numbers.append(sheet.number_of(place + 1))
    mark = f"{signature(sheet, heads[0].place + 1)} | under titles"
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=mark, spans=())


def _heads(sheet: Sheet, today: date) -> Iterator[Head]:
    """Yield the headers of results that have the same headings as the first."""
    first: list[str] | None = None
    for place, row in enumerate(sheet.rows):
        if not _is_head(row, today):
            continue
        names = [plain(cell) for cell in row if cell is not None]
        first = first or names
        if names != first:
            continue
        above = line_above(sheet, place)
        title = None if above is None else title_in(sheet.rows[above])
        yield Head(place, title, above if title is not None else None)


def line_above(sheet: Sheet, place: int) -> int | None:
    """Return the nearest row above another that is not blank, both from 0."""
    filled = (one for one in range(place - 1, -1, -1) if any(cell is not None for cell in sheet.rows[one]))
    return next(filled, None)


def _is_head(row: Sequence[Cell], today: date) -> bool:
    filled = [cell for cell in row if cell is not None]
    if len(filled) < 2 or not all(isinstance(cell, str) for cell in filled):
        return False
    columns, spread = roles(row, today)
    held = set(columns.values())
    far = [named for named in spread.values() if isinstance(named, float)]
    results = bool(held & {"made", "value"}) or len(far) >= 2
    who = held & {"golfer", "golfer_id", "first_name", "last_name", "date"}
    return results and bool(who) and not held & NAMED and len(far) == len(spread)

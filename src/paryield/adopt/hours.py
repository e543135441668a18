"""Numbers that are hours: as a heading or the sheet's name says, or because all of them are small."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from paryield.adopt.found import MINUTES
from paryield.adopt.headings import HOURS, unit_of
from paryield.adopt.layout import Layout
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import read_number
from paryield.adopt.words import plain

MOST_HOURS = 6.0
"""Numbers up to which lengths with halves among them are likely hours. [judgement]"""


def unit_said(heading: Cell) -> str | None:
    """Return minutes or hours where a heading says one of them: ``Putting (h)``, ``Bunker min``."""
    said = {unit for word in plain(heading).split() if (unit := unit_of(word)) in (MINUTES, HOURS)}
    return said.pop() if len(said) == 1 else None


def likely_hours(sheet: Sheet, layout: Layout) -> bool:
    """Whether the numbers of a sheet are likely hours: its name or title says so, or they are small."""
    above = [cell for row in sheet.rows[: layout.header - 1] for cell in row if cell is not None]
    names = (sheet.sheet, sheet.file.rpartition(".")[0], *above)
    if any(unit_said(name) == HOURS for name in names):
        return True
    numbers = [number for number in _numbers(sheet, layout) if number]
    whole = all(number.is_integer() for number in numbers)
    return bool(numbers) and max(numbers) <= MOST_HOURS and not whole


def _numbers(sheet: Sheet, layout: Layout) -> Iterator[float]:
    place = layout.column("minutes")
    places = [*layout.spread] if layout.kind == "wide practice" else [] if place is None else [place]
    for _, row in layout.rows(sheet):
        for cell in (row[one] for one in places):
            bare = isinstance(cell, float) or (isinstance(cell, str) and not any(map(str.isalpha, cell)))
            if bare and (number := read_number(cell)) is not None:
                yield number


def with_hours(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> Layout:
    """Take a column of lengths for hours where its heading says so, or that was answered."""
    place = layout.column("minutes")
    if place is None or layout.kind not in ("practice", "log"):
        return layout
    heading = sheet.rows[layout.header - 1][place]
    said = unit_said(heading)
    if said is None and likely_hours(sheet, layout):
        text = f"Does a number under {str(heading)!r} count hours or minutes?"
        question = Question(f"bare numbers: {mark}", text, sheet.name, (MINUTES, HOURS), HOURS)
        said = ask(question) or HOURS
    if said != HOURS:
        return layout
    return replace(layout, columns={**layout.columns, place: "hours"})


def units_said(top: Sequence[Cell], layout: Layout) -> dict[int, str]:
    """Return the columns of kinds of practice whose headings say minutes or hours."""
    if layout.kind != "wide practice":
        return {}
    return {
        place: unit
        for place, named in layout.spread.items()
        if isinstance(named, str) and (unit := unit_said(top[place])) is not None
    }

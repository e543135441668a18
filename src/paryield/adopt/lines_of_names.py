"""Lines of one cell that name the golfer of the rows below them, and remarks that stand in the same way."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection

from paryield.adopt.layout import Layout
from paryield.adopt.names import name_words
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.words import (
    MONTHS,
    NOTHING,
    TOTALS,
    UNKNOWN,
    WEEKDAYS,
    is_lesson,
    meaning_of,
    plain,
    practice_of,
)

GOLFER = ("golfer", "golfer_id", "first_name", "last_name")
MOST_WORDS = 4
"""Words of the longest name that a line of one cell may be. [judgement]"""
PARTICLES = frozenset((
    "de", "del", "della", "di", "da", "dos", "du", "la", "le", "van", "von", "zu", "zum", "vom", "der", "den",
    "ten", "ter", "af", "av", "el", "al", "bin", "ibn", "y", "e", "und",
))  # fmt: skip
"""Words of a name that are written small."""
NO_NAME = frozenset((
    *TOTALS, *NOTHING, *UNKNOWN, *MONTHS, *WEEKDAYS,
    "week", "woche", "semaine", "settimana", "semana", "viikko", "vecka", "uke", "uge", "rest", "pause",
    "holiday", "holidays", "ferien", "vacances", "urlaub", "krank", "malade", "injured", "sick", "rain",
    "regen", "pluie", "note", "notes",
))  # fmt: skip
"""Words that no name holds which stands over rows."""
WORD = re.compile(r"[^\W\d_]+(?:[-'’.][^\W\d_]*)*")


def names_on_lines(sheet: Sheet, layout: Layout, people: Collection[frozenset[str]] = ()) -> dict[int, str]:
    """Return the names of golfers that stand on a line of their own below the header, by the row of the file.

    A line counts where it looks like a name, stands in the column in which most of such lines stand, and has
    rows of data before the next one. Beside a name in that column without a day, a remark may stand: where
    the others stand alone, or where it is one of ``people``, the words of the names of known golfers.
    """
    rows = [(number, *_alone(row)) for number, row in layout.rows(sheet)]
    named = [(number, place, name) for number, place, cell in rows if (name := _name(cell)) is not None]
    named += _with_remarks(sheet, layout, {place for _, place, _ in named}, people)
    if not named:
        return {}
    often = Counter(place for _, place, _ in named)
    column = min(often, key=lambda place: (-often[place], place))
    lines = {number: name for number, place, name in named if place == column}
    found: dict[int, str] = {}
    last: int | None = None
    for number, _, cell in rows:
        if number in lines:
            last = number
        elif cell is None and last is not None:
            found[last] = lines[last]
    return found


def _with_remarks(
    sheet: Sheet, layout: Layout, columns: Collection[int], people: Collection[frozenset[str]]
) -> list[tuple[int, int, str]]:
    """Return rows, columns and names of lines that name a golfer beside a remark, and hold no day."""
    dated = next(
        (place for name in ("date", "week", "week_ending") if (place := layout.column(name)) is not None),
        None,
    )
    found = []
    for number, row in layout.rows(sheet):
        filled = [(place, cell) for place, cell in enumerate(row) if cell is not None]
        if len(filled) < 2 or dated is None or (row[dated] is not None and filled[0][0] != dated):
            continue
        place, cell = filled[0]
        if not isinstance(cell, str):
            continue
        known = name_words(cell) in people
        if known or (place in columns and place == dated and _name(cell) is not None):
            found.append((number, place, cell.strip() if known else _name(cell) or ""))
    return found


def _alone(row: list[Cell]) -> tuple[int, Cell]:
    """Return the only filled cell of a row and its place; None where several are filled."""
    filled = [(place, cell) for place, cell in enumerate(row) if cell is not None]
    return filled[0] if len(filled) == 1 else (-1, None)


def _name(cell: Cell) -> str | None:
    """Return the name that a cell may be: ``Maud Ferrin``, ``Player: Maud Ferrin``; None where it is none."""
    if not isinstance(cell, str):
        return None
    head, colon, behind = cell.partition(":")
    if colon and behind.strip():
        return behind.strip() if meaning_of(head) in GOLFER else None
    text = head.strip()
    words = re.split(r"[\s,]+", re.sub(r"\([^)]*\)", " ", text).strip())
    bare = [plain(word) for word in words]
    if not 1 <= len(words) <= MOST_WORDS or not all(map(WORD.fullmatch, words)):
        return None
    small = [
        word for word, known in zip(words, bare, strict=True) if word[0].islower() and known not in PARTICLES
    ]
    if small or not NO_NAME.isdisjoint(bare) or plain(text) in NO_NAME:
        return None
    return None if practice_of(text) or is_lesson(text) or meaning_of(text) else text

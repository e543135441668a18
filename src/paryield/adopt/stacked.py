"""Lists one below the other, each under a line with its day; two nines without their sum."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.days import lacks_year, read_date
from paryield.adopt.headings import title_of
from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tests_named import out_of
from paryield.adopt.values import read_number
from paryield.adopt.words import MONTHS, WEEKDAYS, plain, practice_of

DATE = re.compile(r"(?<!\d)(?:\d{4}[./-]\d{1,2}[./-]\d{1,2}|\d{1,2}([./-])\d{1,2}\1(?:\d{4}|\d{2})?)(?!\d)")
BRACKETS = re.compile(r"\([^)]*\)|\[[^\]]*\]")
RATINGS = re.compile(
    r"(?:\bcr|course rating|slope(?: rating)?|\bsr|\bpar)\W{0,3}\d+(?:[.,]\d)?", re.IGNORECASE
)
ADDED: dict[str, str] = {
    "date": "Date",
    "course": "Course",
    "course_rating": "Course rating",
    "slope_rating": "Slope",
}
"""What a line above a list says of all its rows, and the column that is added for it."""
MOST_IN_A_LINE = 3
"""Cells that a line above a list may hold and still be its heading. [judgement]"""
FRONT = ("front", "front 9", "front nine", "f9", "out", "aller", "erste neun", "first nine", "first 9")
BACK = ("back", "back 9", "back nine", "b9", "in", "retour", "zweite neun", "second nine", "second 9")
SCORE = "Gross score"


def unstacked(sheet: Sheet, today: date) -> Sheet:
    """Return lists one below the other as one, with the day of each beside its rows.

    They have one header, repeated or not, that names golfers or scores but no day, and each stands under a
    line with its day.
    """
    number = next(
        (place for place, row in enumerate(sheet.rows[:HEADER_ROWS]) if _is_header(row, today)), None
    )
    if number is None:
        return sheet
    top = sheet.rows[number]
    lines = {place: said for place, row in enumerate(sheet.rows) if (said := said_above(row, sheet, today))}
    least = 1 if _names_tests(top) else 2
    if len(lines) < least or max(lines) < number - 1:
        return sheet
    if len(lines) < 2 and min(lines) != number - 1:
        return sheet
    held = set(roles(top, today)[0].values())
    fits = ("date",) if _names_tests(top) else (*ADDED,)
    added = [name for name in fits if name not in held and any(name in said for said in lines.values())]
    rows: list[list[Cell]] = [[*top, *(ADDED[name] for name in added)]]
    numbers = [sheet.number_of(number + 1)]
    told: dict[str, Cell] = {}
    for place, row in enumerate(sheet.rows):
        if place in lines:
            told = lines[place]
        elif place > number and told and any(cell is not None for cell in row):
            if [*map(plain, row)] == [*map(plain, top)]:
                continue
            wide = [*row, *[None] * (len(top) - len(row))]
            rows.append([*wide[: len(top)], *(told.get(name) for name in added)])
            numbers.append(sheet.number_of(place + 1))
    return replace(sheet, rows=rows, numbers=tuple(numbers))


def _is_header(row: Sequence[Cell], today: date) -> bool:
    held = set(roles(row, today)[0].values())
    named = held & {"golfer", "golfer_id", "last_name", "first_name"}
    told = len(held) >= 2 or _names_tests(row)
    return told and bool(named) and not held & {"date", "week", "week_ending"}


def _names_tests(row: Sequence[Cell]) -> bool:
    """Whether a header names a test and of how many it is."""
    return any(isinstance(cell, str) and practice_of(cell) and out_of(cell) for cell in row)


def said_above(row: Sequence[Cell], sheet: Sheet, today: date) -> dict[str, Cell]:
    """Return the day that a line names, and what it says of course and ratings; nothing for other rows."""
    filled = [cell for cell in row if cell is not None]
    if not 1 <= len(filled) <= MOST_IN_A_LINE or any(isinstance(cell, float) for cell in filled):
        return {}
    text = " , ".join(str(cell) for cell in filled if isinstance(cell, str))
    match = DATE.search(text)
    day: Cell = next((cell for cell in filled if isinstance(cell, date)), None)
    if day is None:
        day = match[0] if match else text if lacks_year(text) else read_date(text, None, today)
    if day is None:
        return {}
    title = title_of([row], sheet, today)
    told: dict[str, Cell] = {name: title[name] for name in ADDED if name in title} | {"date": day}
    if "course" not in told and (course := _course(text)):
        told["course"] = course
    return told


def _course(text: str) -> str | None:
    """Return the only name that is left of a line without its day, brackets and ratings."""
    bare = RATINGS.sub(" ", BRACKETS.sub(" ", DATE.sub(" , ", text)))
    parts = []
    for part in re.split(r"[,;:|@]|\s[-–—]\s", bare):
        words = [word for word in part.split() if not _of_a_day(word)]
        if any(sign.isalpha() for word in words for sign in word):
            parts.append(" ".join(words))
    return parts[0] if len(parts) == 1 else None


def _of_a_day(word: str) -> bool:
    bare = plain(word)
    return bare in WEEKDAYS or bare in MONTHS or bare in ("at", "on", "the") or word.strip(".,").isdigit()


def summed(sheet: Sheet, today: date) -> Sheet:
    """Return a sheet that has the score of each nine but no total with the total beside them.

    Where only one of them is filled, the score is that of nine holes.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        names = [plain(cell) if isinstance(cell, str) else "" for cell in row]
        front = [place for place, name in enumerate(names) if name in FRONT]
        back = [place for place, name in enumerate(names) if name in BACK]
        held = set(roles(row, today)[0].values())
        if len(front) != 1 or len(back) != 1 or held & {"adjusted_gross_score", "score_differential"}:
            continue
        if not held & {"golfer", "golfer_id", "last_name", "date", "course"}:
            continue
        gone = {front[0], back[0]}
        rows = [list(one) for one in sheet.rows[: number - 1]]
        kept = [None if place in gone else cell for place, cell in enumerate(row)]
        rows.append([*kept, SCORE])
        for one in sheet.rows[number:]:
            wide = [*one, *[None] * (len(row) - len(one))]
            rows.append([*wide[: len(row)], _sum(wide[front[0]], wide[back[0]])])
        return replace(sheet, rows=rows)
    return sheet


def _sum(front: Cell, back: Cell) -> Cell:
    halves = [number for cell in (front, back) if (number := read_number(cell)) is not None]
    if len(halves) == 2:
        return sum(halves)
    if halves:
        return f"{halves[0]:g} (9 holes)"
    return next((cell for cell in (front, back) if isinstance(cell, str)), None)

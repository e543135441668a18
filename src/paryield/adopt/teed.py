"""Columns of rating and slope by tee beside scores; scores of two days in one cell."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.rated import LISTED
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import read_number
from paryield.adopt.words import WEEKDAYS, meaning_of, plain

RATINGS = ("course_rating", "slope_rating")
AND = r"(?:y|e|and|und|et|en|och|og|&|\+|-|–|/)"
DAYS_BEFORE = re.compile(rf"(\d{{1,2}})\.?\s*{AND}\s*(\d{{1,2}})\.?(\s+[^\W\d].*)", re.IGNORECASE)
DAYS_IN_NUMBERS = re.compile(
    r"(\d{1,2})\.?\s*(?:y|e|and|und|et|en|och|og|&|\+|-|–)\s*(\d{1,2})(\s*[./]\s*\d{1,2}(?:\s*[./]\s*(?:\d{2,4})?)?)",
    re.IGNORECASE,
)
DAYS_BEHIND = re.compile(
    rf"([^\W\d]+\.?\s+)(\d{{1,2}})\s*{AND}\s*(\d{{1,2}})(\s*,?\s*\d{{4}})?", re.IGNORECASE
)
TWO_SCORES = re.compile(r"(\d{2,3}|[^\W\d]{1,5}\.?)\s*[-–/+&]\s*(\d{2,3}|[^\W\d]{1,5}\.?)")
MOST_BELOW = 3
"""Rows below the header among which that of the golfers' tees is sought."""


def ratings_of(cell: Cell) -> Iterator[tuple[str, str]]:
    """Yield the ways to read a heading such as ``Slope rating men``: the rating, and what it is one of."""
    words = plain(cell).split() if isinstance(cell, str) else []
    for cut in range(1, len(words)):
        for named, of in ((words[:cut], words[cut:]), (words[cut:], words[:cut])):
            meaning = meaning_of(" ".join(named))
            if meaning in RATINGS:
                yield meaning, " ".join(of)


def rating_heading(cell: Cell) -> tuple[str, str] | None:
    """Return what a heading such as ``CR white`` or ``Slope (red)`` holds, and of which tee; else None."""
    return next(ratings_of(cell), None) if meaning_of(plain(cell)) is None else None


def two_days(cell: Cell) -> tuple[str, str] | None:
    """Return both days of ``16 and 17/05/2026`` or ``16-17 May`` as they would be written alone."""
    if not isinstance(cell, str):
        return None
    word, _, behind = cell.strip().partition(" ")
    text = behind.strip() if plain(word) in WEEKDAYS else cell.strip()
    for pattern in (DAYS_IN_NUMBERS, DAYS_BEFORE):
        if (match := pattern.fullmatch(text)) and int(match[2]) == int(match[1]) + 1:
            return match[1] + match[3], match[2] + match[3]
    if (match := DAYS_BEHIND.fullmatch(text)) and int(match[3]) == int(match[2]) + 1:
        return match[1] + match[2] + (match[4] or ""), match[1] + match[3] + (match[4] or "")
    return None


def two_scores(cell: Cell) -> tuple[Cell, Cell] | None:
    """Return both scores of ``78-81`` or ``82-R``."""
    match = TWO_SCORES.fullmatch(cell.strip()) if isinstance(cell, str) else None
    if match is None or not any(part.isdigit() for part in match.groups()):
        return None
    first, second = (float(part) if part.isdigit() else part for part in match.groups())
    return first, second


@dataclass(frozen=True)
class Tees:
    """Columns of ratings by tee, and the tee of each golfer whose column has it below the header."""

    header: int
    columns: Mapping[str, tuple[int, int]]
    golfers: Mapping[int, str]
    names: Mapping[str, str]


def find_tees(sheet: Sheet) -> tuple[Sheet, Tees | None]:
    """Return the columns of ratings by tee of a sheet, and the sheet without the row of the golfers' tees."""
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        found: dict[str, dict[str, int]] = {}
        for place, cell in enumerate(row):
            if (named := rating_heading(cell)) is not None:
                found.setdefault(named[1], {}).setdefault(named[0], place)
        columns = {tee: (held[RATINGS[0]], held[RATINGS[1]]) for tee, held in found.items() if len(held) == 2}
        if not columns:
            continue
        for place in range(number, min(number + MOST_BELOW, len(sheet.rows))):
            golfers = _tee_row(sheet.rows[place], columns)
            if golfers:
                rows = [*sheet.rows[:place], *sheet.rows[place + 1 :]]
                numbers = tuple(sheet.number_of(one + 1) for one in range(len(sheet.rows)) if one != place)
                return replace(sheet, rows=rows, numbers=numbers), Tees(
                    number, columns, golfers, _named(row, golfers)
                )
        return sheet, Tees(number, columns, {}, {})
    return sheet, None


def _named(row: Sequence[Cell], golfers: Mapping[int, str]) -> dict[str, str]:
    return {plain(row[place]): tee for place, tee in golfers.items() if place < len(row)}


def _tee_row(row: Sequence[Cell], columns: Mapping[str, tuple[int, int]]) -> dict[int, str]:
    """Columns to tees where a row holds nothing else but a word that says so."""
    out: dict[int, str] = {}
    others = 0
    for place, cell in enumerate(row):
        if cell is None:
            continue
        begun = [tee for tee in columns if tee.startswith(plain(cell)) and plain(cell)]
        if len(begun) == 1:
            out[place] = begun[0]
        else:
            others += 1
    return out if len(out) >= 2 and others <= 1 else {}


def with_tees(sheet: Sheet, tees: Tees | None, today: date) -> list[Sheet]:
    """Return a sheet with one column each of tee, rating and slope, and its courses as a list.

    A golfer's tee is that of the row below the header, or of the tee column; else it stays blank.
    """
    if tees is None:
        return [sheet]
    number = next(
        (place for place, row in enumerate(sheet.rows[:HEADER_ROWS], 1) if any(map(rating_heading, row))), 0
    )
    top = sheet.rows[number - 1]
    places: dict[str, dict[str, int]] = {tee: {} for tee in tees.columns}
    for place, cell in enumerate(top):
        if (named := rating_heading(cell)) is not None and named[1] in places:
            places[named[1]].setdefault(named[0], place)
    gone = {place for held in places.values() for place in held.values()}
    columns = roles([None if place in gone else cell for place, cell in enumerate(top)], today)[0]
    held = {meaning: place for place, meaning in columns.items()}
    kept = [place for place in range(len(top)) if place not in gone and place != held.get("tee")]
    rows: list[list[Cell]] = [*sheet.rows[: number - 1], [*(top[place] for place in kept), *LISTED[1:]]]
    lists: dict[tuple[str, str], list[Cell]] = {}
    for row in sheet.rows[number:]:
        wide = [*row, *[None] * (len(top) - len(row))]
        pairs = {tee: [wide[one[name]] for name in RATINGS] for tee, one in places.items() if len(one) == 2}
        for tee, pair in pairs.items():
            if "course" in held and wide[held["course"]] is not None and None not in map(read_number, pair):
                course = wide[held["course"]]
                lists.setdefault((plain(course), f"{tee} {pair}"), [course, tee, *pair])
        own = _tee(wide, held, tees)
        blank = all(cell is None for cell in row)
        added = [None] * 3 if blank else [own, *pairs.get(own or "", [None, None])]
        rows.append([*(wide[place] for place in kept), *added])
    out = [replace(sheet, rows=rows)]
    if lists:
        out.append(Sheet(sheet.file, sheet.sheet, [[*LISTED], *lists.values()]))
    return out


def _tee(row: Sequence[Cell], held: Mapping[str, int], tees: Tees) -> str | None:
    """The tee of a row: its own, or that of its golfer."""
    own = row[held["tee"]] if "tee" in held else None
    if own is not None:
        begun = [tee for tee in tees.columns if tee.startswith(plain(own))]
        return begun[0] if len(begun) == 1 else str(own)
    return tees.names.get(plain(row[held["golfer"]])) if "golfer" in held else None


def by_days(sheet: Sheet, today: date) -> Sheet:
    """Return a sheet with a row a day where a row is of two days and has a score of each."""
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        held = {meaning: place for place, meaning in roles(row, today)[0].items()}
        if not {"date", "adjusted_gross_score"} <= set(held):
            continue
        when, score = held["date"], held["adjusted_gross_score"]
        if not any(two_days(one[when]) for one in sheet.rows[number:] if when < len(one)):
            return sheet
        rows, numbers = [*sheet.rows[:number]], [sheet.number_of(place) for place in range(1, number + 1)]
        for place, one in enumerate(sheet.rows[number:], number + 1):
            for each in _each_day([*one, *[None] * (len(row) - len(one))], when, score):
                rows.append(each)
                numbers.append(sheet.number_of(place))
        return replace(sheet, rows=rows, numbers=tuple(numbers))
    return sheet


def _each_day(row: list[Cell], when: int, score: int) -> list[list[Cell]]:
    days = two_days(row[when])
    if days is None:
        return [row]
    scores = two_scores(row[score])
    if scores is None:
        told = row[score]
        number = read_number(told)
        scores = (told, None) if number is None else (f"{number:g} for two days", None)
    out = []
    for day, one in zip(days, scores, strict=True):
        if one is not None:
            out.append(
                [day if place == when else one if place == score else cell for place, cell in enumerate(row)]
            )
    return out or [row]

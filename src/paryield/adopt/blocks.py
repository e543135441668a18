"""Rounds in blocks, each under a line with its day, course, ratings and event, with a header of its own."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from paryield.adopt.days import Order, lacks_year, read_date
from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.nines import says_nine
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.stacked import BACK, FRONT, SCORE
from paryield.adopt.values import rating_and_slope, read_number, sums_up
from paryield.adopt.words import WEEKDAYS, meaning_of, plain

ADDED: tuple[Cell, ...] = ("Date", "Course", "Course rating", "Slope", SCORE)
NOTES = "Notes"
"""Heading of what the line above a block says beside these, with the remarks of each row."""
OPEN_DAY = "?"
"""A day that nobody can read: rows under such a line are left out."""
NOT_SAID: tuple[Cell, ...] = (OPEN_DAY, None, None, None)
DASHED = re.compile(r"\s+[-–—|]\s+")
LISTED = re.compile(r"\s*[,;|]\s*(?![^(]*\))")
NUMBERS = re.compile(r"(\d{1,2})\s*([./-])\s*(\d{1,2})(?:\s*\2\s*(\d{4}|\d{2})?)?")
CR_SLOPE = re.compile(
    r"(?:course rating|cr)\W{0,3}(\d{2}(?:[.,]\d)?)\W+(?:slope(?: rating)?|slope|sl|sr)\W{0,3}(\d{2,3})",
    re.IGNORECASE,
)
WHERE = re.compile(
    r"\s*\((?:home|away|neutral|h|a|heim|heimplatz|zu ?hause|ausw(?:ä|ae)rts|domicile|ext[ée]rieur|casa|local"
    r"|visitante|fuera|trasferta|thuis|uit|hemma|borta|hjemme|ude|borte)\)\s*$",
    re.IGNORECASE,
)
"""Words in brackets behind a course that say whose it is."""
HALF = re.compile(
    r"\b(?:(?:front|back|first|last|second|out|in|erste|zweite|vordere|hintere|aller|retour|primera|segunda"
    r"|prime|seconde|eerste|tweede)[ -]*(?:9|nine|neun|neuf|nueve|nove|negen))\b",
    re.IGNORECASE,
)
"""Words for one half of the course, played alone."""
AGAINST = re.compile(
    r"(?:@|vs?\b|versus\b|gegen\b|contre\b|contra\b|contro\b|tegen\b|mot\b|at\b)", re.IGNORECASE
)
TEAMS = re.compile(
    r"(?:team|mannschaft|gesamt|equipe|equipo|squadra|ploeg|lag|hold|joukkue)"
    r"(?: (?:total|score|sum|summe|low|best|top|beste|\w{0,6}\d+|of|von|de|\d+))*"
)
"""What names the score of a whole team."""
YEAR = re.compile(r"(?<!\d)(20\d\d)(?:\s*[/-]\s*(\d{2}|20\d\d))?(?!\d)")
MOST_ON_NINE, LEAST_ON_NINE = 72.0, 25.0
"""Scores that nine holes may have. [judgement]"""


@dataclass(frozen=True)
class _Line:
    """What a line above a block says; ``numbers`` are two that may be day and month, and the year."""

    parts: tuple[str, ...]
    weekday: int | None
    numbers: tuple[int, int, int | None] | None
    day: Cell
    ratings: tuple[float, float] | None
    at: int | None
    """How many parts stand before the ratings."""


def blocked(sheet: Sheet, today: date) -> Sheet:
    """Return the rounds of a sheet in blocks as one list, else the sheet as it is.

    Each block stands under a line with its day first, course, ratings such as 71.3/126 and event, and has a
    header. Sums of teams are left out. A score that is not the sum of its nines, or that of nine holes alone,
    is replaced by words that say so.
    """
    year = _year(sheet)
    lines = {place: line for place, row in enumerate(sheet.rows) if (line := _line(row, year, today))}
    tops = [place for place, row in enumerate(sheet.rows) if _is_top(row, today)]
    headed = [place for place in lines if _next_to(sheet, place, 1) in tops]
    if not headed or min(tops) > HEADER_ROWS or not any(_in_one_word(lines[place]) for place in headed):
        return sheet
    days = _days([lines[place] for place in lines], year, today)
    said = dict(zip(lines, days, strict=True))
    heads = _union(sheet, tops, today)
    rows: list[list[Cell]] = [[*heads.values(), *ADDED, NOTES]]
    numbers = [sheet.number_of(tops[0] + 1)]
    top: Sequence[Cell] = ()
    told, event = [*NOT_SAID], ""
    for place, row in enumerate(sheet.rows):
        if place in lines:
            course, event = _course(lines[place], list(lines.values()))
            told = [said[place], course, *(lines[place].ratings or (None, None))]
        elif place in tops:
            top = row
            if _next_to(sheet, place, -1) not in lines:
                told, event = [*NOT_SAID], ""
        elif top and (out := _row(row, top, heads, event, today)) is not None:
            beside, score, note = out
            rows.append([*beside, *told, score, "; ".join(filter(None, (event, note))) or None])
            numbers.append(sheet.number_of(place + 1))
    mark = " | ".join(plain(cell) for cell in sheet.rows[tops[0]] if isinstance(cell, str))
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=sheet.mark or f"{mark} | blocks")


def _in_one_word(line: _Line) -> bool:
    """Whether a line says its ratings in one word, or its day without the year."""
    return line.ratings is not None or (line.numbers is not None and line.numbers[2] is None)


def _year(sheet: Sheet) -> int | None:
    """Return the only year that the rows above the first block, the sheet's name or its file's tell."""
    above: list[str] = []
    for row in sheet.rows[:HEADER_ROWS]:
        filled = [cell for cell in row if cell is not None]
        if len(filled) > 1 or (filled and _parts(row)):
            break
        above += [str(cell) for cell in filled]
    for text in (" ".join(above), sheet.sheet, sheet.file):
        found = {match.groups() for match in YEAR.finditer(text)}
        if found:
            years = {first for first, second in found}
            return int(years.pop()) if len(years) == 1 and all(not second for _, second in found) else None
    return None


def _parts(row: Sequence[Cell]) -> tuple[str, ...]:
    """Return the parts of a line with a day first, or nothing."""
    filled = [cell for cell in row if cell is not None]
    if not filled or any(isinstance(cell, float | bool) for cell in filled) or len(filled) > 5:
        return ()
    if isinstance(filled[0], date):
        filled[0] = filled[0].isoformat()
    text = " - ".join(str(cell) for cell in filled)
    for sign in (DASHED, LISTED):
        parts = tuple(part.strip() for part in sign.split(text) if part.strip())
        if len(parts) > 1 and _bare_day(parts[0])[1]:
            return parts
    return ()


def _bare_day(text: str) -> tuple[int | None, str]:
    """Return the weekday in front of a day, if any, and what stands behind it; blank where it is no day."""
    word = re.match(r"([^\W\d]{2,10})\.?,?\s+(?=\S)", text)
    weekday = WEEKDAYS.get(plain(word[1])) if word else None
    bare = text[word.end() :].strip() if word and weekday is not None else text.strip()
    numbered = NUMBERS.fullmatch(bare) is not None and rating_and_slope(bare) is None
    worded = len(plain(bare).split()) <= 4 and read_date(bare, "day first", date.max) is not None
    return weekday, bare if numbered or worded else ""


def _line(row: Sequence[Cell], year: int | None, today: date) -> _Line | None:
    parts = _parts(row)
    if not parts:
        return None
    weekday, bare = _bare_day(parts[0])
    match = NUMBERS.fullmatch(bare)
    numbers = None
    day: Cell = None
    if match is not None:
        own = int(match[4]) if match[4] else None
        numbers = int(match[1]), int(match[3]), own + 2000 if own is not None and own < 100 else own
    else:
        named = bare if re.search(r"\d{4}", bare) or year is None else f"{bare} {year}"
        day = named if lacks_year(named) else read_date(named, "day first", today)
    rest, at, ratings = list[str](), None, None
    for part in parts[1:]:
        both = CR_SLOPE.search(part)
        pair = rating_and_slope(f"{both[1]}/{both[2]}" if both else part.strip("() "))
        if pair is not None and ratings is None:
            ratings, at = pair, len(rest)
            part = (part[: both.start()] + part[both.end() :]).strip(" ()") if both else ""
        if part:
            rest.append(part)
    return _Line(tuple(rest), weekday, numbers, day, ratings, at)


def _days(lines: Sequence[_Line], year: int | None, today: date) -> list[Cell]:
    """Return the day of each line: a date where the weekdays prove the order, else as it is written."""
    fits: list[Order] = []
    told = [one for one in lines if one.weekday is not None and one.numbers is not None]
    for order in ("day first", "month first"):
        days = [_dated(one, year, order) for one in told]
        if all(day is not None and day.weekday() == one.weekday for day, one in zip(days, told, strict=True)):
            fits.append(order)
    proved = fits[0] if told and len(fits) == 1 else None
    out: list[Cell] = []
    for one in lines:
        if one.numbers is None:
            out.append(one.day or OPEN_DAY)
            continue
        first, second, own = one.numbers
        if proved is not None and (day := _dated(one, year, proved)) is not None:
            out.append(day)
        else:
            behind = own or year
            out.append(f"{first}/{second}/{behind}" if behind else f"{first}/{second}")
    return out


def _dated(line: _Line, year: int | None, order: Order) -> date | None:
    if line.numbers is None:
        return None
    first, second, own = line.numbers
    day, month = (first, second) if order == "day first" else (second, first)
    try:
        return date(own or year or 0, month, day)
    except ValueError:
        return None


def _course(line: _Line, lines: Sequence[_Line]) -> tuple[str | None, str]:
    """Return the course of a line and the rest of it.

    The course is the one part in front of the ratings, or the only one. Of several it is the first, where it
    is so in the lines that have ratings.
    """
    parts = [part for part in line.parts if not AGAINST.match(part)]
    place = None
    if line.at == 1 or (len(parts) == 1 and line.at in (None, 0)):
        place = 0
    elif line.at is None and parts and any(one.at == 1 for one in lines):
        place = 0 if all(one.at in (1, None) for one in lines) else None
    if place is None or not parts or parts[0] != line.parts[0]:
        return None, " - ".join(line.parts)
    return WHERE.sub("", parts[0]), " - ".join(line.parts[1:])


def _is_top(row: Sequence[Cell], today: date) -> bool:
    """Whether a row is the header of a block: a golfer, and a score or both nines, but no day."""
    held = set(roles(row, today)[0].values())
    if not held & {"golfer", "golfer_id", "last_name"} or held & {"date", "week", "course"}:
        return False
    names = [plain(cell) if isinstance(cell, str) else "" for cell in row]
    halves = any(name in FRONT for name in names) and any(name in BACK for name in names)
    return "adjusted_gross_score" in held or halves


def _next_to(sheet: Sheet, place: int, step: int) -> int | None:
    """Return the nearest row below (1) or above (-1) that is not blank."""
    end = len(sheet.rows) if step > 0 else -1
    rows = range(place + step, end, step)
    return next((one for one in rows if any(cell is not None for cell in sheet.rows[one])), None)


def _places(top: Sequence[Cell], today: date) -> tuple[int | None, int | None, int | None]:
    """Return the columns of the first nine, the second and the total."""
    names = [plain(cell) if isinstance(cell, str) else "" for cell in top]
    front = next((place for place, name in enumerate(names) if name in FRONT), None)
    back = next((place for place, name in enumerate(names) if name in BACK), None)
    if front is None or back is None:
        front = back = None
    held = roles([None if place in (front, back) else cell for place, cell in enumerate(top)], today)[0]
    total = next((place for place, what in held.items() if what == "adjusted_gross_score"), None)
    return front, back, total


def _union(sheet: Sheet, tops: Sequence[int], today: date) -> dict[str, Cell]:
    """Return the headings of all blocks but those of scores, by their plain names."""
    out: dict[str, Cell] = {}
    for place in tops:
        top = sheet.rows[place]
        gone = *_places(top, today), *_notes(top)
        for one, cell in enumerate(top):
            if cell is not None and one not in gone:
                out.setdefault(plain(cell), cell)
    return out


def _row(
    row: Sequence[Cell], top: Sequence[Cell], heads: Mapping[str, Cell], event: str, today: date
) -> tuple[list[Cell], Cell, str] | None:
    """Return a row of a block under the headings of all, its score and remarks; None if it is nobody's."""
    wide = [*row, *[None] * (len(top) - len(row))]
    own = {plain(cell): wide[place] for place, cell in enumerate(top) if cell is not None}
    columns = roles(top, today)[0]
    names = [wide[place] for place, what in columns.items() if what in ("golfer", "golfer_id", "last_name")]
    name = next((cell for cell in names if cell is not None), None)
    if not isinstance(name, str) or sums_up([name]) or TEAMS.fullmatch(plain(name)):
        return None
    if all(cell is None or cell in names for cell in wide):
        return None
    front, back, total = (None if place is None else wide[place] for place in _places(top, today))
    notes = [str(wide[place]) for place in _notes(top) if wide[place] is not None]
    return [own.get(head) for head in heads], _score(front, back, total, event), "; ".join(notes)


def _notes(top: Sequence[Cell]) -> list[int]:
    return [place for place, cell in enumerate(top) if isinstance(cell, str) and meaning_of(cell) == "note"]


def _score(front: Cell, back: Cell, total: Cell, event: str) -> Cell:
    """Return the score of 18 holes, or words that say why there is none."""
    halves = [read_number(front), read_number(back)]
    whole = read_number(total)
    told = [half for half in halves if half is not None]
    if total is not None and whole is None:
        return total
    if len(told) == 2:
        summed = sum(told)
        if whole is not None and whole != summed:
            return f"{told[0]:g} + {told[1]:g} is not {whole:g}"
        return summed
    one = "first nine alone" if halves[0] is not None else "second nine alone"
    if whole is None:
        return one if told else next((cell for cell in (front, back) if cell is not None), None)
    if told and whole - told[0] < LEAST_ON_NINE:
        return one if whole == told[0] else f"{told[0]:g} is not {whole:g}"
    if whole <= MOST_ON_NINE and (HALF.search(event) or says_nine(event)):
        return "half a round"
    return whole

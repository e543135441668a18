"""Sheets with a golfer in each column, turned so that every score or entry has a row of its own."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.log import Entry, read_log
from paryield.adopt.names import name_words, short_for
from paryield.adopt.nines import says_nine
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.teed import rating_heading, two_scores
from paryield.adopt.values import read_number, read_score, sums_up
from paryield.adopt.words import plain, practice_of

TAKEN = {"golfer", "first_name", "last_name", "golfer_id", "adjusted_gross_score", "score_differential"}
WHO, SCORE, PRACTISED = "Player", "Gross score", "Practice log"
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
LEAST_ON_NINE, LEAST, MOST = 27.0, 61.0, 140.0
"""Scores of rounds of 18 holes as they are looked for in cells (common practice, no source)."""
LONGEST_MARK = 6
"""Letters of a mark that stands for no score. [judgement]"""
PRACTICE = 0.5
"""Share of a column's cells that must name a practice for it to be a log. [judgement]"""
SCORES = 0.9
"""Share of the numbers of a column that must be such scores for its heading to be taken as a name."""


def upright(
    sheet: Sheet, today: date, people: Collection[frozenset[str]] = (), teed: Collection[int] = ()
) -> Sheet:
    """Return a sheet with a row a score where its columns are golfers, else the sheet as it is.

    The columns of golfers are those whose heading names nothing else and whose numbers are scores; the sheet
    has a date in each row, and neither a golfer nor a score of its own. ``people`` are the words of the names
    of known golfers: one such heading is enough, and what stands below may be practice in words as well.
    ``teed`` are columns below whose heading a tee stands: they are golfers.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        columns, spread = roles(row, today, people)
        held = set(columns.values())
        if not held & {"date", "week", "week_ending"} or held & TAKEN:
            continue
        below = [row for row in sheet.rows[number:] if not _sums_up(row, columns)]
        columns = {place: what for place, what in columns.items() if rating_heading(row[place]) is None}
        known = [place for place, cell in enumerate(row) if cell and name_words(str(cell)) in people]
        golfers = [
            place
            for place, cell in enumerate(row)
            if place not in columns and place not in spread and (place in known or _is_name(cell))
            if rating_heading(cell) is None and (place in teed or _holds_scores(below, place))
        ]
        golfers = _beside(golfers, row, below, {*columns, *spread})
        if "date" in held and (len(golfers) >= 2 or set(golfers) & set(known)):
            return _turned(sheet, number, golfers, columns)
        if not spread:
            practised = _who_practised(row, below, columns, known, people)
            if practised:
                return _turned(sheet, number, practised, columns, PRACTISED)
    return sheet


def _who_practised(
    row: Sequence[Cell],
    below: Sequence[Sequence[Cell]],
    columns: Mapping[int, str],
    known: Sequence[int],
    people: Collection[frozenset[str]],
) -> list[int]:
    """Columns headed by golfers that say in words what each practised: one known, or two known made short."""
    names = [place for place, cell in enumerate(row) if place not in columns and _is_name(cell)]
    short = [place for place in names if short_for(name_words(str(row[place])), people)]
    found = {*known, *short}
    if not any(_holds_practice(below, place) for place in found) or not (known or len(short) > 1):
        return []
    said = {one.phrase for place in found for one in _entries(below, place)} - {""}
    return sorted({*found, *(place for place in names if _holds_practice(below, place, said))})


def _is_name(cell: Cell) -> bool:
    """Whether a heading may be a person: one to four words of letters, none of weather or of a card."""
    if not isinstance(cell, str):
        return False
    words = plain(cell).split()
    return 1 <= len(words) <= 4 and all(one.isalpha() and one not in NO_NAMES for one in words)


def _beside(
    golfers: list[int], row: Sequence[Cell], rows: Sequence[Sequence[Cell]], held: Collection[int]
) -> list[int]:
    """Golfers with those beside them whose heading may be a name and who have scores or marks alone."""
    out = set(golfers)
    if len(out) < 2:
        return golfers
    for step, place in ((1, min(out)), (1, max(out)), (-1, min(out))):
        while 0 <= (place := place + step) < len(row) and (place in out or place <= max(out)):
            named = _is_name(row[place]) and rating_heading(row[place]) is None
            if place not in held and named and _may_hold_scores(rows, place):
                out.add(place)
            elif place not in out and not min(out) < place < max(out):
                break
    return sorted(out)


def _may_hold_scores(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    """Whether a column has a score of its own, and nothing but scores, of nine holes too, and short marks."""
    cells = [row[place] for row in rows if place < len(row) and row[place] is not None]
    numbers = [number for cell in cells if (number := read_score(cell)) is not None]
    marks = [cell for cell in cells if read_score(cell) is None]
    short = all(isinstance(cell, str) and (two_scores(cell) or len(cell) <= LONGEST_MARK) for cell in marks)
    scored = any(one >= LEAST for one in numbers)
    return short and scored and all(LEAST_ON_NINE <= one <= MOST and one == int(one) for one in numbers)


def _holds_scores(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    found = (
        read_score(row[place])
        for row in rows
        if place < len(row) and not any(says_nine(cell) for cell in row)
    )
    numbers = [number for number in found if number is not None]
    whole = all(one == int(one) for one in numbers)
    return bool(numbers) and whole and sum(LEAST <= one <= MOST for one in numbers) >= SCORES * len(numbers)


def _entries(rows: Sequence[Sequence[Cell]], place: int) -> list[Entry]:
    cells = [row[place] for row in rows if place < len(row)]
    return [one for cell in cells if isinstance(cell, str) for one in read_log(cell)]


def _holds_practice(rows: Sequence[Sequence[Cell]], place: int, said: Collection[str] = ()) -> bool:
    """Whether at least half of the cells of a column say in words what was practised.

    ``said`` are words that columns of known golfers hold, which may be short ones of the coach's own.
    """
    cells = [row[place] for row in rows if place < len(row) and row[place] is not None]
    named = [
        isinstance(cell, str)
        and any(not one.phrase or one.phrase in said or practice_of(one.phrase) for one in read_log(cell))
        for cell in cells
    ]
    return bool(cells) and sum(named) >= PRACTICE * len(cells)


def _is_word(cell: Cell) -> bool:
    """Whether a cell holds a word instead of a score, such as NR: it is counted as left out."""
    return isinstance(cell, str) and any(sign.isalpha() for sign in cell)


def _sums_up(row: Sequence[Cell], columns: Collection[int]) -> bool:
    """Whether a row sums up others: it says so, or has no day and no course but a number that is not whole.

    ``columns`` are those whose heading says what they hold.
    """
    numbers = [read_number(cell) for place, cell in enumerate(row) if place not in columns]
    told = any(cell is not None for place, cell in enumerate(row) if place in columns)
    return sums_up(row) or (
        not told and any(number is not None and number != int(number) for number in numbers)
    )


def _turned(
    sheet: Sheet, header: int, golfers: list[int], columns: Collection[int], what: str = SCORE
) -> Sheet:
    """Write each golfer's cell below the other, with all else of its row beside it; sums are left out.

    A cell that goes over the columns of several golfers says what each of them practised.
    """
    top = sheet.rows[header - 1]
    kept = [place for place in range(len(top)) if place not in golfers]
    rows: list[list[Cell]] = [list(row) for row in sheet.rows[: header - 1]]
    rows.append([*(top[place] for place in kept), WHO, what])
    numbers = [sheet.number_of(number) for number in range(1, header + 1)]
    for number, row in enumerate(sheet.rows[header:], header + 1):
        if _sums_up(row, columns):
            continue
        wide = [*row, *[None] * (len(top) - len(row))]
        for _, left, right in (one for one in sheet.spans if one[0] == sheet.number_of(number)):
            if what == PRACTISED and left in golfers:
                wide = [wide[left] if left <= place <= right else cell for place, cell in enumerate(wide)]
        for place in golfers:
            cell = wide[place]
            if (
                read_score(cell) is not None
                or two_scores(cell)
                or _is_word(cell)
                or (what == PRACTISED and cell is not None)
            ):
                rows.append([*(wide[one] for one in kept), top[place], cell])
                numbers.append(sheet.number_of(number))
    mark = " | ".join(plain(top[place]) for place in kept if isinstance(top[place], str))
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=f"{mark} | {plain(what)}")

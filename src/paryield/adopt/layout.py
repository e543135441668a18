"""Where a sheet's header stands, what its columns hold, and what kind of sheet it is."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from paryield.adopt.contents import (
    cells_of,
    corrected,
    with_contents,
    with_golfers,
    with_two_names,
    with_unknown_kinds,
    with_words_for_amounts,
)
from paryield.adopt.days import read_date
from paryield.adopt.headings import REPS, WEEKDAY_NAMES, title_of, unit_of, units_below, weekdays_in_order
from paryield.adopt.names import name_words
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tests_named import feet_in, names_test
from paryield.adopt.typed import is_entry, is_typed, over_days, typed_header
from paryield.adopt.values import read_minutes, read_number, read_share, sums_up
from paryield.adopt.words import (
    MONTHS,
    PUTTING,
    WEEKDAYS,
    is_adjusted,
    meaning_of,
    names_several,
    plain,
    practice_of,
)

Kind = Literal[
    "golfers", "rounds", "practice", "log", "tests", "courses", "wide rounds", "wide practice", "wide tests"
]

SCORED = ("adjusted_gross_score", "score_differential", "reps", "note")
"""The two ways of telling a score, and what a column of scores, or of words beside it, may be taken for."""
RAW = "raw_score"
"""A column of scores as they were, beside one of scores adjusted for their worst holes."""
HEADER_ROWS = 40
"""Rows from the top among which the header is sought."""
NINE = 9
MOST_WORDS = 5
"""Words that a heading for a kind of practice may have. [judgement]"""
NAMED = 0.5
"""Share of what was done that must name a distance or a ring, for made and tried to be tests. [judgement]"""
HALVES = ("out", "in", "front", "back", "front nine", "back nine", "aller", "retour", "ut")
"""Headings of the sums of nine holes."""
GENERIC = (
    *("sheet", "tabelle", "feuil", "hoja", "foglio", "blad", "ark", "table", "data", "page"),
    *(
        "work",
        "extra",
        "practice",
        "training",
        "log",
        "diary",
        "responses",
        "answers",
        "team",
        "squad",
        "scores",
    ),
)
"""Words in the name of a sheet or file that is not that of a golfer."""

SAID: dict[str, str] = {
    "golfers": "who the golfers are",
    "rounds": "rounds, one row each",
    "practice": "practice, one row an entry",
    "log": "a log of practice in words",
    "tests": "tests, one row each",
    "courses": "ratings of courses",
    "wide rounds": "rounds, one column a date",
    "wide practice": "practice, one column a day or a kind",
    "wide tests": "tests, one column a distance",
}
"""Each kind as a reader is told of it."""


@dataclass(frozen=True)
class Layout:
    """What is understood of a sheet.

    Parameters
    ----------
    kind : str
        Key of :data:`SAID`.
    header : int
        Row of the header, from 1.
    columns : dict of int to str
        Column, from 0, to what it holds.
    spread : dict of int to (date, float or str)
        Columns of a wide sheet to the day, distance in feet, weekday (``mon`` to ``sun``) or kind of
        practice that their header names.
    unused : tuple of str
        Headers of which nothing is taken.
    title : dict of str to Cell
        What the rows above the header say: ``golfer``, ``course_rating``, ``tried``, ``year`` ...
    units : dict of int to str
        Columns to the unit that a row right below the header names.
    """

    kind: Kind
    header: int
    columns: dict[int, str]
    spread: dict[int, date | float | str]
    unused: tuple[str, ...]
    title: dict[str, Cell] = field(default_factory=dict)
    units: dict[int, str] = field(default_factory=dict)

    def column(self, meaning: str) -> int | None:
        """Return the column that holds something, or None."""
        return next((place for place, held in self.columns.items() if held == meaning), None)

    def words(self) -> int | None:
        """Return the column of a log that says what was practised, or None."""
        told = (self.column(name) for name in ("log", "category", "note"))
        return next((place for place in told if place is not None), None)

    def unkept(self) -> int | None:
        """Return the column of remarks where the rows that come of the sheet have no place for them."""
        return None if self.kind in ("practice", "log", "wide practice") else self.column("note")

    def rows(self, sheet: Sheet) -> Iterator[tuple[int, list[Cell]]]:
        """Yield the rows below the header with their numbers; blank rows, headers and sums left out."""
        top = sheet.rows[self.header - 1]
        for number, row in enumerate(sheet.rows[self.header :], self.header + 1):
            if (
                sums_up(row)
                or all(cell is None for cell in row)
                or (self.units and number == self.header + 1)
            ):
                continue
            if [*map(plain, row)] != [*map(plain, top)]:
                yield sheet.number_of(number), [*row, *[None] * (len(top) - len(row))]


def signature(sheet: Sheet, header: int) -> str:
    """Return what tells next week's file of the same kind from another: the headers that are no dates."""
    if sheet.mark:
        return sheet.mark
    cells = (plain(cell) for cell in sheet.rows[header - 1] if isinstance(cell, str))
    return " | ".join(cell for cell in cells if cell and not any(sign.isdigit() for sign in cell))


def find_layout(sheet: Sheet, today: date, people: Collection[frozenset[str]] = ()) -> Layout | None:
    """Return the layout of a sheet, or None where no header can be found that says what it holds.

    ``people`` are the words of the names of known golfers: a heading of these is nothing else.
    """
    found = _header(sheet, today, people)
    if found is None:
        return None
    number, columns, spread = found
    below = [row for row in sheet.rows[number:] if not sums_up(row)]
    columns = corrected(columns, below)
    columns = with_golfers(columns, spread, sheet.rows[number - 1], below, people)
    title = title_of(sheet.rows[: number - 1], sheet, today)
    columns = with_words_for_amounts(columns, below)
    columns = with_contents(columns, spread, sheet.rows[number - 1], below)
    columns, spread = _with_kinds(columns, spread, sheet.rows[number - 1], below)
    columns = with_two_names(columns, sheet.rows[number - 1])
    kind = kind_of(columns, spread, below)
    if kind == "wide practice":
        spread = with_unknown_kinds(columns, spread, sheet.rows[number - 1], below)
    if kind is None:
        return None
    if kind == "courses" and "course" not in columns.values():
        columns = {place: "course" if held == "golfer" else held for place, held in columns.items()}
    if kind == "tests":
        tested = "test" in columns.values()
        columns = {
            place: "test" if held == "category" and not tested else held for place, held in columns.items()
        }
    if kind in ("rounds", "golfers", "courses", "tests", "log"):
        spread = {}
    header = sheet.rows[number - 1]
    unused = [
        str(cell) for place, cell in enumerate(header) if cell is not None and place not in columns | spread
    ]
    units = units_below(below, [*spread]) if kind == "wide practice" else {}
    return Layout(kind, number, columns, spread, tuple(unused), title, units)


def _header(
    sheet: Sheet, today: date, people: Collection[frozenset[str]]
) -> tuple[int, dict[int, str], dict[int, date | float | str]] | None:
    """Return the row that says most of what columns hold, and that: the first over days of its own."""
    best, found = 0.0, None
    typed = typed_header(sheet, today)
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        if typed is not None and number > typed and any(is_typed(cell, today) for cell in row):
            continue
        if is_entry(sheet, number, _beside_holes(row), today):
            continue
        columns, spread = roles(row, today, people)
        score = len(columns) + 0.9 * len(spread)
        if (
            score >= 2
            and score > best
            and (len(columns) + len(spread)) >= 0.3 * sum(cell is not None for cell in _beside_holes(row))
        ):
            best, found = score, (number, columns, spread)
            dated = next((place for place, held in columns.items() if held in ("date", "week")), None)
            if dated is not None and over_days(sheet, number, dated, today):
                break
    return found


def _with_kinds(
    columns: dict[int, str],
    spread: dict[int, date | float | str],
    header: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
) -> tuple[dict[int, str], dict[int, date | float | str]]:
    """Take columns headed by the course or putts for practice, where a row of units says so for a kind."""
    kinds = [named for named in spread.values() if isinstance(named, str) and named.startswith("practice ")]
    played = {"adjusted_gross_score", "course_rating"} & set(columns.values())
    if played or len(kinds) < 2 or not units_below(rows, [*columns, *spread]):
        return columns, spread
    found: dict[int, str] = {}
    for place, held in columns.items():
        cells = [row[place] for row in rows if place < len(row) and row[place] is not None]
        cells = [cell for cell in cells if unit_of(cell) is None]
        words = [cell for cell in cells if isinstance(cell, str) and not re.search(r"^\W*$|\d", cell)]
        if held == "course" and cells and len(words) <= 0.2 * len(cells):
            found[place] = "practice on_course"
        elif held == "putts" and (kind := practice_of(str(header[place]))) is not None:
            found[place] = f"practice {kind}"
    kept = {place: held for place, held in columns.items() if place not in found}
    return kept, dict(sorted({**spread, **found}.items()))


def roles(
    row: Sequence[Cell], today: date, people: Collection[frozenset[str]] = ()
) -> tuple[dict[int, str], dict[int, date | float | str]]:
    """What the cells of a row name, if it is the header; names of people are left aside."""
    columns: dict[int, str] = {}
    spread: dict[int, date | float | str] = {}
    days = weekdays_in_order(row)
    spread |= days
    for place, cell in enumerate(_beside_holes(row)):
        if cell is None or place in days or isinstance(cell, bool) or name_words(str(cell)) in people:
            continue
        meaning = meaning_of(cell) if isinstance(cell, str) else None
        if meaning is not None:
            before = next((one for one, held in columns.items() if held == meaning), None)
            if before is None:
                columns[place] = meaning
            elif is_adjusted(cell) and not is_adjusted(row[before]):
                columns[before], columns[place] = RAW, meaning
            elif is_adjusted(row[before]) and not is_adjusted(cell):
                columns.setdefault(place, RAW)
            continue
        named = named_by(cell, today)
        if named is not None:
            spread[place] = named
    return columns, spread


def _beside_holes(row: Sequence[Cell]) -> list[Cell]:
    """Return a heading with its hole numbers, and the halves between them, left blank."""
    holes = [place for place, cell in enumerate(row) if _hole(cell) is not None]
    if len({_hole(row[place]) for place in holes}) < NINE:
        return list(row)
    first, last = holes[0], holes[-1]
    return [
        None
        if place in holes or (first <= place <= last + 1 and isinstance(cell, str) and plain(cell) in HALVES)
        else cell
        for place, cell in enumerate(row)
    ]


def _hole(cell: Cell) -> int | None:
    """Return the number of the hole that a heading is, or None."""
    match = re.fullmatch(
        r"(?:(?:hole|loch|trou|hoyo|buca|h)\s*)?(\d{1,2})(?:\.0)?", str(cell).strip().casefold()
    )
    return int(match[1]) if match and 1 <= int(match[1]) <= 18 and not isinstance(cell, bool) else None


def named_by(cell: Cell, today: date) -> date | float | str | None:
    """Return the day, distance in feet, weekday or kind of practice that a header names."""
    day = read_date(cell, "day first", today)
    if day is not None:
        return day
    if not isinstance(cell, str):
        return None
    if (feet := feet_in(cell)) is not None:
        return feet
    word = plain(cell)
    if word in WEEKDAYS:
        return WEEKDAY_NAMES[WEEKDAYS[word]]
    # Beside a comma stands another practice, or the first name of somebody whose last name is such a word.
    named = all(practice_of(part) for part in cell.split(",")) and len(word.split()) <= MOST_WORDS
    if not named:
        return None
    bare = [one for one in plain(re.sub(r"[(\[].*?[)\]]", " ", cell)).split() if unit_of(one) in (None, REPS)]
    if " ".join(bare) in PUTTING:
        return f"practice {' '.join(bare)}"
    return f"practice {cell.strip() if names_several(cell) else practice_of(cell)}"


def kind_of(
    columns: dict[int, str], spread: Mapping[int, object], rows: Sequence[Sequence[Cell]]
) -> Kind | None:
    """Return what kind of sheet has these columns; the narrowest that fits."""
    held = set(columns.values())
    dated = bool(held & {"date", "week", "week_ending"})
    days = [place for place, named in spread.items() if isinstance(named, date)]
    kinds = [place for place, named in spread.items() if isinstance(named, str)]
    distances = [place for place, named in spread.items() if isinstance(named, float)]
    if len(days) >= 2 and not dated:
        return "wide rounds" if holds_scores(rows, days) and "category" not in held else "wide practice"
    if len(distances) >= 2:
        return "wide tests"
    played = held & {"course_rating", "slope_rating", "score_differential", "course"}
    if len(kinds) >= 2 and dated and not played:
        return "wide practice"  # its "total" is one of minutes
    if {"adjusted_gross_score", "score_differential"} & held and "date" in held:
        return "rounds"
    if kinds and dated and (len(kinds) >= 2 or not held & {"minutes", "hours", "reps", "log"}):
        return "wide practice"
    if "log" in held and dated:
        return "log"
    if dated and "made" in held and held & {"test", "distance_ft", "distance_m", "distance"}:
        return "tests"
    if dated and "test" in held and held & {"value", "adjusted_gross_score"}:
        return "tests"
    if dated and {"category", "made", "tried"} <= held and not held & {"minutes", "hours", "reps"}:
        told = [
            cell for place, what in columns.items() if what == "category" for cell in cells_of(rows, place)
        ]
        if told and sum(map(names_test, told)) >= NAMED * len(told):
            return "tests"
    if dated and "category" in held and held & {"minutes", "hours", "reps", "tried"}:
        return "practice"
    if dated and held & {"category", "note"} and not held & {"adjusted_gross_score"}:
        return "log"
    if {"course_rating", "slope_rating"} <= held and held & {"course", "golfer"} and not dated:
        return "courses"
    people = {
        "start_index",
        "goal_index",
        "birth_year",
        "weekly_hours",
        "group",
        "coach",
        "joined_on",
        "sex",
        "called",
        "goal_on",
    }
    if held & {"golfer", "last_name", "golfer_id"} and held & people and not dated:
        return "golfers"
    return None


def holds_scores(rows: Sequence[Sequence[Cell]], places: Sequence[int]) -> bool:
    """Whether the cells of some columns are scores of rounds, not minutes or words."""
    cells = [row[place] for row in rows for place in places if place < len(row) and row[place] is not None]
    numbers = [number for cell in cells if (number := read_number(cell)) is not None]
    if len(numbers) < 0.7 * len(cells) or any(read_share(cell) for cell in cells):
        return False
    if any(
        isinstance(cell, str) and re.search(r"[a-z]{3}", cell.casefold()) and read_minutes(cell)
        for cell in cells
    ):
        return False
    inside = sum(61 <= number <= 140 for number in numbers)
    fives = sum(number % 5 == 0 for number in numbers)
    return bool(numbers) and inside >= 0.8 * len(numbers) and fives < 0.6 * len(numbers)


def sole_golfer(sheet: Sheet, layout: Layout) -> str | None:
    """Return the golfer of a sheet that has no column for one, as the title or the sheet's name says."""
    told = layout.title.get("golfer")
    if told is not None:
        return str(told)
    name = sheet.sheet or re.sub(r"[_\-]+", " ", sheet.file.rsplit(".", 1)[0])
    words = plain(name).split()
    if (
        not words
        or any(word in GENERIC or word.isdigit() for word in words)
        or all(word in MONTHS for word in words)
        or meaning_of(name)
        or practice_of(name)
    ):
        return None
    return name if sheet.sheet or len(words) >= 2 else None

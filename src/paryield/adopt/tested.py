"""Sheets of tests with a column a test or a column a golfer, turned so that every result has its own row."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.layout import HEADER_ROWS, roles, signature
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.stacked import said_above
from paryield.adopt.tests_named import DISTANCE, NUMBER_OF, named_test, names_test, out_of, value_of
from paryield.adopt.values import read_number, read_share, sums_up
from paryield.adopt.words import MONTHS, TOTALS, WEEKDAYS, begins_sum, meaning_of, plain, practice_of

ADDED: tuple[Cell, ...] = ("Test", "Distance ft", "Made", "Tried")
WHO, WHEN = "Player", "Date"
KEPT = ("golfer", "golfer_id", "first_name", "last_name", "date", "week", "week_ending", "note")
"""Columns beside the results of a sheet that holds tests, as somebody said."""
TESTS = re.compile(
    r"\btest(?:s|e|en|er|ing|ergebnis\w*|resultat\w*|results?|daten|data|day|days|tag|tage)?\b"
    r"|\b(?:putt\w*|chip\w*|pitch\w*|short ?game|kurzspiel|leistungs|golf|skills?|bunker)tests?\b"
    r"|\b(?:assessments?|pruebas?|prufung(?:en)?|pruefung(?:en)?|epreuves?|evaluations?|evaluacion(?:es)?"
    r"|prova|prove|valutazion[ei]|toets(?:en)?|prov|prover)\b"
)
"""Words of a title, a sheet's or a file's name that say that it holds tests."""
OUT_OF = re.compile(
    r"(?:out )?of|from|max(?:imum)?|tries|tried|attempts|balls|possible|von|aus|versuche|balle|moglich(?:e)?"
    r"|sur|essais|balles|de|sobre|intentos|bolas|su|di|tentativi|palline|van|uit|ballen|pogingen|av|af|forsok"
    r"|forsog|bollar|baller|bolde"
)
"""What stands at the start of the row that says how many were tried in each test."""
DAY_IN = re.compile(r"(?<![\d./-])\d{1,2}([./-])\d{1,2}(?![\d/-])")
"""A day and month without a year in a line above a list."""
LONGEST_MARK = 5
"""Letters of a mark such as ``x`` or ``inj.`` for a test that was not done. [judgement]"""
SHARED = 0.5
"""Share of the results that are made of tried, for which a sheet is one of tests. [judgement]"""
ALL_SHARED = 0.9
"""Share of the results that are made of tried, from which half the headings must name tests. [judgement]"""
MOST_TRIED = 200.0
ASSUMED = "?"
"""Behind a number of tries that stands in other rows of the same test only."""


def says_tests(sheet: Sheet, header: int) -> bool:
    """Whether the lines above the header, the sheet's name or the file's say that it holds tests."""
    above = [str(cell) for row in sheet.rows[: max(header - 1, 0)] for cell in row if cell is not None]
    names = (*above, sheet.sheet, sheet.file.rsplit(".", 1)[0])
    return any(TESTS.search(plain(text)) for text in names)


def out_of_row(row: Sequence[Cell]) -> bool:
    """Whether a row says how many were tried in each test: ``out of | 10 | 10``."""
    filled = [cell for cell in row if cell is not None]
    words = [cell for cell in filled if read_number(cell) is None]
    numbers = [number for cell in filled if (number := read_number(cell)) is not None]
    return (
        len(words) == 1
        and len(numbers) >= 1
        and isinstance(filled[0], str)
        and OUT_OF.fullmatch(plain(filled[0])) is not None
        and all(1 <= number <= MOST_TRIED and number == int(number) for number in numbers)
    )


def looks_tested(sheet: Sheet, header: int, places: Sequence[int]) -> bool:
    """Whether anything of a sheet says that its cells are results of tests and not practice."""
    rows = sheet.rows[header:]
    if says_tests(sheet, header) or any(out_of_row(row) for row in (*rows[:3], *sheet.rows[: header - 1])):
        return True
    top = sheet.rows[header - 1]
    above = [cell for row in sheet.rows[: header - 1] for cell in row]
    if any(map(names_test, (*above, *(top[place] for place in places if place < len(top))))):
        return True
    return _shared(rows, places) >= SHARED


def _shared(rows: Sequence[Sequence[Cell]], places: Sequence[int]) -> float:
    cells = [row[place] for row in rows for place in places if place < len(row) and row[place] is not None]
    results = [cell for cell in cells if read_share(cell) or read_number(cell) is not None]
    return sum(read_share(cell) is not None for cell in results) / len(results) if results else 0.0


def as_tests(sheet: Sheet, today: date) -> Sheet:
    """Return a sheet of tests with a row a result, else the sheet as it is.

    Either the golfers stand below one another and each column is a test, with a row or a bracket that says
    how many were tried, or the tests stand below one another and each column is a golfer, in one list or in
    several under lines with their days.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        turned = (
            column_a_test(sheet, number, today)
            or _across(sheet, number, row, today)
            or _across_days(sheet, number, row, today)
        )
        if turned is not None:
            return turned
    return sheet


def column_a_test(sheet: Sheet, number: int, today: date, said: bool = False) -> Sheet | None:
    """Return golfers below one another with a column a test as a row a result, or None where they are not.

    ``said`` is whether somebody said that the sheet holds tests, so that nothing need prove it.
    """
    top = sheet.rows[number - 1]
    columns, _ = roles(top, today)
    held = set(columns.values())
    who = {"golfer", "golfer_id", "last_name", "first_name", "date"}
    if not said and (not held & who or held & {"made", "test", "course"}):
        return None
    if said:
        columns = {place: what for place, what in columns.items() if what in KEPT}
    below = [row for row in sheet.rows[number:] if any(cell is not None for cell in row)]
    tried = next((row for row in [*below[:2], *sheet.rows[: number - 1]] if out_of_row(row)), None)
    places = [
        place
        for place, cell in enumerate(top)
        if cell is not None and place not in columns and not sums(cell) and not isinstance(cell, date)
        if _holds_results(below, place) or (said and _holds_numbers(below, place))
    ]
    tests = [place for place in places if tried is None or read_number(cell_at(tried, place)) is not None]
    named = sum(names_test(top[place]) for place in tests)
    if not tests or (tried is None and not said and not _told(below, top, tests, named)):
        return None
    kept = [place for place in range(len(top)) if place not in places]
    rows: list[list[Cell]] = [[*row] for row in sheet.rows[: number - 1] if not out_of_row(row)]
    numbers = [sheet.number_of(place) for place in range(1, number) if not out_of_row(sheet.rows[place - 1])]
    nameless = all(named_test(top[place], None).test is None for place in tests)
    rows.append([*(None if sums(top[place]) else top[place] for place in kept), *ADDED[nameless:]])
    numbers.append(sheet.number_of(number))
    days = [place for place, held in columns.items() if held == "date"]
    usual = {place: often for place in tests if (often := _usual(below, place)) is not None}
    day: Cell = None
    for place, row in enumerate(sheet.rows[number:], number + 1):
        if out_of_row(row) or sums_up(row) or [*map(plain, row)] == [*map(plain, top)]:
            continue
        day = next((cell_at(row, one) for one in days if cell_at(row, one) is not None), day)
        for test in tests:
            if (cell := cell_at(row, test)) is None:
                continue
            one = named_test(top[test], read_number(cell_at(tried or (), test)))
            beside = [day if other in days else cell_at(row, other) for other in kept]
            of: Cell = one.tried
            if of is None and read_number(cell) is not None:
                of = usual.get(test)
            rows.append([*beside, *([] if nameless else [one.said]), one.feet, cell, of])
            numbers.append(sheet.number_of(place))
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=signature(sheet, number))


def _usual(rows: Sequence[Sequence[Cell]], place: int) -> str | None:
    """Return how many most results of a column say were tried, with a mark that this is to be asked."""
    counts = Counter(share[1] for row in rows if (share := read_share(cell_at(row, place))) is not None)
    often = counts.most_common(1)
    return f"{often[0][0]}{ASSUMED}" if often and often[0][1] > 0.5 * counts.total() else None


def _told(rows: Sequence[Sequence[Cell]], top: Sequence[Cell], tests: Sequence[int], named: int) -> bool:
    """Whether columns without a row of how many were tried are tests all the same.

    Columns that are headed by distances alone are read as they stand.
    """
    if all(DISTANCE.fullmatch(str(top[place]).strip()) for place in tests):
        return False
    if all(out_of(str(top[place])) for place in tests):
        return True
    if named >= SHARED * len(tests) and _shared(rows, tests) >= ALL_SHARED:
        return True
    brackets = all(NUMBER_OF.search(str(top[place])) for place in tests)
    return named == len(tests) and (brackets or _shared(rows, tests) >= SHARED)


def _holds_results(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    """Whether a column holds results: counts, made of tried, or what a spreadsheet made of these."""
    cells = [cell for row in rows if (cell := cell_at(row, place)) is not None and not out_of_row(row)]
    results = [
        isinstance(cell, date)
        or read_share(cell) is not None
        or ((number := read_number(cell)) is not None and 0 <= number <= MOST_TRIED and number == int(number))
        for cell in cells
    ]
    words = sum(isinstance(cell, str) and len(cell) <= LONGEST_MARK and read_share(cell) is None
                and read_number(cell) is None for cell in cells)  # fmt: skip
    return any(results) and sum(results) >= 0.7 * (len(cells) - words)


def _holds_numbers(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    """Whether most cells of a column are numbers, such as speeds."""
    cells = [cell for row in rows if (cell := cell_at(row, place)) is not None and not out_of_row(row)]
    return bool(cells) and sum(read_number(cell) is not None for cell in cells) >= 0.7 * len(cells)


def _across(sheet: Sheet, number: int, row: Sequence[Cell], today: date) -> Sheet | None:
    """Tests below one another, a column a golfer, under lines with their days."""
    names = _golfers(row)
    if len(names) < 2 or roles([cell_at(row, place) for place in names], today)[0]:
        return None
    first = min(names) - 1
    if first != 0 or meaning_of(str(row[first] or "test")) not in ("test", "category", None):
        return None
    below = _block(sheet.rows[number:], row, today)
    results = [one for one in below if not sums(one[first])]
    if len(results) < 2 or not all(isinstance(one[first], str) for one in results):
        return None
    if any(read_number(one[first]) is not None for one in results):
        return None
    shared = _shared(results, [*names])
    bare = all(
        NUMBER_OF.search(str(one[first])) or value_of(str(one[first])) or _shared([one], [*names]) >= SHARED
        for one in results
    )
    named = sum(map(bool, (names_test(one[first]) or value_of(str(one[first])) for one in results)))
    named = named >= SHARED * len(results)
    if shared < SHARED and not (bare and named):
        return None
    return _list_of(sheet, row, names, today)


LEADING = ("date", "test", "category", "distance", "distance_ft", "distance_m", "tried")
"""Columns in front of those of golfers, where a row is a test of a day."""


def _across_days(sheet: Sheet, number: int, row: Sequence[Cell], today: date) -> Sheet | None:
    """Tests below one another with their day, and perhaps how far and of how many, a column a golfer."""
    leading = 0
    columns: dict[str, int] = {}
    while (
        leading < len(row) and (what := meaning_of(str(row[leading] or ""))) in LEADING and what is not None
    ):
        columns[what] = leading
        leading += 1
    test = columns.get("test", columns.get("category"))
    if test is None or "date" not in columns:
        return None
    names = _golfers([None, *row[leading:]])
    places = [leading + place - 1 for place in names]
    below = [one for one in sheet.rows[number:] if isinstance(cell_at(one, test), str) and not sums_up(one)]
    told = [bool(_shared([one], places) >= SHARED or value_of(str(one[test]))) for one in below]
    if len(names) < 2 or len(below) < 2 or sum(told) < ALL_SHARED * len(told):
        return None
    rows: list[list[Cell]] = [[*one] for one in sheet.rows[: number - 1]]
    of = () if "tried" in columns else ADDED[3:]
    rows.append([*row[:leading], WHO, ADDED[2], *of])
    numbers = [sheet.number_of(one) for one in range(1, number + 1)]
    day: Cell = None
    for place, one in enumerate(sheet.rows[number:], number + 1):
        if not isinstance(cell_at(one, test), str) or sums_up(one):
            continue
        day = cell_at(one, columns["date"]) or day
        beside = [day if at == columns["date"] else cell_at(one, at) for at in range(leading)]
        for column, name in zip(places, names.values(), strict=True):
            if (cell := cell_at(one, column)) is not None:
                rows.append([*beside, name, cell, *(named_test(one[test], None).tried for _ in of)])
                numbers.append(sheet.number_of(place))
    mark = " | ".join(plain(cell) for cell in row[:leading])
    return replace(
        sheet, rows=rows, numbers=tuple(numbers), mark=f"{mark} | tests, a column a golfer", spans=()
    )


def _golfers(row: Sequence[Cell]) -> dict[int, str]:
    """Columns behind the first whose headings may be names."""
    out: dict[int, str] = {}
    for place, cell in enumerate(row):
        if place == 0 or cell is None:
            continue
        words = plain(cell).split() if isinstance(cell, str) else []
        if not words or len(words) > 4 or not all(word.isalpha() for word in words):
            return {}
        if meaning_of(str(cell)) == "note":
            continue
        if (
            meaning_of(str(cell))
            or practice_of(str(cell))
            or plain(cell) in MONTHS
            or plain(cell) in WEEKDAYS
        ) and not (str(cell).isupper() and len(words[0]) == 3):
            return {}
        out[place] = str(cell)
    return out


def _block(rows: Sequence[Sequence[Cell]], header: Sequence[Cell], today: date) -> list[list[Cell]]:
    """Rows of the first list, up to a blank row or a line above the next list."""
    out: list[list[Cell]] = []
    for row in rows:
        filled = [cell for cell in row if cell is not None]
        if not filled or len(filled) == 1:
            break
        if [*map(plain, row)] == [*map(plain, header)]:
            break
        out.append([*row, *[None] * (len(header) - len(row))])
    return out


def _list_of(sheet: Sheet, header: Sequence[Cell], names: Mapping[int, str], today: date) -> Sheet:
    rows: list[list[Cell]] = [[WHEN, WHO, *ADDED]]
    numbers = [1]
    day: Cell = None
    for place, row in enumerate(sheet.rows, 1):
        filled = [cell for cell in row if cell is not None]
        if (said := said_above(row, sheet, today)) or len(filled) == 1:
            day = said.get("date") or next(filter(None, map(_day_in, filled)), None)
            continue
        if (
            [*map(plain, row)] == [*map(plain, header)]
            or not isinstance(cell_at(row, 0), str)
            or sums(row[0])
        ):
            continue
        if place <= sheet.rows.index([*header]) + 1:
            continue
        one = named_test(row[0], None)
        for column, name in names.items():
            if (cell := cell_at(row, column)) is not None:
                rows.append([day, name, one.said, one.feet, cell, one.tried])
                numbers.append(sheet.number_of(place))
    mark = f"{plain(header[0] or '')} | tests, a column a golfer"
    return replace(sheet, rows=rows, numbers=tuple(numbers), mark=mark)


def _day_in(cell: Cell) -> str | None:
    match = DAY_IN.search(cell) if isinstance(cell, str) else None
    return match[0] if match else None


def sums(cell: Cell) -> bool:
    """Whether a heading, or what a row is called, is that of a sum or a mean."""
    return begins_sum(cell) or (isinstance(cell, str) and not TOTALS.isdisjoint(plain(cell).split()))

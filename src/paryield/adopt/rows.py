"""The rows of an understood sheet as rows of the tables, each with the place it came from."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from paryield.adopt.days import day_of_month, is_no_day, lacks_year, read_date, span_of, week_of
from paryield.adopt.found import NINE, Found, Line, Row, Settled, get, number_text, text_of
from paryield.adopt.layout import Layout
from paryield.adopt.lines_of_names import names_on_lines
from paryield.adopt.names import bare_name
from paryield.adopt.nines import says_nine
from paryield.adopt.plays import is_of_nine, not_of_one, part_played, score_cell
from paryield.adopt.practice import log, practice, wide_practice
from paryield.adopt.results import tests, wide_tests
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.titled import line_above
from paryield.adopt.values import (
    rating_and_slope,
    read_minutes,
    read_number,
    read_score,
    read_share,
    says_competition,
    says_practice,
    sums_up,
)
from paryield.adopt.weeks import number_of
from paryield.adopt.words import MONTHS, WEEKDAYS, plain
from paryield.tables.check import HIGHEST_PAR_OF_9, LOWEST_RATING_OF_18

COPIED = ("greens_hit", "fairways_hit", "fairways_possible", "putts", "penalty_strokes", "up_and_downs_made",
          "up_and_downs_tried", "sand_saves_made", "three_putts", "par", "pcc")  # fmt: skip


LOWEST, LEAST_ON_18 = 31.0, 55.0
"""Scores between these are of nine holes or so, not of 18; lower ones are slips. [judgement]"""


def read_rows(sheet: Sheet, layout: Layout, settled: Settled) -> Found:
    """Turn a sheet into rows of the tables."""
    found = Found()
    for line in _lines(sheet, layout, settled, found):
        place = f"{sheet.name}, row {line.number}"
        since = len(found.rows)
        READERS[layout.kind](line, layout, settled, found, place)
        found.written(since, line.cells)
    return found


def name_of(cells: Sequence[Cell], layout: Layout) -> str | None:
    """Return the golfer's name in a row: one column, or first and last name."""
    for meaning in ("golfer_id", "golfer"):
        place = layout.column(meaning)
        if place is not None and cells[place] is not None:
            return text_of(cells[place])
    parts = [layout.column(meaning) for meaning in ("first_name", "last_name")]
    name = " ".join(
        text_of(cells[place]) for place in parts if place is not None and cells[place] is not None
    )
    return name or None


def over_first_block(sheet: Sheet, layout: Layout) -> str | None:
    """Return the golfer named by the line right above the header, where lines below it name others."""
    above = line_above(sheet, layout.header - 1)
    below = {*names_on_lines(sheet, layout).values()}
    filled = [] if above is None else [cell for cell in sheet.rows[above] if cell is not None]
    if not below or len(filled) != 1 or not isinstance(filled[0], str):
        return None
    words = plain(filled[0]).split()
    longest = max(len(plain(name).split()) for name in below)
    return filled[0] if len(words) <= longest and all(map(str.isalpha, words)) else None


def _lines(sheet: Sheet, layout: Layout, settled: Settled, found: Found) -> Iterator[Line]:
    """Rows with golfer and day; a name or date that stands once over several rows holds for them all."""
    named = {"golfer_id", "golfer", "first_name", "last_name"} & set(layout.columns.values())
    golfer = settled.golfer if not named else None
    lines = {} if named else names_on_lines(sheet, layout, settled.people)
    day: date | None = None
    dated = next(
        (layout.column(name) for name in ("date", "week", "week_ending") if layout.column(name) is not None),
        None,
    )
    for number, cells in layout.rows(sheet):
        filled = [cell for cell in cells if cell is not None]
        place = f"{sheet.name}, row {number}"
        own = name_of(cells, layout)
        if own is not None and sums_up([own]):
            continue
        if number in lines:
            golfer = lines[number]
            if len(filled) > 1:
                found.passed_over("a remark beside the name of a golfer", place)
            continue
        if lines and _may_head(cells, dated, settled):
            golfer = settled.whose(text_of(cells[dated or 0]))
            said = (
                "the rows below it are of whom you said" if golfer else "it is not settled whose rows follow"
            )
            found.passed_over(f"a line that says {text_of(cells[dated or 0])[:30]!r}: {said}", place)
            continue
        if not named and len(filled) == 1 and isinstance(filled[0], str) and not _is_day(filled[0], settled):
            found.passed_over(f"a line that says {filled[0][:30]!r} alone", place)
            continue
        golfer = own or golfer
        if dated is not None and cells[dated] is not None:
            day = _day(cells[dated], layout, settled, number)
            if len(filled) > 1 and _is_no_day(cells[dated], layout, settled, number):
                meant = settled.meant(text_of(cells[dated]), number)
                day = None if meant is None else read_date(meant, settled.order, settled.today)
                if day is None:
                    found.passed_over("there is no such day in the calendar", place)
                    continue
            weeks = settled.years.weeks
            if day is None and settled.years.open and lacks_year(cells[dated]):
                found.passed_over("the year of the date is not settled", place)
                continue
            if day is None and weeks is not None and weeks.open and number_of(cells[dated]) is not None:
                found.passed_over("the year of the week is not settled", place)
                continue
            if day is None and layout.kind != "courses":
                found.passed_over("the date cannot be read", place)
                continue
        elif dated is None and (told := layout.title.get("date")) is not None:
            day = _day(told, layout, settled, number)
        if golfer is None and layout.kind != "courses":
            found.passed_over("nobody is named", place)
            continue
        if len(filled) <= len(
            [cell for cell in (own, dated is not None and cells[dated]) if cell]
        ) and layout.kind not in ("golfers",):
            found.passed_over("there is nothing beside name and date", place)
            continue
        yield Line(number, cells, bare_name(golfer or ""), day, sheet.rows[layout.header - 1])


def _is_no_day(cell: Cell, layout: Layout, settled: Settled, number: int) -> bool:
    """Whether a day of a row is none of the calendar, such as 31 June."""
    if layout.kind == "courses" or _day(cell, layout, settled, number) is not None:
        return False
    return is_no_day(cell, settled.order, settled.today, settled.years.at(number))


def _may_head(cells: Sequence[Cell], dated: int | None, settled: Settled) -> bool:
    """Whether a row may begin the block of another golfer: words and no day first, and something beside."""
    cell = None if dated is None else cells[dated]
    filled = sum(one is not None for one in cells)
    if filled < 2 or not isinstance(cell, str) or any(map(str.isdigit, cell)) or _is_day(cell, settled):
        return False
    words = plain(cell).split()
    return bool(words) and not any(word in WEEKDAYS or word in MONTHS for word in words)


def _is_day(cell: str, settled: Settled) -> bool:
    return read_date(cell, "day first", settled.today) is not None


def _day(cell: Cell, layout: Layout, settled: Settled, number: int) -> date | None:
    """The day of a row; a week stands for its first day, one by its end for the day six days before."""
    if settled.years.open and lacks_year(cell):
        return None
    season = settled.years.at(number)
    day = read_date(cell, settled.order, settled.today, season)
    month = layout.title.get("month")
    if day is None and layout.column("date") is not None and isinstance(month, float):
        year = layout.title.get("year") if season is None else float(season.of(int(month)))
        day = day_of_month(cell, year, month, settled.today)
    if day is None and layout.column("week") is not None:
        weeks = settled.years.weeks
        day = week_of(cell, season, settled.today) if weeks is None else weeks.day(cell, settled.today)
    if day is None and isinstance(cell, str):
        # A span such as "6.4.-12.4.": its first day.
        head = span_of(cell)[0]
        day = read_date(head, settled.order, settled.today, season) if head != cell else None
    return day - timedelta(days=6) if day is not None and layout.column("week_ending") is not None else day


def _golfers(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    values: dict[str, str] = {}
    for meaning in ("start_index", "goal_index"):
        cell = get(line, layout, meaning)
        number = read_number(cell)
        if number is None and isinstance(cell, str) and re.search(r"\d", cell):
            found.passed_over(f"an index that is no number: {cell[:20]!r}", place)
        if number is not None:
            plus = isinstance(cell, str) and cell.strip().startswith("+")
            values[meaning] = f"+{number:g}" if plus else f"+{-number:g}" if number < 0 else f"{number:g}"
    for meaning in ("goal_on", "joined_on"):
        day = read_date(get(line, layout, meaning), settled.order, settled.today)
        if day is not None:
            values[meaning] = day.isoformat()
    born = get(line, layout, "birth_year")
    day = (
        read_date(born, settled.order, settled.today)
        if not (isinstance(born, float) and born < 2100)
        else None
    )
    number = read_number(born)
    if day is not None or number is not None:
        values["birth_year"] = str(day.year if day is not None else int(number or 0))
    hours = read_minutes(get(line, layout, "weekly_hours"), 60.0)
    if hours is not None:
        values["weekly_hours"] = f"{hours / 60.0:g}"
    for meaning in ("sex", "group", "coach"):
        if (cell := get(line, layout, meaning)) is not None:
            values[meaning] = text_of(cell)
    found.rows.append(Row("golfers", line.golfer, values, place))


def _rounds(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    if line.day is None:
        found.passed_over("there is no date", place)
        return
    gross, differential = score_cell(line.cells, layout), get(line, layout, "score_differential")
    values = {"played_on": line.day.isoformat()}
    _course(line, layout, settled, values)
    number = read_number(differential)
    if number is not None:
        plus = isinstance(differential, str) and differential.strip().startswith("+")
        values["score_differential"] = f"{-number if plus else number:g}"
    score = read_score(gross)
    if score is not None:
        values["adjusted_gross_score"] = number_text(score)
    _stats(line, layout, values)
    kept_out = not_of_one(line.cells, layout)
    if score is not None and kept_out is not None:
        found.passed_over(kept_out, place)
    elif score is None and number is None:
        found.passed_over(no_score(gross if gross is not None else differential), place)
    elif score is not None and LOWEST < score < LEAST_ON_18 and not _may_be_nine(line.cells, layout, values):
        found.passed_over("the score is too low for 18 holes", place)
    elif score is not None and is_of_nine(line.cells, layout) and not _as_nine(values, settled, found, place):
        return
    elif number is None and not {"course_rating", "slope_rating"} <= set(values):
        found.passed_over("course rating and slope are not known", place)
    else:
        _marked(gross, found, place)
        found.rows.append(Row("rounds", line.golfer, values, place))


BRACKETED = (
    "scores with another one in brackets and no word which is the adjusted one, such as 'adj.', read as the "
    "one before the brackets"
)
"""What is told of scores such as ``84 (83)``."""


def _marked(cell: Cell, found: Found, place: str) -> None:
    """Note a mark behind a score, which is taken: ``81*``, ``85?``, or another score: ``84 (83)``."""
    if isinstance(cell, str) and (match := re.fullmatch(r"\s*\d{2,3}\s*([*?!]+)\s*", cell)):
        found.note(f"scores marked {match[1]!r}", place)
    elif isinstance(cell, str) and re.fullmatch(r"\s*\d{2,3}\s*\(\s*\d{2,3}\s*\)\s*", cell):
        found.note(BRACKETED, place)


def no_score(cell: Cell) -> str:
    """Say why a cell gives no score: what stands there, such as NR."""
    if isinstance(cell, str) and any(sign.isalpha() for sign in cell):
        return f"no score, but {cell[:20]!r}"
    return "there is no score"


def _may_be_nine(cells: Sequence[Cell], layout: Layout, values: Mapping[str, str]) -> bool:
    """Whether a row tells of nine holes, or has the rating of nine."""
    return is_of_nine(cells, layout) or float(values.get("course_rating", 99.0)) < LOWEST_RATING_OF_18


def _as_nine(values: dict[str, str], settled: Settled, found: Found, place: str) -> bool:
    """Make a round one of nine holes; whether that could be done."""
    values["holes"] = "9"
    if float(values.get("par", 0)) > HIGHEST_PAR_OF_9:
        del values["par"]
    rating = float(values.get("course_rating", 0.0))
    if rating < LOWEST_RATING_OF_18:
        return True
    if settled.nine != NINE[0]:
        said = "left out, as you said" if settled.nine else "the course rating is that of 18"
        found.passed_over(f"a round of nine holes: {said}", place)
        return False
    values["course_rating"] = f"{rating / 2:g}"
    return True


def _course(line: Line, layout: Layout, settled: Settled, values: dict[str, str]) -> None:
    """Course, tee and ratings: those of the row, of the title, or of the course where it is known."""
    for meaning in ("course", "tee"):
        cell = get(line, layout, meaning) or layout.title.get(meaning)
        if cell is not None:
            values[meaning] = text_of(cell)
    part = part_played(line.cells, layout)
    told = settled.rated.found(values.get("course", ""), values.get("tee", ""), line.golfer, line.day, part)
    known = None if told is None else told[1]
    written = (rating_and_slope(get(line, layout, name)) for name in ("course_rating", "slope_rating"))
    both = next((one for one in written if one), None)
    for place, meaning in enumerate(("course_rating", "slope_rating")):
        number = both[place] if both else read_number(get(line, layout, meaning))
        if number is None:
            number = read_number(layout.title.get(meaning)) or (known[place] if known else None)
        if number is not None:
            values[meaning] = f"{number:g}"
    if "course" in values:
        values["course"] = settled.rated.course(values["course"])
    if told is not None and told[0] and get(line, layout, "course_rating") is None:
        values["tee"] = settled.rated.names.get(told[0], values.get("tee", told[0]))
    holes = read_number(get(line, layout, "holes"))
    rating = float(values.get("course_rating", 99.0))
    if holes is None and rating < 45.0:
        holes = 9.0
    if holes is not None:
        values["holes"] = number_text(holes)


def _stats(line: Line, layout: Layout, values: dict[str, str]) -> None:
    for meaning in COPIED:
        cell = get(line, layout, meaning)
        share = read_share(cell)
        if share is not None and meaning in ("fairways_hit", "up_and_downs_made", "sand_saves_made"):
            other = {"fairways_hit": "fairways_possible"}.get(meaning, meaning.replace("made", "tried"))
            values[meaning], values[other] = str(share[0]), str(share[1])
        elif share is not None and meaning == "greens_hit":
            values[meaning] = str(share[0])
        elif (number := read_number(cell)) is not None and not (isinstance(cell, str) and "%" in cell):
            values[meaning] = number_text(number)
    mark = get(line, layout, "competition")
    if mark is not None:
        text = plain(mark)
        values["competition"] = (
            "no"
            if says_practice(text) or text in ("no", "n", "nein", "non", "false", "0", "0 0", "")
            else "yes"
        )
    elif says_competition(get(line, layout, "note")):
        values["competition"] = "yes"


def _wide_rounds(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    for column, named in layout.spread.items():
        cell = line.cells[column]
        score = read_score(cell)
        if not isinstance(named, date) or cell is None:
            continue
        if score is None:
            if isinstance(cell, str) and any(sign.isalpha() for sign in cell):
                found.passed_over(no_score(cell), place)
            continue
        values = {"played_on": named.isoformat(), "adjusted_gross_score": number_text(score)}
        _course(line, layout, settled, values)
        if says_nine(cell) and not _as_nine(values, settled, found, place):
            continue
        if LOWEST < score < LEAST_ON_18 and not (says_nine(cell) or _may_be_nine(line.cells, layout, values)):
            found.passed_over("the score is too low for 18 holes", place)
            continue
        if {"course_rating", "slope_rating"} <= set(values):
            found.rows.append(Row("rounds", line.golfer, values, place))
            found.written(-1, (line.golfer, line.top[column], cell))
        else:
            found.passed_over("course rating and slope are not known", place)


def _courses(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    return None


READERS: dict[str, Callable[[Line, Layout, Settled, Found, str], None]] = {
    "golfers": _golfers,
    "rounds": _rounds,
    "practice": practice,
    "log": log,
    "tests": tests,
    "courses": _courses,
    "wide rounds": _wide_rounds,
    "wide practice": wide_practice,
    "wide tests": wide_tests,
}

"""Practice as a coach writes it down: one row an entry, a log in words, a column a day or a kind."""

from __future__ import annotations

import re
from datetime import date, timedelta

from paryield.adopt.found import MINUTES, REPS, Found, Line, Row, Settled, get, number_text, text_of
from paryield.adopt.layout import WEEKDAY_NAMES, Layout
from paryield.adopt.log import Entry, read_log
from paryield.adopt.sheets import Cell
from paryield.adopt.values import read_minutes, read_number, read_share
from paryield.adopt.words import NOTHING, UNKNOWN, plain


def practice(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    if line.day is None:
        found.passed_over("there is no date", place)
        return
    phrase = get(line, layout, "category")
    if phrase is None or plain(phrase) in NOTHING:
        found.rows.append(_state(line, "none", place))
        return
    hours = read_minutes(get(line, layout, "hours"), 60.0)
    minutes = read_minutes(get(line, layout, "minutes"))
    share = read_share(get(line, layout, "made"))
    counts = (read_number(get(line, layout, "made")), read_number(get(line, layout, "tried")))
    made, tried = share or tuple(None if count is None else int(count) for count in counts)
    reps = read_number(get(line, layout, "reps"))
    spent = minutes if minutes is not None else hours
    entry = Entry(text_of(phrase), spent, reps, made, tried, state="done")
    if spent is None and reps is None:
        entry = Entry(text_of(phrase), state="unknown")
    _enter(entry, line, settled, found, place, note=get(line, layout, "note"))


def _state(line: Line, state: str, place: str, category: str = "") -> Row:
    assert line.day is not None
    return Row(
        "practice",
        line.golfer,
        {"practised_on": line.day.isoformat(), "category": category, "state": state},
        place,
    )


def _enter(
    entry: Entry,
    line: Line,
    settled: Settled,
    found: Found,
    place: str,
    *,
    day: date | None = None,
    note: Cell = None,
) -> None:
    """Add a practice entry, where its category and its unit are settled."""
    on = day or line.day
    if on is None:
        found.passed_over("there is no date", place)
        return
    at = Line(line.number, line.cells, line.golfer, on)
    if not entry.phrase:
        found.rows.append(_state(at, entry.state, place))
        return
    category = settled.category(entry.phrase)
    if category is None:
        found.passed_over(f"it is not settled what {entry.phrase!r} is", place)
        return
    if category == "none":
        return
    values = {"practised_on": on.isoformat(), "category": category}
    minutes = entry.bare if entry.bare is not None and settled.bare == MINUTES else entry.minutes
    reps = entry.bare if entry.bare is not None and settled.bare == REPS else entry.reps
    if entry.bare is not None and settled.bare is None:
        found.passed_over("a number behind a word may be minutes or repetitions", place)
        return
    for name, number in (("minutes", minutes), ("reps", reps), ("made", entry.made), ("tried", entry.tried)):
        if number is not None:
            values[name] = number_text(number)
    if minutes is None and reps is None:
        values["state"] = "unknown"
    if note is not None:
        values["note"] = text_of(note)
    found.rows.append(Row("practice", line.golfer, values, place))


def log(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    cell = next(
        (get(line, layout, name) for name in ("log", "category", "note") if layout.column(name) is not None),
        None,
    )
    if cell is None:
        found.passed_over("there is nothing beside name and date", place)
        return
    for entry in read_log(_text_of_log(cell)):
        _enter(entry, line, settled, found, place)


def _text_of_log(cell: Cell) -> str:
    return f"{cell:g}" if isinstance(cell, float) else str(cell)


def wide_practice(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    """One column a day (a kind of practice in the row, or words in the cell), a weekday, or a kind."""
    own = get(line, layout, "category")
    for column, named in layout.spread.items():
        cell = line.cells[column]
        if cell is None:
            continue
        day, phrase = line.day, "" if own is None else text_of(own)
        if isinstance(named, date):
            day = named
        elif isinstance(named, str) and named in WEEKDAY_NAMES and day is not None:
            day = day - timedelta(days=day.weekday()) + timedelta(days=WEEKDAY_NAMES.index(named))
        elif isinstance(named, str):
            phrase = named.removeprefix("practice ")
        text = _text_of_log(cell)
        number = read_minutes(cell)
        if number == 0.0:
            continue
        if not phrase:
            for entry in read_log(text):
                _enter(entry, line, settled, found, place, day=day)
        elif plain(text) in UNKNOWN:
            _enter(Entry(phrase, state="unknown"), line, settled, found, place, day=day)
        elif number is None:
            found.passed_over("a cell is neither minutes nor a number", place)
        elif (
            isinstance(cell, str)
            and re.search(r"[a-z:'’′]", cell.casefold())
            and "ball" not in cell.casefold()
        ):
            _enter(Entry(phrase, minutes=number), line, settled, found, place, day=day)
        else:
            _enter(Entry(phrase, bare=number), line, settled, found, place, day=day)

"""Practice as a coach writes it down: one row an entry, a log in words, a column a day or a kind."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from paryield.adopt.amounts import all_dashes, buckets_in, read_amount, says_none
from paryield.adopt.divided import Divided, divided, scaled, together
from paryield.adopt.found import (
    BOTH_PUTTING,
    DASH,
    LEAVE,
    MINUTES,
    NO_LENGTH,
    PLAYED,
    REPS,
    SHARES,
    SUMS,
    Found,
    Line,
    Row,
    Settled,
    get,
    number_text,
    text_of,
)
from paryield.adopt.headings import BALLS, HOLES, HOURS, SESSIONS, WEEKDAY_NAMES
from paryield.adopt.layout import Layout
from paryield.adopt.log import Entry, counts_buckets, read_log
from paryield.adopt.putting_shared import HALF, MADE_OF_BOTH, halves
from paryield.adopt.sheets import Cell
from paryield.adopt.values import plain_number, read_number, read_share, told_minutes
from paryield.adopt.words import DASHES, INJURIES, NOTHING, UNKNOWN, plain

LEAST_SLACK = 1.0
"""Minutes that a sum may be off without a question. [judgement]"""
NONE = "none"
"""Category of a phrase, and state of a day, of no practice."""
OPEN = {
    "sum": "the minutes in words are not those beside them",
    "shares": "several things have no minutes of their own",
}
"""Why a cell that names several things gave nothing yet."""
OUT_OR_OPEN = ("left out, as you said", "it is not settled how much that is")
OUT = {doubt: f"{reason}: left out, as you said" for doubt, reason in OPEN.items()}


def practice(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    """Read a row with what was practised in one column, and how long or how often in others."""
    if line.day is None:
        found.passed_over("there is no date", place)
        return
    phrase = get(line, layout, "category")
    if phrase is None or plain(phrase) in NOTHING or _is_injury(phrase, line, layout):
        since = len(found.rows)
        found.rows.append(_state(line, NONE, place))
        _remark(get(line, layout, "note"), found, since)
        return
    if not _length_settled(line, layout, settled, found, place):
        return
    spent, slack = time_beside(line.cells, layout)
    share = read_share(get(line, layout, "made"))
    counts = (read_number(get(line, layout, "made")), read_number(get(line, layout, "tried")))
    made, tried = share or tuple(None if count is None else int(count) for count in counts)
    told = get(line, layout, "reps")
    reps = None if counts_buckets(told) else read_number(told)
    if reps is None:
        counted = (balls_in(get(line, layout, name)) for name in ("minutes", "hours"))
        reps = next((balls for balls in counted if balls is not None), None)
    note = get(line, layout, "note")
    several = divided(text_of_log(phrase), spent, slack, settled.known)
    if spent is None and (reps is not None or all(one.minutes is None for one in several.entries)):
        since = len(found.rows)
        _enter(Entry(text_of(phrase), None, reps, made, tried), line, settled, found, place)
        _remark(note, found, since)
        return
    if len(several.entries) == 1 and not several.doubts:
        one = several.entries[0]
        several = replace(
            several,
            entries=[replace(one, reps=one.reps if reps is None else reps, made=made, tried=tried)],
        )
    _enter_several(several, spent, line, settled, found, place, note)


def _is_injury(phrase: Cell, line: Line, layout: Layout) -> bool:
    """Whether a row notes an injury, and no amount stands beside it."""
    amounts = (get(line, layout, name) for name in ("minutes", "hours", "reps"))
    words = plain(phrase).split()
    return bool(words) and words[0] in INJURIES and all(cell is None for cell in amounts)


def balls_in(cell: Cell) -> float | None:
    """Return how many balls a cell says, such as ``50 balls`` in a column of lengths; None for others."""
    if not isinstance(cell, str):
        return None
    match = re.fullmatch(rf"(\d+) (?:{BALLS.pattern})", plain(cell))
    return None if match is None else float(match[1])


def time_beside(cells: Sequence[Cell], layout: Layout) -> tuple[float | None, float]:
    """Return the minutes that stand beside what was practised, and by how many they are rounded."""
    for name, per_unit in (("minutes", 1.0), ("hours", 60.0)):
        column = layout.column(name)
        cell = None if column is None else cells[column]
        spent = None if balls_in(cell) is not None else told_minutes(cell, per_unit)
        if spent is not None:
            digits = len(re.sub(r"^\D*\d+[.,]?", "", f"{cell:g}" if isinstance(cell, float) else str(cell)))
            rounded = per_unit / 2 * 10.0**-digits if digits else 0.0
            return spent, max(LEAST_SLACK, rounded + 0.01)
    return None, LEAST_SLACK


def _length_settled(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> bool:
    """Whether the amounts beside what was practised can be read, or it was said to keep it without them."""
    for name in ("minutes", "hours", "reps"):
        cell = get(line, layout, name)
        if not isinstance(cell, str) or not re.search(r"\d", cell) or counts_buckets(cell):
            continue
        if (told_minutes(cell) if name != "reps" else read_number(cell)) is None:
            answer = settled.loose(text_of(cell))
            if answer != NO_LENGTH:
                said = "left out, as you said" if answer else "it is not settled how much that is"
                found.passed_over(f"{text_of(cell)!r} beside what was practised: {said}", place)
                return False
    return True


def _enter_several(
    several: Divided,
    spent: float | None,
    line: Line,
    settled: Settled,
    found: Found,
    place: str,
    note: Cell = None,
) -> None:
    """Add what a cell names, where all that it leaves open was answered."""
    for doubt, answer, leave in (("sum", settled.sums, SUMS[-1]), ("shares", settled.shares, SHARES[-1])):
        if doubt in several.doubts and (answer is None or answer == leave):
            found.passed_over(OPEN[doubt] if answer is None else OUT[doubt], place)
            return
    asked = {phrase: settled.category(phrase, "") for phrase in several.open}
    if any(category is None or settled.known(phrase) is None for phrase, category in asked.items()):
        found.passed_over("it is not settled what all of a cell is", place)
        return
    entries, since, nothing = several.entries, len(found.rows), False
    unsettled = False
    if "sum" in several.doubts and settled.sums == SUMS[1] and spent is not None:
        entries = scaled(several, spent)
    for number, entry in enumerate(entries):
        if number == several.played and settled.played != PLAYED[0]:
            said = "is play, as you said" if settled.played else "may be practice or play"
            found.passed_over(f"the rest of a time on the course {said}: that time is left out", place)
            continue
        category = settled.category(entry.phrase, "") if entry.phrase else None
        nothing = nothing or category == NONE
        unsettled = unsettled or bool(entry.phrase and category is None)
        _enter(entry, line, settled, found, place)
    if nothing and not unsettled and len(found.rows) == since and line.day is not None:
        found.rows.append(_state(line, NONE, place))
    _remark(note, found, since)


def _remark(note: Cell, found: Found, since: int) -> None:
    """Keep a remark with the first of the entries that were added since."""
    if note is not None and len(found.rows) > since:
        own = found.rows[since].values.get("note")
        found.rows[since].values["note"] = f"{own}; {text_of(note)}" if own else text_of(note)


def _state(line: Line, state: str, place: str, category: str = "") -> Row:
    assert line.day is not None
    return Row(
        "practice",
        line.golfer,
        {"practised_on": line.day.isoformat(), "category": category, "state": state},
        place,
    )


def _enter(entry: Entry, line: Line, settled: Settled, found: Found, place: str) -> None:
    """Add a practice entry, where its category and its unit are settled."""
    on = line.day
    if on is None:
        found.passed_over("there is no date", place)
        return
    if not entry.phrase and entry.counted:
        found.passed_over("a number without a word for what was practised", place)
        return
    if not entry.phrase:
        state = entry.state
        if state == "dash":
            if settled.dash is None:
                found.passed_over("a dash may be no practice, or a day that nobody noted", place)
                return
            state = NONE if settled.dash == DASH[0] else "unknown"
        found.rows.append(_state(line, state, place))
        return
    if entry.loose and not entry.counted:
        answer = settled.loose(entry.loose)
        if answer in (None, LEAVE):
            found.passed_over(f"{entry.loose!r}: {OUT_OR_OPEN[answer is None]}", place)
            return
        entry = _loose(entry, answer or LEAVE)
    category = settled.category(entry.phrase, settled.said)
    if category is None:
        found.passed_over(f"it is not settled what {entry.phrase!r} is", place)
        return
    if category == LEAVE:
        found.passed_over(f"{entry.phrase!r} is left out, as you said", place)
        return
    if category == BOTH_PUTTING:
        _enter_both(entry, line, settled, found, place)
        return
    found.taken[plain(settled.said or entry.phrase), category] += 1
    if category == NONE:
        return
    values = {"practised_on": on.isoformat(), "category": category}
    if entry.unit and settled.unit(entry.unit) not in (MINUTES, REPS):
        found.passed_over(f"it is not settled what {entry.unit!r} behind a number counts", place)
        return
    entry = _counted(entry, settled)
    each = {MINUTES: 1.0, HOURS: 60.0}.get(settled.bare or "")
    minutes = entry.bare * each if entry.bare is not None and each is not None else entry.minutes
    reps = entry.bare if entry.bare is not None and settled.bare == REPS else entry.reps
    if entry.bare is not None and settled.bare is None:
        found.passed_over("a number behind a word may be minutes or balls", place)
        return
    for name, number in (("minutes", minutes), ("reps", reps), ("made", entry.made), ("tried", entry.tried)):
        if number is not None:
            values[name] = number_text(number)
    if minutes is None and reps is None:
        values["state"] = "unknown"
    if entry.holes:
        values["note"] = f"{number_text(entry.holes)} {HOLES}"
    found.rows.append(Row("practice", line.golfer, values, place))


def _enter_both(entry: Entry, line: Line, settled: Settled, found: Found, place: str) -> None:
    """Add an entry of putting as short and lag putting."""
    said = settled.said or entry.phrase
    quoting = replace(settled, said=said, category=lambda phrase, _: HALF[phrase])
    since = len(found.rows)
    for half in halves(entry, settled.bare == REPS):
        _enter(half, line, quoting, found, place)
    if entry.made is not None or entry.tried is not None:
        of = [number_text(one) if one is not None else "?" for one in (entry.made, entry.tried)]
        if len(found.rows) > since:
            _remark(f"short and lag putting together: {of[0]} of {of[1]} made", found, since)
            found.note(MADE_OF_BOTH, place)


def _loose(entry: Entry, answer: str) -> Entry:
    """Return an entry with its only number as what it was said to count."""
    number = float(re.findall(r"\d+(?:\.\d+)?", plain_number(entry.loose))[0])
    if answer == MINUTES:
        return replace(entry, minutes=number)
    return replace(entry, reps=number) if answer == REPS else entry


def _counted(entry: Entry, settled: Settled) -> Entry:
    """Return an entry with what was said of a letter behind its number, and of the balls in a bucket."""
    if entry.unit:
        told = "minutes" if settled.unit(entry.unit) == MINUTES else "reps"
        bare = replace(entry, unit="", bare=None)
        return replace(bare, minutes=entry.bare) if told == "minutes" else replace(bare, reps=entry.bare)
    if entry.buckets and entry.minutes is None and entry.reps is None:
        each = settled.bucket()
        return replace(entry, reps=None if each is None else each * entry.buckets)
    return entry


def log(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    """Read a row of a log in words, with the time beside it where there is one."""
    cell = words_of(line.cells, layout)
    if cell is None:
        found.passed_over("there is nothing beside name and date", place)
        return
    if not _length_settled(line, layout, settled, found, place):
        return
    spent, slack = time_beside(line.cells, layout)
    several = divided(text_of_log(cell), spent, slack, settled.known)
    if spent is None or plain(cell) in (*NOTHING, *UNKNOWN) or str(cell).strip() in DASHES:
        several = replace(several, open=())
        if not several.doubts and several.played is None:
            several = together(read_log(text_of_log(cell)), settled.known)
    beside = None if layout.words() == layout.column("note") else get(line, layout, "note")
    _enter_several(several, spent, line, settled, found, place, beside)


def words_of(cells: Sequence[Cell], layout: Layout) -> Cell:
    """Return the cell of a log that says what was practised."""
    column = layout.words()
    return None if column is None else cells[column]


def text_of_log(cell: Cell) -> str:
    """Return a cell of a log as text."""
    return f"{cell:g}" if isinstance(cell, float) else str(cell)


def wide_practice(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    """Read one column a day (a kind of practice in the row, or words in the cell), a weekday, or a kind."""
    own, first = get(line, layout, "category"), len(found.rows)
    if layout.units and _whole_row(line, layout, settled, found, place):
        return
    for column, named in layout.spread.items():
        cell = line.cells[column]
        if cell is None:
            continue
        day, phrase = line.day, "" if own is None else text_of(own)
        if isinstance(named, date):
            day = named
        elif isinstance(named, str) and named in WEEKDAY_NAMES:
            if day is not None:
                day = day - timedelta(days=day.weekday()) + timedelta(days=WEEKDAY_NAMES.index(named))
        elif isinstance(named, str):
            phrase = named.removeprefix("practice ")
        said = text_of(line.top[column]) if isinstance(named, str) and named not in WEEKDAY_NAMES else ""
        since = len(found.rows)
        if layout.units and phrase:
            own_words = replace(settled, said=said)
            _amount(cell, phrase, settled.units.get(column), line, own_words, found, place)
        else:
            unit = settled.heads.get(column) or settled.bare
            own_words = replace(settled, bare=unit, said=said)
            _wide_cell(cell, phrase, replace(line, day=day), own_words, found, place)
        found.written(since, (line.golfer, own, line.top[column], cell))
    _remark(get(line, layout, "note"), found, first)


def _whole_row(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> bool:
    """Read a row whose only words, or whose dashes, tell of all kinds of practice; whether it was one."""
    cells = [line.cells[column] for column in layout.spread]
    filled = [cell for cell in cells if cell is not None]
    if all_dashes(cells) or (len(filled) == 1 and says_none(filled[0])):
        if line.day is None:
            found.passed_over("there is no date", place)
            return True
        found.rows.append(_state(line, NONE, place))
        return True
    if len(filled) != 1 or not isinstance(filled[0], str) or read_amount(filled[0]) or buckets_in(filled[0]):
        return False
    _enter(Entry(filled[0]), line, settled, found, place)
    return True


def _amount(
    cell: Cell, phrase: str, unit: str | None, line: Line, settled: Settled, found: Found, place: str
) -> None:
    """Read a cell of one kind of practice in a sheet with a row of units."""
    if isinstance(cell, str) and cell.strip() in DASHES:
        return
    if (buckets := buckets_in(cell)) is not None:
        _enter(Entry(phrase, state="unknown", buckets=buckets), line, settled, found, place)
        return
    amount = read_amount(cell)
    if amount is None:
        found.passed_over("a cell is no amount", place)
        return
    unit = amount.unit or unit
    if unit is None or unit == LEAVE:
        said = "left out, as you said" if unit else "it is not settled what a number counts"
        found.passed_over(said, place)
    elif amount.number:
        minutes = amount.number * (60.0 if unit == HOURS else 1.0) if unit in (MINUTES, HOURS) else None
        since = len(found.rows)
        _enter(Entry(phrase, minutes, amount.number if unit == REPS else None), line, settled, found, place)
        if unit in (HOLES, SESSIONS) and len(found.rows) > since:
            found.rows[since].values["note"] = f"{number_text(amount.number)} {unit}"


def _wide_cell(cell: Cell, phrase: str, line: Line, settled: Settled, found: Found, place: str) -> None:
    """Read a cell of one kind of practice, or in words where ``phrase`` is blank."""
    text = text_of_log(cell)
    number = told_minutes(cell)
    if number == 0.0 or (phrase and text.strip() in DASHES):
        return
    if not phrase:
        _enter_several(together(read_log(text), settled.known), None, line, settled, found, place)
    elif plain(text) in UNKNOWN or counts_buckets(text):
        _enter(Entry(phrase, state="unknown"), line, settled, found, place)
    elif number is None:
        found.passed_over(f"{text_of(cell)[:20]!r} is neither minutes nor a number", place)
    elif isinstance(cell, str) and re.search(r"[a-z:'’′]", cell.casefold()) and "ball" not in cell.casefold():
        _enter(Entry(phrase, minutes=number), line, settled, found, place)
    else:
        _enter(Entry(phrase, bare=number), line, settled, found, place)

"""What sheets of tests leave open: how many were tried, in which test, and results that became dates."""

from __future__ import annotations

import re
from datetime import date

from paryield.adopt.found import FEET, FRACTIONS, METRES, USUAL, text_of
from paryield.adopt.kinds_of_tests import kinds_of, settled_name
from paryield.adopt.layout import Layout
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Sheet
from paryield.adopt.tested import ASSUMED
from paryield.adopt.tests_named import feet_in, named_test
from paryield.adopt.values import read_number
from paryield.adopt.words import plain


def tried_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> float | None:
    """Return how many were tried in tests whose cells hold only those made, asked where nothing says it."""
    if layout.kind not in ("wide tests", "tests") or layout.column("tried") is not None:
        return None
    told = read_number(layout.title.get("tried"))
    places = layout.spread if layout.kind == "wide tests" else {layout.column("made"): 0.0}
    cells = [row[place] for _, row in layout.rows(sheet) for place in places if place is not None]
    if told is not None or not any(read_number(cell) is not None for cell in cells):
        return told
    most = max(number for cell in cells if (number := read_number(cell)) is not None)
    question = Question(
        f"tried: {mark}",
        "How many were tried in each of these tests?",
        sheet.name,
        (),
        "10" if most <= 10 else None,
    )
    return read_number(ask(question) or question.proposal)


def each_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> dict[str, float]:
    """Return of how many each test is whose results are numbers alone, asked once for all of a sheet.

    0 is for a test that counts something else: it is left out.
    """
    place, what, made = (layout.column(name) for name in ("tried", "test", "made"))
    if layout.kind != "tests" or place is None or what is None or made is None:
        return {}
    open_: dict[str, float] = {}
    for _, row in layout.rows(sheet):
        number, test = read_number(row[made]), text_of(row[what])
        if number is not None and test and row[place] is None:
            one = named_test(test, None)
            if one.tried is None and one.unit is None:
                open_[test] = max(number, open_.get(test, 0.0))
    if not open_:
        return {}
    names = ", ".join(repr(test) for test in open_)
    each = len(open_)
    text = f"Out of how many is the test {names}? 0 leaves it out."
    if each > 1:
        how = f"One number for all, or {each} in this order; 0 leaves one out."
        text = f"Out of how many are the tests {names}? {how}"
    key = f"tried of each: {mark} | {', '.join(map(plain, open_))}"
    count = r"\d{1,3}"
    form = count if each == 1 else rf"{count}(?:[,;\s]+{count}){{{each - 1}}}|{count}"
    proposal = "10" if all(most <= 10 for most in open_.values()) else None
    answer = ask(Question(key, text, sheet.name, (), proposal, form))
    told = [float(one) for one in re.findall(count, answer or "")]
    return dict(zip(open_, told * each if len(told) == 1 else told, strict=False))


def fraction_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> str | None:
    """What the dates among results of tests were before a spreadsheet made dates of them."""
    if layout.kind not in ("wide tests", "tests"):
        return None
    places = [*layout.spread] if layout.kind == "wide tests" else [layout.column("made")]
    dates = [
        (number, cell)
        for number, row in layout.rows(sheet)
        for place in places
        if place is not None and isinstance(cell := row[place], date)
    ]
    if not dates:
        return None
    number, day = dates[0]
    rows = "1 result is" if len(dates) == 1 else f"{len(dates)} results are"
    text = (
        f"{rows} a date, such as {day.day} {day:%B} in row {number}: a spreadsheet makes dates of "
        f"results such as {day.day}/{day.month}. What was meant?"
    )
    return ask(Question(f"dates for results: {mark}", text, sheet.name, FRACTIONS))


def far_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> str | None:
    """What distances count whose column names no unit, nor the cell."""
    place = layout.column("distance")
    if layout.kind != "tests" or place is None:
        return None
    bare = [(number, row[place]) for number, row in layout.rows(sheet) if read_number(row[place]) is not None]
    bare = [(number, cell) for number, cell in bare if feet_in(text_of(cell)) is None]
    if not bare:
        return None
    number, cell = bare[0]
    text = f"Are distances such as {text_of(cell)} in row {number} feet or metres?"
    return ask(Question(f"unit of distances: {mark}", text, sheet.name, (FEET, METRES)))


def usual_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> str | None:
    """Out of how many the numbers alone are that stand among results made of tried."""
    place, made = layout.column("tried"), layout.column("made")
    if layout.kind != "tests" or place is None or made is None:
        return None
    alone = [(number, row) for number, row in layout.rows(sheet) if str(row[place]).endswith(ASSUMED)]
    if not alone:
        return None
    number, row = alone[0]
    held = "1 result is" if len(alone) == 1 else f"{len(alone)} results are"
    first = f"first in row {number}: {row[made]}, where most are of {str(row[place]).rstrip(ASSUMED)}"
    text = f"{held} a number alone ({first}). Out of how many?"
    return ask(Question(f"tried, numbers alone: {mark}", text, sheet.name, USUAL, USUAL[0]))


def test_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> str | None:
    """Return the test of a sheet whose columns name none, asked where nothing says it."""
    if layout.kind not in ("wide tests", "tests") or layout.column("test") is not None:
        return None
    above = [str(cell) for row in sheet.rows[: layout.header - 1] for cell in row if cell is not None]
    for text in (*reversed(above), sheet.sheet, sheet.file.rsplit(".", 1)[0]):
        if kinds_of(text):
            return settled_name(text, ask)
    question = Question(
        f"test: {mark}",
        "Which test is this, such as putting ladder?",
        sheet.name,
        (),
        "putting ladder" if layout.kind == "wide tests" else None,
    )
    answer = ask(question) or question.proposal
    return None if answer is None else settled_name(answer, ask)

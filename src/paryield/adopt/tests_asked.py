"""What sheets of tests leave open: how many were tried, in which test, and results that became dates."""

from __future__ import annotations

from datetime import date

from paryield.adopt.found import FRACTIONS, USUAL
from paryield.adopt.kinds_of_tests import kinds_of, settled_name
from paryield.adopt.layout import Layout
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Sheet
from paryield.adopt.tested import ASSUMED
from paryield.adopt.values import read_number
from paryield.adopt.words import practice_of


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
    above = " ".join(str(cell) for row in sheet.rows[: layout.header - 1] for cell in row if cell is not None)
    for text in (above, sheet.sheet, sheet.file.rsplit(".", 1)[0]):
        if practice_of(text) and len(kinds_of(text)) == 1 and (name := settled_name(text, ask)) is not None:
            return name
    question = Question(
        f"test: {mark}",
        "Which test is this, such as putting ladder?",
        sheet.name,
        (),
        "putting ladder" if layout.kind == "wide tests" else None,
    )
    answer = ask(question) or question.proposal
    return None if answer is None else settled_name(answer, ask)

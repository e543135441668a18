"""What a sheet holds where somebody says it otherwise than its headings do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from paryield.adopt.layout import Kind, Layout, find_layout, holds_scores, kind_of, signature
from paryield.adopt.memory import Ask, Question
from paryield.adopt.said_tests import as_said
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import read_minutes

GOLFERS, COURSES = "who the golfers are", "ratings of courses"
KINDS: dict[str, tuple[Kind, ...]] = {
    "rounds": ("rounds", "wide rounds"),
    "practice": ("practice", "log", "wide practice"),
    "tests": ("tests", "wide tests"),
    GOLFERS: ("golfers",),
    COURSES: ("courses",),
}
"""What a sheet may be said to hold, and the layouts that hold it."""
SCORE = ("adjusted_gross_score", "score_differential")
AMOUNTS = {"minutes", "hours", "reps"}
MOST = 0.8
"""Share of a column's cells that must be lengths for it to say how long. [judgement]"""


def kind_said(layout: Layout) -> str:
    """Return what a sheet with a layout holds, as it is asked about."""
    return next(said for said, kinds in KINDS.items() if layout.kind in kinds)


def kind_question(sheet: Sheet, layout: Layout) -> Question:
    """Return the question what a sheet holds, with what it was taken for as the answer."""
    key = f"kind of sheet: {signature(sheet, layout.header)}"
    return Question(key, "What does this sheet hold?", sheet.name, (*KINDS,), kind_said(layout))


def as_kind(sheet: Sheet, layout: Layout, said: str, today: date, ask: Ask) -> tuple[Sheet, Layout | None]:
    """Return a sheet with the layout of the kind that it is said to be; None where it has no such columns.

    What its headings do not say, such as which column holds the score, is asked once.
    """
    if said == "rounds":
        return sheet, _as_rounds(sheet, layout, ask)
    if said == "practice":
        return sheet, _as_practice(sheet, layout, ask)
    if said == "tests":
        practice = layout if kind_said(layout) == "practice" else _as_practice(sheet, layout, ask)
        turned = sheet if practice is None else as_said(sheet, practice, today)
        found = find_layout(turned, today)
        return turned, found if found is not None and kind_said(found) == "tests" else None
    columns = dict(layout.columns)
    if said == GOLFERS and not {"golfer", "last_name", "golfer_id"} & set(columns.values()):
        place = _asked(sheet, layout, ask, "who", "Which column says who?")
        columns |= {} if place is None else {place: "golfer"}
    needed = {"golfer", "last_name", "golfer_id"} if said == GOLFERS else {"course"}
    if not needed & set(columns.values()):
        return sheet, None
    return sheet, replace(layout, kind=KINDS[said][0], columns=columns, spread={})


def _as_rounds(sheet: Sheet, layout: Layout, ask: Ask) -> Layout | None:
    if any(isinstance(named, date) for named in layout.spread.values()):
        return replace(layout, kind="wide rounds")
    columns = dict(layout.columns)
    if "date" not in columns.values():
        return None
    if not set(SCORE) & set(columns.values()):
        rows = [row for _, row in layout.rows(sheet)]
        likely = [place for place in range(len(_top(sheet, layout))) if holds_scores(rows, [place])]
        place = _asked(sheet, layout, ask, "score", "Which column holds the score?", likely)
        if place is None:
            return None
        columns[place] = SCORE[0]
    return replace(layout, kind="rounds", columns=dict(sorted(columns.items())), spread={})


def _as_practice(sheet: Sheet, layout: Layout, ask: Ask) -> Layout | None:
    if any(isinstance(named, date) for named in layout.spread.values()):
        return replace(layout, kind="wide practice")
    turned = {"test": "category", "course": "note"}
    columns = {place: turned.get(held, held) for place, held in layout.columns.items()}
    scores = [place for place, held in columns.items() if held in SCORE]
    for place in scores:
        columns[place] = "minutes" if not AMOUNTS & set(columns.values()) else "raw_score"
    if not {"category", "log"} & set(columns.values()):
        told = _asked(sheet, layout, ask, "practice", "Which column says what was practised?")
        if told is None:
            return None
        columns[told] = "category"
    rows = [row for _, row in layout.rows(sheet)]
    if not AMOUNTS & set(columns.values()):
        free = [place for place, cell in enumerate(_top(sheet, layout)) if cell and place not in columns]
        columns |= {place: "minutes" for place in free if _are_lengths(rows, place)}
    kind = kind_of(columns, {}, rows)
    found = replace(layout, kind=kind or layout.kind, columns=dict(sorted(columns.items())), spread={})
    return found if kind is not None and kind_said(found) == "practice" else None


def _are_lengths(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    cells = [row[place] for row in rows if place < len(row) and row[place] is not None]
    return bool(cells) and sum(read_minutes(cell) is not None for cell in cells) >= MOST * len(cells)


def _top(sheet: Sheet, layout: Layout) -> Sequence[Cell]:
    return sheet.rows[layout.header - 1]


def _asked(
    sheet: Sheet, layout: Layout, ask: Ask, what: str, text: str, likely: Sequence[int] = ()
) -> int | None:
    """Ask which column holds something; None while that is open."""
    names = {str(cell): place for place, cell in enumerate(_top(sheet, layout)) if isinstance(cell, str)}
    proposal = next((name for name, place in names.items() if place in likely), None)
    key = f"column of {what}: {signature(sheet, layout.header)}"
    return names.get(ask(Question(key, text, sheet.name, tuple(names), proposal)) or "")

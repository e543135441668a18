"""Sheets whose columns say too little: rounds or practice, and which column is who, when and what."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from paryield.adopt.days import read_date, week_number
from paryield.adopt.found import LEAVE
from paryield.adopt.headings import title_of
from paryield.adopt.kinds_said import as_kind, kind_question, kind_said
from paryield.adopt.layout import (
    HEADER_ROWS,
    SCORED,
    Layout,
    find_layout,
    holds_scores,
    kind_of,
    roles,
    signature,
)
from paryield.adopt.log import read_log
from paryield.adopt.memory import Ask, Memory, Question
from paryield.adopt.said_tests import as_said
from paryield.adopt.sheets import Cell, Sheet, is_table
from paryield.adopt.tested import looks_tested
from paryield.adopt.values import read_minutes, read_number, sums_up
from paryield.adopt.words import meaning_of, plain, practice_of

ROUNDS, PRACTICE = "rounds", "practice"
TESTS = "tests"
KINDS_OF_WORK = (PRACTICE, TESTS, LEAVE)
NOBODY, NO_TIME = "no column: all rows are of one golfer", "no column"
PLAYED_WITH = frozenset(
    (
        *("course", "tee", "par", "course_rating", "slope_rating", "putts", "greens_hit", "fairways_hit"),
        *("holes", "competition", "pcc", "penalty_strokes", "opponent"),
    )
)
"""Columns that stand beside the scores of rounds."""
MOST = 0.8
"""Share of a column's cells that must read as something for the column to be taken as that. [judgement]"""
MOST_HOURS = 12.0
"""Numbers of a length up to which they are hours, not minutes. [judgement]"""


def settled_layout(
    sheet: Sheet, today: date, memory: Memory, ask: Ask, people: Collection[frozenset[str]] = ()
) -> tuple[Sheet, Layout | None, bool]:
    """Return a sheet with its layout, asking where its columns leave that open.

    What it was taken for without asking is held as an answer that can be changed.

    Returns
    -------
    sheet : Sheet
        With a header of its own where it had none.
    layout : Layout or None
        None where it is open, or nothing is to be taken.
    asked : bool
        Whether a question was asked, or was answered with leaving the sheet out.
    """
    open_ = list[Question]()

    def noting(question: Question) -> str | None:
        open_.append(question)
        return ask(question)

    first = find_layout(sheet, today, people)
    if first is not None:
        said = memory.answer(kind_question(sheet, first))
        if said is not None and said != kind_said(first):
            return (*as_kind(sheet, first, said, today, ask), False)
    found, layout, asked = _settled(sheet, today, noting, people)
    if layout is not None and not open_:
        memory.hold(kind_question(found, layout))
    return found, layout, asked


def _settled(
    sheet: Sheet, today: date, ask: Ask, people: Collection[frozenset[str]]
) -> tuple[Sheet, Layout | None, bool]:
    """Return a sheet with its layout as :func:`settled_layout` does, where nobody said its kind."""
    layout = find_layout(sheet, today, people)
    if layout is None and is_table(sheet):
        return sheet, None, False
    if layout is None:
        return _chosen(sheet, today, ask)
    if layout.kind in ("log", "practice", "wide practice"):
        held = _practice_or_tests(sheet, layout, ask)
        if held == TESTS:
            turned = as_said(sheet, layout, today)
            found = find_layout(turned, today, people)
            return turned, found if found is not None and found.kind == "tests" else None, False
        if held != PRACTICE:
            return sheet, None, True
    if layout.kind not in ("log", "practice"):
        return sheet, layout, False
    if layout.kind == "log" and (beside := _beside_remarks(sheet, layout)):
        layout = _with_words(sheet, layout, beside, ask)
        if layout is None:
            return sheet, None, True
    settled = _rounds_or_practice(sheet, layout, ask)
    return sheet, settled, settled is None


def _practice_or_tests(sheet: Sheet, layout: Layout, ask: Ask) -> str | None:
    """Ask once whether what reads like practice is results of tests, where anything says so."""
    wide = layout.kind == "wide practice" and layout.column("category") is None
    places = [place for place, named in layout.spread.items() if isinstance(named, str)] if wide else []
    if not looks_tested(sheet, layout.header, places):
        return PRACTICE
    text = "Does this sheet tell what was practised, or does it hold results of tests?"
    mark = signature(sheet, layout.header)
    return ask(Question(f"practice or tests: {mark}", text, sheet.name, KINDS_OF_WORK, None))


def _rounds_or_practice(sheet: Sheet, layout: Layout, ask: Ask) -> Layout | None:
    """Tell rounds from practice by the columns; ask once where they do not tell."""
    held = set(layout.columns.values())
    rows = [row for _, row in layout.rows(sheet)]
    beside = len(held & PLAYED_WITH)
    told = bool(held & {"log", "category"})
    scores = _score_columns(sheet, layout, rows)
    share = _practice_share(layout, rows)
    if not told and len(scores) == 1 and beside >= 2:
        return _as_rounds(layout, scores[0])
    open_ = bool(scores) and beside >= (2 if share >= 0.5 else 1) if told else bool(beside) or share < 0.5
    if not open_:
        return layout
    likely = PRACTICE if told and share >= 0.5 else ROUNDS if scores or beside >= 2 else None
    mark = signature(sheet, layout.header)
    text = "Does each row of this sheet tell of a round, or of practice?"
    answer = ask(Question(f"rounds or practice: {mark}", text, sheet.name, (ROUNDS, PRACTICE, LEAVE), likely))
    if answer == PRACTICE:
        return layout
    if answer != ROUNDS:
        return None
    if len(scores) == 1:
        return _as_rounds(layout, scores[0])
    top = sheet.rows[layout.header - 1]
    names = {str(cell): place for place, cell in enumerate(top) if isinstance(cell, str)}
    question = Question(f"score column: {mark}", "Which column holds the score?", sheet.name, tuple(names))
    place = names.get(ask(question) or "")
    return None if place is None else _as_rounds(layout, place)


def _beside_remarks(sheet: Sheet, layout: Layout) -> list[int]:
    """Columns of words that may say what was practised, where only a column of remarks is known to."""
    note, top = layout.column("note"), sheet.rows[layout.header - 1]
    if note is None or layout.words() != note:
        return []
    rows = [row for _, row in layout.rows(sheet)]
    filled = sum(row[note] is not None for row in rows)
    free = [place for place, cell in enumerate(top) if cell is not None and place not in layout.columns]
    words = [place for place in free if _share([row[place] for row in rows], _is_words) >= MOST]
    return [place for place in words if sum(row[place] is not None for row in rows) >= filled]


COLUMN = "column of practice: "


def column_of_practice(sheet: Sheet, layout: Layout) -> dict[str, str]:
    """Return the answer which column says what was practised, where cells said it and not the heading."""
    place = layout.column("category")
    heading = None if place is None else sheet.rows[layout.header - 1][place]
    if layout.kind not in ("log", "practice") or heading is None or meaning_of(heading) is not None:
        return {}
    return {f"{COLUMN}{signature(sheet, layout.header)}": str(heading)}


def _is_words(cell: Cell) -> bool:
    return isinstance(cell, str) and any(sign.isalpha() for sign in cell) and read_minutes(cell) is None


def _with_words(sheet: Sheet, layout: Layout, beside: Sequence[int], ask: Ask) -> Layout | None:
    """Ask once which column says what was practised: one whose heading says nothing, or the remarks."""
    note, top = layout.column("note"), sheet.rows[layout.header - 1]
    names = {str(top[place]): place for place in (*beside, note) if place is not None}
    text = "Which column says what was practised?"
    key = f"{COLUMN}{signature(sheet, layout.header)}"
    answer = ask(Question(key, text, sheet.name, tuple(names), str(top[beside[0]])))
    place = names.get(answer or "")
    if place is None or place == note:
        return layout if place == note else None
    columns = dict(sorted({**layout.columns, place: "category"}.items()))
    kind = kind_of(columns, {}, [row for _, row in layout.rows(sheet)])
    unused = tuple(name for name in layout.unused if name != answer)
    return None if kind is None else replace(layout, kind=kind, columns=columns, unused=unused)


def _score_columns(sheet: Sheet, layout: Layout, rows: Sequence[Sequence[Cell]]) -> list[int]:
    """Columns that may hold scores: their numbers are such, and their heading says nothing else."""
    top = sheet.rows[layout.header - 1]
    places = [
        place for place in range(len(top)) if layout.columns.get(place) in (None, "reps", "value", "made")
    ]
    return [place for place in places if top[place] is not None and holds_scores(rows, [place])]


def _practice_share(layout: Layout, rows: Sequence[Sequence[Cell]]) -> float:
    """Share of the cells in words that name a practice."""
    place = next(
        (held for name in ("log", "category", "note") if (held := layout.column(name)) is not None), 0
    )
    return _share([row[place] for row in rows], _names_practice)


def _names_practice(cell: Cell) -> bool:
    return isinstance(cell, str) and any(practice_of(one.phrase) for one in read_log(cell))


def _share(cells: Sequence[Cell], fits: Callable[[Cell], bool]) -> float:
    filled = [cell for cell in cells if cell is not None]
    return sum(map(fits, filled)) / len(filled) if filled else 0.0


def _as_rounds(layout: Layout, score: int) -> Layout:
    columns = {place: held for place, held in layout.columns.items() if held not in SCORED}
    return replace(layout, kind="rounds", columns=dict(sorted({**columns, score: SCORED[0]}.items())))


def _chosen(sheet: Sheet, today: date, ask: Ask) -> tuple[Sheet, Layout | None, bool]:
    """Ask which columns say who, when and what, of a sheet with dates whose header does not tell."""
    sheet, number = _headed(sheet, today)
    if not number:
        return sheet, None, False
    top, rows = sheet.rows[number - 1], [row for row in sheet.rows[number:] if not sums_up(row)]
    names = {str(cell): place for place, cell in enumerate(top) if cell is not None}
    said, spread = roles(top, today)
    columns = {place: held for place, held in said.items() if held in KEPT}
    kinds = {place: named for place, named in spread.items() if isinstance(named, str)}
    cells = {place: [row[place] for row in rows if place < len(row)] for place in names.values()}
    if not any(_share(cells[place], lambda cell: _is_day(cell, today)) >= MOST for place in cells):
        return sheet, None, False
    choice = _Choice(names, ask, signature(sheet, number), sheet.name, set(columns))
    chosen = _columns_asked(choice, cells, rows, set(columns.values()), today)
    if None in chosen.values() or -1 in (chosen.get("date"), chosen.get("what")):
        return sheet, None, True
    for what, place in chosen.items():
        if place is not None and place != -1:
            columns[place] = _held(what, cells[place], rows, place, today)
    kinds = {place: named for place, named in kinds.items() if place not in columns}
    kind = kind_of(columns, kinds, rows)
    if kind is None:
        return sheet, None, False
    if kind != "wide practice":
        kinds = {}
    unused = tuple(name for name, place in names.items() if place not in columns | kinds)
    title = title_of(sheet.rows[: number - 1], sheet, today)
    return sheet, Layout(kind, number, dict(sorted(columns.items())), {**kinds}, unused, title), False


@dataclass
class _Choice:
    """Asks which column of a sheet holds something."""

    names: dict[str, int]
    ask: Ask
    mark: str
    where: str
    taken: set[int]

    def column(self, what: str, text: str, likely: Sequence[int], *more: str) -> int | None:
        """Return the column that was chosen; None where it is open, -1 where it is none."""
        free = [place for place in likely if place not in self.taken][:1]
        self.taken.update(free)
        proposal = next((name for name, place in self.names.items() if place in free), None)
        question = Question(f"column {what}: {self.mark}", text, self.where, (*self.names, *more), proposal)
        answer = self.ask(question)
        return None if answer is None else self.names.get(answer, -1)


def _columns_asked(
    choice: _Choice,
    cells: Mapping[int, Sequence[Cell]],
    rows: Sequence[Sequence[Cell]],
    held: set[str],
    today: date,
) -> dict[str, int | None]:
    """Ask for what the header does not say: when, who, what, and how long."""
    chosen: dict[str, int | None] = {}
    dated = [place for place in cells if _share(cells[place], lambda cell: _is_day(cell, today)) >= MOST]
    told = [place for place in cells if _share(cells[place], _names_practice) >= 0.5]
    scored = [place for place in cells if place not in dated and holds_scores(rows, [place])]
    if not held & {"date", "week", "week_ending"}:
        chosen["date"] = choice.column("when", "Which column says when?", dated, LEAVE)
    if not held & {"golfer", "golfer_id", "first_name", "last_name"}:
        people = [
            place for place in cells if place not in told and _share(cells[place], _may_be_name) >= MOST
        ]
        chosen["golfer"] = choice.column("who", "Which column says who?", people, NOBODY)
    if not held & {"log", "category", *SCORED[:2]}:
        text = "Which column says what: the score, or what was practised?"
        chosen["what"] = choice.column("what", text, [*scored, *told], LEAVE)
    if not held & {"minutes", "hours", *SCORED[:2]} and not scored:
        lengths = [place for place in cells if _share(cells[place], _is_length) >= MOST]
        if free := [place for place in lengths if place not in choice.taken]:
            chosen["time"] = choice.column("how long", "Which column says how long?", free, NO_TIME)
    return chosen


KEPT = frozenset(
    (
        *("golfer", "golfer_id", "first_name", "last_name", "date", "week", "week_ending", "log", "category"),
        *("minutes", "hours", "reps", "adjusted_gross_score", "score_differential", *PLAYED_WITH),
    )
)
"""What a heading says that is believed where the others say nothing."""


def _held(what: str, cells: Sequence[Cell], rows: Sequence[Sequence[Cell]], place: int, today: date) -> str:
    """What a chosen column holds, as its cells have it."""
    if what == "date":
        return (
            "date" if _share(cells, lambda cell: read_date(cell, "day first", today) is not None) else "week"
        )
    if what == "what":
        return SCORED[0] if holds_scores(rows, [place]) else "log"
    if what == "time":
        lengths = [number for cell in cells if (number := read_number(cell)) is not None]
        return "hours" if lengths and max(lengths) <= MOST_HOURS else "minutes"
    return what


def _headed(sheet: Sheet, today: date) -> tuple[Sheet, int]:
    """Return the row of the header; a sheet that starts with its first entry is given one."""
    widest = max((sum(cell is not None for cell in row) for row in sheet.rows), default=0)
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        filled = [cell for cell in row if cell is not None]
        if len(filled) < 2 or len(filled) < 0.6 * widest:
            continue
        if any(_is_day(cell, today) for cell in filled):
            top: list[Cell] = [f"column {chr(ord('A') + place)}" for place in range(min(len(row), 26))]
            numbers = (*range(1, number), number, *range(number, len(sheet.rows) + 1))
            rows = [*sheet.rows[: number - 1], top, *sheet.rows[number - 1 :]]
            return replace(sheet, rows=rows, numbers=sheet.numbers or numbers), number
        if all(isinstance(cell, str) for cell in filled) and len(set(map(str, filled))) == len(filled):
            return sheet, number if sheet.rows[number:] else 0
        return sheet, 0
    return sheet, 0


def _is_day(cell: Cell, today: date) -> bool:
    if read_date(cell, "day first", today) is not None:
        return True
    return isinstance(cell, str) and cell[:1].isalpha() and week_number(cell, today.year) is not None


def _may_be_name(cell: Cell) -> bool:
    if not isinstance(cell, str) or any(sign.isdigit() for sign in cell):
        return False
    return len(plain(cell).split()) <= 5 and practice_of(cell) is None


def _is_length(cell: Cell) -> bool:
    return read_minutes(cell) is not None

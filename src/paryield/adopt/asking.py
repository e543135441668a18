"""Settles what a sheet leaves open: proved, answered before, or asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from paryield.adopt.amounts import balls_in_bucket, bare_numbers, letter_question, loose_question, units_asked
from paryield.adopt.categories_asked import category_of, known_category
from paryield.adopt.days import Order, day_order
from paryield.adopt.divided import Divided, divided, together
from paryield.adopt.found import (
    DASH,
    LEAVE,
    MINUTES,
    NINE,
    PLAYED,
    REPS,
    SHARES,
    SUMS,
    Settled,
    text_of,
)
from paryield.adopt.headings import HOURS, WEEKDAY_NAMES, unit_of
from paryield.adopt.hours import likely_hours, unit_said, units_said, with_hours
from paryield.adopt.how_far import how_far
from paryield.adopt.kinds_of_tests import settled_name
from paryield.adopt.layout import Layout, signature, sole_golfer
from paryield.adopt.lines_of_names import names_on_lines
from paryield.adopt.log import read_log
from paryield.adopt.memory import Memory, Question
from paryield.adopt.nines import says_nine
from paryield.adopt.plays import is_of_nine, not_of_one, part_played
from paryield.adopt.practice import text_of_log, time_beside, words_of
from paryield.adopt.rated import Rated, needed
from paryield.adopt.ratings_asked import settle
from paryield.adopt.rows import name_of, over_first_block, read_rows
from paryield.adopt.several_ratings import with_one_rating
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tests_asked import (
    each_asked,
    far_asked,
    fraction_asked,
    test_asked,
    tried_asked,
    usual_asked,
)
from paryield.adopt.understood import Understood
from paryield.adopt.values import rating_and_slope, read_number
from paryield.adopt.words import (
    DASHES,
    plain,
)
from paryield.adopt.yearless import Calendar, dated_spread
from paryield.tables.check import LOWEST_RATING_OF_18

DAY: Order = "day first"
MONTH: Order = "month first"


@dataclass
class Asking:
    """Settles what a sheet leaves open, from what was answered before, or asks."""

    memory: Memory
    today: date
    questions: dict[str, Question] = field(default_factory=dict)
    orders: dict[str, Order] = field(default_factory=dict)
    proved: dict[Order, str] = field(default_factory=dict)
    people: Collection[frozenset[str]] = ()
    wrote: Mapping[str, frozenset[str]] = field(default_factory=dict)
    calendar: Calendar = field(init=False)

    def __post_init__(self) -> None:
        self.calendar = Calendar(self.ask, self.today, self.memory)

    def ask(self, question: Question) -> str | None:
        """Return the answer given before, or note the question."""
        answer = self.memory.answer(question)
        if answer is None:
            self.questions.setdefault(question.key, question)
        return answer

    def understand(
        self,
        sheet: Sheet,
        layout: Layout,
        rated: Rated,
        others: Sequence[Sheet],
    ) -> Understood:
        """Settle one sheet and read its rows."""
        mark = signature(sheet, layout.header)
        order, because = self._order(sheet, layout, mark)
        years = self.calendar.years(sheet, layout, order)
        layout = dated_spread(sheet, layout, order, years, self.today)
        layout = with_hours(sheet, layout, mark, self.ask)
        layout = with_one_rating(sheet, layout, mark, self.ask)
        golfer = self._golfer(sheet, layout, others)
        rated = self._rated(sheet, layout, rated)
        sums, shares, played = self._several(sheet, layout, mark)
        settled = Settled(
            order=order,
            category=lambda phrase, heading: category_of(phrase, heading, self.memory, self.ask),
            bare=self._bare(sheet, layout, mark),
            rated=rated,
            golfer=golfer,
            tried=tried_asked(sheet, layout, mark, self.ask),
            test=test_asked(sheet, layout, mark, self.ask),
            today=self.today,
            years=years,
            far=far_asked(sheet, layout, mark, self.ask),
            known=self.known,
            sums=sums,
            shares=shares,
            played=played,
            nine=self._nine(sheet, layout, mark, rated),
            dash=self._dash(sheet, layout, mark),
            fraction=fraction_asked(sheet, layout, mark, self.ask),
            usual=usual_asked(sheet, layout, mark, self.ask),
            each=each_asked(sheet, layout, mark, self.ask),
            units=units_asked(sheet, layout, mark, self.ask),
            heads=units_said(sheet.rows[layout.header - 1], layout),
            unit=lambda letter: self.ask(letter_question(letter, sheet.name)),
            whose=lambda line: self.ask(self._below(line, sheet)),
            people=self.people,
            loose=lambda written: self.ask(loose_question(written, sheet.name)),
            named=lambda text: settled_name(text, self.ask),
            far_of=lambda heading: how_far(heading, sheet, layout, mark, self.ask),
            meant=lambda written, row: self.ask(_no_day(written, row, sheet)),
            bucket=lambda: balls_in_bucket(self.ask, sheet.name),
        )
        found, wrote = read_rows(sheet, layout, settled), self.wrote.get(sheet.name, frozenset())
        return Understood(sheet, layout, order, because, found, wrote)

    def _rated_for_18(self, row: Sequence[Cell], layout: Layout, rated: Rated) -> bool:
        """Whether the rating that a row has, or that is known for it, is one of 18 holes."""
        place = layout.column("course_rating")
        cell = layout.title.get("course_rating") if place is None else row[place]
        both = rating_and_slope(cell)
        rating = both[0] if both else read_number(cell)
        if rating is None:
            places = [layout.column(name) for name in ("course", "tee")]
            course, tee = (None if one is None else row[one] for one in places)
            golfer = name_of(row, layout) or ""
            told = rated.found(text_of(course), text_of(tee), golfer, date.max, part_played(row, layout))
            rating = None if told is None else told[1][0]
        return rating is not None and rating >= LOWEST_RATING_OF_18

    def _nine(self, sheet: Sheet, layout: Layout, mark: str, rated: Rated) -> str | None:
        """How rounds of nine holes are taken, where the sheet has any beside ratings of 18."""
        if layout.kind == "rounds":
            cells = [
                (number, row)
                for number, row in layout.rows(sheet)
                if is_of_nine(row, layout) and not not_of_one(row, layout)
            ]
            cells = [(number, row) for number, row in cells if self._rated_for_18(row, layout, rated)]
        elif layout.kind == "wide rounds":
            cells = [
                (number, row)
                for number, row in layout.rows(sheet)
                if any(says_nine(row[one]) for one in layout.spread)
            ]
        else:
            return None
        if not cells:
            return None
        rows = "1 row tells" if len(cells) == 1 else f"{len(cells)} rows tell"
        text = (
            f"{rows} of nine holes (first in row {cells[0][0]}), but the course rating is that of 18. "
            "Which rating and slope hold for them?"
        )
        return self.ask(Question(f"nine holes: {mark}", text, sheet.name, NINE))

    @staticmethod
    def _day_cells(sheet: Sheet, layout: Layout) -> list[Cell]:
        places = [layout.column(name) for name in ("date", "week", "week_ending", "goal_on", "joined_on")]
        cells: list[Cell] = [
            row[place] for _, row in layout.rows(sheet) for place in places if place is not None
        ]
        cells += [
            sheet.rows[layout.header - 1][place]
            for place, named in layout.spread.items()
            if isinstance(named, date)
        ]
        return cells

    def prove(self, laid: Sequence[tuple[Sheet, Layout]]) -> None:
        """Note which orders of day and month the days of all sheets prove."""
        for sheet, layout in laid:
            proof = day_order(self._day_cells(sheet, layout), self.today)
            if proof.sure and proof.order is not None and "can" in proof.reason:
                self.proved.setdefault(proof.order, sheet.file)

    def _order(self, sheet: Sheet, layout: Layout, mark: str) -> tuple[Order | None, str]:
        cells = self._day_cells(sheet, layout)
        proof = day_order(cells, self.today)
        if proof.sure:
            if proof.order is not None and "can" in proof.reason:
                self.orders[sheet.file] = proof.order
                self.memory.answers[f"proved order of day and month: {mark}"] = proof.order
            return proof.order, "" if "open" in proof.reason else proof.reason
        if sheet.file in self.orders:
            return self.orders[sheet.file], "as elsewhere in the same file"
        if proved := self.memory.answers.get(f"proved order of day and month: {mark}"):
            return DAY if proved == DAY else MONTH, "as in a file of the same kind before"
        if len(self.proved) == 1 and proof.order in (None, *self.proved):
            return next((order, f"as in {file}") for order, file in self.proved.items())
        where = f"{sheet.name}"
        dates = (cell for cell in cells if isinstance(cell, str) and any(map(str.isdigit, cell)))
        example = next(dates, "")
        question = Question(
            f"order of day and month: {mark}",
            f"Is {example} written day first or month first? ({proof.reason})",
            where,
            (DAY, MONTH),
            proof.order,
        )
        answer = self.ask(question)
        return (
            DAY if answer == DAY else MONTH if answer == MONTH else proof.order
        ), proof.reason if answer is None else "as you said"

    def _golfer(self, sheet: Sheet, layout: Layout, others: Sequence[Sheet]) -> str | None:
        if {"golfer", "golfer_id", "first_name", "last_name"} & set(
            layout.columns.values()
        ) or layout.kind == "courses":
            return None
        if (over := over_first_block(sheet, layout)) is not None:
            return over
        guess = sole_golfer(sheet, layout)
        lines = names_on_lines(sheet, layout, self.people)
        alone = len({one.name for one in others if one.file == sheet.file}) == 1 or bool(lines)
        if guess is not None and ("golfer" in layout.title or not alone):
            return guess
        first = next(layout.rows(sheet), None)
        if first is not None and first[0] in lines:
            return None
        question = Question(
            f"whose: {sheet.name}", "Whose rows are these? No column names a golfer.", sheet.name, (), guess
        )
        return self.ask(question) or guess

    @staticmethod
    def _below(line: str, sheet: Sheet) -> Question:
        """Return the question whose rows stand below a line that may name a golfer."""
        text = f"Whose are the rows below {line!r}? No golfer could be read there; write a name."
        return Question(f"whose: {sheet.name}, below {plain(line)}", text, sheet.name)

    def known(self, phrase: str) -> str | None:
        """What a practice phrase is, as far as nobody need be asked; "" where it is nothing."""
        return known_category(phrase, self.memory)

    def _several(self, sheet: Sheet, layout: Layout, mark: str) -> tuple[str | None, str | None, str | None]:
        """What was said of cells that name several things: their sums, their shares, play on the course."""
        if layout.kind not in ("practice", "log", "wide practice"):
            return None, None, None
        counts: Counter[str] = Counter()
        first: dict[str, str] = {}
        told = (
            (number, *one) for number, cells in layout.rows(sheet) for one in self._divided(cells, layout)
        )
        for number, cell, spent, found in told:
            for doubt in (*found.doubts, *(("played",) if found.played is not None else ())):
                counts[doubt] += 1
                beside = "" if spent is None else f", {spent:g} minutes beside it"
                first.setdefault(doubt, f"first in row {number}: {str(cell)!r}{beside}")
        asked = (
            ("sum", "the minutes in words are not those beside them", "Which holds?", SUMS, None),
            ("shares", "several things have no minutes of their own", "How is the time shared?", SHARES, 0),
            ("played", "the rest of the time was on the course", "Was that practice, or play?", PLAYED, 1),
        )
        said = []
        for doubt, what, question, options, likely in asked:
            answer = None
            if counts[doubt]:
                rows = "1 row" if counts[doubt] == 1 else f"{counts[doubt]} rows"
                proposal = None if likely is None else options[likely]
                text = f"In {rows} {what} ({first[doubt]}). {question}"
                answer = self.ask(Question(f"{doubt}: {mark}", text, sheet.name, options, proposal))
            said.append(answer)
        return said[0], said[1], said[2]

    def _dash(self, sheet: Sheet, layout: Layout, mark: str) -> str | None:
        """What a dash alone says in the cells that tell in words what was practised."""
        if layout.kind == "log":
            places = [layout.words()]
        elif layout.kind == "wide practice" and layout.column("category") is None:
            places = [
                place
                for place, named in layout.spread.items()
                if isinstance(named, date) or named in WEEKDAY_NAMES
            ]
        else:
            return None
        rows = [
            number
            for number, cells in layout.rows(sheet)
            for place in places
            if place is not None and str(cells[place]).strip() in DASHES
        ]
        if not rows:
            return None
        held = "1 cell holds" if len(rows) == 1 else f"{len(rows)} cells hold"
        text = f"{held} a dash alone (first in row {rows[0]}). Was there no practice, or is nothing known?"
        return self.ask(Question(f"dash: {mark}", text, sheet.name, DASH, DASH[0]))

    def _divided(self, cells: list[Cell], layout: Layout) -> Iterator[tuple[Cell, float | None, Divided]]:
        """Yield the cells of a row that say in words what was practised, with the time beside them."""
        if layout.kind == "wide practice":
            days = [
                place
                for place, named in layout.spread.items()
                if isinstance(named, date) or named in WEEKDAY_NAMES
            ]
            for cell in (cells[place] for place in days if layout.column("category") is None):
                if isinstance(cell, str):
                    yield cell, None, together(read_log(cell), self.known)
        elif (cell := words_of(cells, layout)) is not None:
            spent, slack = time_beside(cells, layout)
            yield cell, spent, divided(text_of_log(cell), spent, slack, self.known)

    def _bare(self, sheet: Sheet, layout: Layout, mark: str) -> str | None:
        """What a number without a unit counts, where the sheet has such numbers."""
        if layout.kind not in ("log", "wide practice"):
            return None
        top = " ".join(plain(cell) for row in sheet.rows[: layout.header] for cell in row if cell is not None)
        said = list({unit for word in top.split() if (unit := unit_of(word)) in (MINUTES, REPS)})
        if len(said) == 1:
            return said[0]
        words = layout.words() if layout.kind == "log" else None
        if words is not None and unit_said(sheet.rows[layout.header - 1][words]) == HOURS:
            return HOURS
        headed = layout.kind == "wide practice" and set(units_said(sheet.rows[layout.header - 1], layout))
        if headed and headed >= {*layout.spread}:
            return MINUTES
        if layout.units or not bare_numbers(sheet, layout) or _timed_throughout(sheet, layout):
            return MINUTES
        likely = HOURS if likely_hours(sheet, layout) else MINUTES
        question = Question(
            f"bare numbers: {mark}",
            "Does a number without a unit count minutes, hours or balls?",
            sheet.name,
            (MINUTES, HOURS, REPS),
            likely,
        )
        return self.ask(question) or likely

    def _rated(self, sheet: Sheet, layout: Layout, rated: Rated) -> Rated:
        """What is known of courses, and asked for where the rounds of this sheet name none."""
        nameless = [
            one for one in needed(sheet, layout, lambda row: name_of(row, layout)) if not plain(one.course)
        ]
        if not nameless:
            return rated
        own = replace(rated, ratings=dict(rated.ratings))
        settle(nameless, own, self.ask)
        return own


def _timed_throughout(sheet: Sheet, layout: Layout) -> bool:
    """Whether a time stands beside all that was practised, so that numbers in words need no unit."""
    rows = [row for _, row in layout.rows(sheet) if words_of(row, layout) is not None]
    return layout.kind == "log" and all(time_beside(row, layout)[0] is not None for row in rows)


def _no_day(written: str, row: int, sheet: Sheet) -> Question:
    """Return the question which day was meant by one that no calendar has."""
    text = (
        f"Row {row} says {written!r}, and there is no such day. Which day was it? Write it as 2026-07-01, or "
        f"{LEAVE!r}."
    )
    key = f"no such day: {sheet.name}: {plain(written)}"
    return Question(key, text, sheet.name, (), None, rf"20\d\d-\d\d-\d\d|{LEAVE}")

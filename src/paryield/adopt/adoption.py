"""Read a folder of a coach's own spreadsheets: say what is understood, ask what is open, write the tables."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from paryield import private
from paryield.adopt.across import upright
from paryield.adopt.layout import SAID, Layout, find_layout, signature, sole_golfer
from paryield.adopt.log import read_log
from paryield.adopt.memory import Memory, Question
from paryield.adopt.merged import merged
from paryield.adopt.people import People
from paryield.adopt.rows import (
    MINUTES,
    REPS,
    Found,
    Settled,
    course_ratings,
    read_rows,
    test_name,
)
from paryield.adopt.sheets import Cell, Sheet, is_table, read_sheets
from paryield.adopt.values import Order, day_order, read_number
from paryield.adopt.words import NOTHING, is_vague, plain, practice_of
from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables.cells import protect
from paryield.tables.files import trouble
from paryield.tables.schema import TABLES

LEAVE = "leave it out"
DAY: Order = "day first"
MONTH: Order = "month first"


@dataclass(frozen=True)
class Understood:
    """One sheet and what is understood of it.

    Parameters
    ----------
    sheet : Sheet
    layout : Layout
    order : {"day first", "month first"} or None
    because : str
        What tells the order of day and month.
    found : Found
    """

    sheet: Sheet
    layout: Layout
    order: Order | None
    because: str
    found: Found

    def to_dict(self) -> dict[str, Any]:
        """Return what is understood as a record of the command's document."""
        top = self.sheet.rows[self.layout.header - 1]
        return {
            "sheet": self.sheet.name,
            "kind": self.layout.kind,
            "header": self.layout.header,
            "columns": {str(top[place]): meaning for place, meaning in self.layout.columns.items()},
            "dates": self.order,
            "not_used": list(self.layout.unused),
            "rows": len(self.found.rows),
            "passed_over": dict(self.found.passed),
        }

    def lines(self) -> list[str]:
        """Say what is understood, for the preview."""
        header = self.layout.header
        counts = Counter(row.table for row in self.found.rows)
        gives = ", ".join(f"{count} for {table}" for table, count in counts.items()) or "no rows"
        out = [f"{self.sheet.name}: {SAID[self.layout.kind]}; header in row {header}; {gives}"]
        top = self.sheet.rows[header - 1]
        held = [
            f"{top[place]} = {meaning.replace('_', ' ')}" for place, meaning in self.layout.columns.items()
        ]
        if held:
            out.append(f"  columns: {'; '.join(held)}")
        if self.layout.spread:
            places = sorted(self.layout.spread)
            out.append(f"  spread over {len(places)} columns, from {top[places[0]]} to {top[places[-1]]}")
        if self.order is not None and self.because:
            out.append(f"  dates: {self.order} ({self.because})")
        if self.layout.unused:
            out.append(f"  not used: {', '.join(self.layout.unused)}")
        for reason, count in self.found.passed.items():
            rows = "1 row" if count == 1 else f"{count} rows"
            out.append(f"  {rows} passed over: {reason} (first: {self.found.first[reason]})")
        return out


@dataclass
class Adoption:
    """What a folder of a coach's own spreadsheets holds.

    Parameters
    ----------
    folder : Path
    understood : list of Understood
    questions : list of Question
        What is still open; empty when everything was proved or answered before.
    problems : list of Problem
        Files and sheets of which nothing could be made, and rows that say two things.
    people : People
    """

    folder: Path
    understood: list[Understood]
    questions: list[Question]
    problems: list[Problem]
    people: People
    memory: Memory
    _rows: dict[str, list[dict[str, str]]] = field(default_factory=dict)

    def counts(self) -> dict[str, int]:
        """Rows by table that would be written."""
        return {table: len(rows) for table, rows in self.tables().items()}

    def lines(self) -> list[str]:
        """Say what is understood, sheet by sheet."""
        out = [line for one in self.understood for line in one.lines()]
        new = sorted(set(self.people.ids.values()) - set(self.people.known))
        if new:
            shown = [f"{golfer} {self.people.names.get(golfer, '')}".strip() for golfer in new]
            out.append(f"golfers: {', '.join(shown)}")
        return out

    def tables(self) -> dict[str, list[dict[str, str]]]:
        """Rows by table as text under the project's column names; golfers of any sheet are added."""
        if not self._rows:
            rows = [row for one in self.understood for row in one.found.rows]
            self._rows, problems, questions = merged(rows, self.people)
            self.problems += problems
            self.questions += questions
        return self._rows

    def write(self, out: Path) -> list[Path]:
        """Write the tables as CSV files that ``import`` reads.

        Raises
        ------
        InputError
            When nothing was understood, or the folder cannot be written.
        """
        tables = self.tables()
        if not any(rows for name, rows in tables.items() if name != "golfers") and not tables.get("golfers"):
            remedy = (
                "give the sheet a header row with names such as player, date, score, course rating, slope"
            )
            raise InputError("no row of any table was found", where=str(self.folder), remedy=remedy)
        paths = []
        try:
            private.make_folder(out)
            for name, rows in tables.items():
                if not rows:
                    continue
                columns = [
                    column
                    for column in TABLES[name].names
                    if any(column in row for row in rows) or column in TABLES[name].required
                ]
                text = io.StringIO(newline="")
                writer = csv.writer(text)
                writer.writerow(columns)
                writer.writerows(
                    [_written(row.get(column, ""), column, name) for column in columns] for row in rows
                )
                path = out / f"{name}.csv"
                private.write(path, text.getvalue().encode("utf-8-sig"))
                paths.append(path)
        except OSError as error:
            message = f"the tables cannot be written ({error.strerror or error})"
            raise InputError(message, where=str(out), remedy="choose a folder that can be written") from None
        return paths


def _written(value: str, column: str, table: str) -> str:
    return protect(value) if TABLES[table].column(column).kind in ("text", "choice") else value


def adopt_folder(
    folder: Path,
    memory: Memory,
    *,
    known: Mapping[str, str] | None = None,
    today: date | None = None,
    skip: Sequence[str] = (),
) -> Adoption:
    """Read a folder and say what it holds; nothing is written.

    Parameters
    ----------
    folder : Path
    memory : Memory
        What was answered before.
    known : mapping of str to str, optional
        Golfer id to display name of the golfers on record.
    today : date, optional
        Dates without a year are the last such day; a reading with days to come is not the one meant.
    skip : sequence of str
        Names of files that are not the coach's.

    Raises
    ------
    InputError
        When there is no such folder, or it holds no spreadsheet.
    """
    day = today or date.today()
    sheets, problems = read_sheets(folder, skip)
    if not sheets and not problems:
        raise InputError(
            "the folder holds no spreadsheet", where=str(folder), remedy="put .xlsx or .csv files into it"
        )
    laid: list[tuple[Sheet, Layout]] = []
    for sheet in (upright(one, day) for one in sheets):
        layout = find_layout(sheet, day)
        if layout is None:
            hint = (
                "it is one of the project's own tables: import reads it"
                if is_table(sheet)
                else "it has no header that says what it holds"
            )
            problems.append(
                trouble(
                    sheet.name,
                    f"nothing was taken from it: {hint}",
                    "name its columns, such as player, date, score",
                )
            )
        else:
            laid.append((sheet, layout))
    asking = _Asking(memory, day)
    ratings: dict[tuple[str, str], tuple[float, float]] = {}
    for sheet, layout in laid:
        for key, value in course_ratings(sheet, layout).items():
            ratings.setdefault(key, value)
    understood = [
        asking.understand(sheet, layout, ratings, [one for one, _ in laid]) for sheet, layout in laid
    ]
    people = People(memory, dict(known or {}))
    people.settle(row.golfer for one in understood for row in one.found.rows)
    questions = [*asking.questions.values(), *people.questions]
    found = Adoption(folder, understood, questions, problems, people, memory)
    found.tables()
    return found


@dataclass
class _Asking:
    """Settles what a sheet leaves open, from what was answered before, or asks."""

    memory: Memory
    today: date
    questions: dict[str, Question] = field(default_factory=dict)
    orders: dict[str, Order] = field(default_factory=dict)

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
        ratings: dict[tuple[str, str], tuple[float, float]],
        others: Sequence[Sheet],
    ) -> Understood:
        """Settle one sheet and read its rows."""
        mark = signature(sheet, layout.header)
        order, because = self._order(sheet, layout, mark)
        golfer = self._golfer(sheet, layout, others)
        settled = Settled(
            order=order,
            category=self._category,
            bare=self._bare(sheet, layout, mark),
            ratings=self._ratings(sheet, layout, ratings),
            golfer=golfer,
            tried=self._tried(sheet, layout, mark),
            test=self._test(sheet, layout, mark),
            today=self.today,
        )
        return Understood(sheet, layout, order, because, read_rows(sheet, layout, settled))

    def _order(self, sheet: Sheet, layout: Layout, mark: str) -> tuple[Order | None, str]:
        places = [layout.column(name) for name in ("date", "week", "week_ending", "goal_on", "joined_on")]
        cells: list[Cell] = [
            row[place] for _, row in layout.rows(sheet) for place in places if place is not None
        ]
        cells += [
            sheet.rows[layout.header - 1][place]
            for place, named in layout.spread.items()
            if isinstance(named, date)
        ]
        proof = day_order(cells, self.today)
        if proof.sure:
            if proof.order is not None and "can" in proof.reason:
                self.orders[sheet.file] = proof.order
            return proof.order, "" if "open" in proof.reason else proof.reason
        if sheet.file in self.orders:
            return self.orders[sheet.file], "as elsewhere in the same file"
        where = f"{sheet.name}"
        example = next((str(cell) for cell in cells if isinstance(cell, str)), "")
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
        guess = sole_golfer(sheet, layout)
        if guess is not None and (
            "golfer" in layout.title or sum(one.file == sheet.file for one in others) > 1
        ):
            return guess
        first = next(layout.rows(sheet), None)
        if first is not None and sum(cell is not None for cell in first[1]) == 1:
            return None
        question = Question(
            f"whose: {sheet.name}", "Whose rows are these? No column names a golfer.", sheet.name, (), guess
        )
        return self.ask(question) or guess

    def _category(self, phrase: str) -> str | None:
        """Category of a practice phrase; a vague or unknown one is asked about once."""
        guess = practice_of(phrase)
        if plain(phrase) in NOTHING:
            return "none"
        if guess is not None and not is_vague(phrase):
            return guess
        from paryield.tables.categories import BY_NAME

        options = (*BY_NAME, LEAVE)
        near = get_close_matches(plain(phrase).replace(" ", "_"), BY_NAME, n=1, cutoff=0.7)
        if near and guess is None:
            guess = near[0]
        question = Question(
            f"practice: {plain(phrase)}", f"Which practice is {phrase!r}?", "practice", options, guess
        )
        answer = self.ask(question) or guess
        return None if answer == LEAVE else answer

    def _bare(self, sheet: Sheet, layout: Layout, mark: str) -> str | None:
        """What a number without a unit counts, where the sheet has such numbers."""
        if layout.kind not in ("log", "wide practice"):
            return None
        top = " ".join(plain(cell) for row in sheet.rows[: layout.header] for cell in row if cell is not None)
        told = {
            MINUTES: ("min", "mins", "minutes", "minuten", "minutos", "minuti"),
            REPS: ("balls", "reps", "balle", "balles", "bolas"),
        }
        said = [unit for unit, words in told.items() if set(words) & set(top.split())]
        if len(said) == 1:
            return said[0]
        if not _bare_numbers(sheet, layout):
            return MINUTES
        question = Question(
            f"bare numbers: {mark}",
            "Does a number without a unit count minutes or repetitions?",
            sheet.name,
            (MINUTES, REPS),
            MINUTES,
        )
        return self.ask(question) or MINUTES

    def _ratings(
        self, sheet: Sheet, layout: Layout, ratings: dict[tuple[str, str], tuple[float, float]]
    ) -> dict[tuple[str, str], tuple[float, float]]:
        """Ratings known, and asked for where rounds have a score and a course but no rating."""
        if layout.kind not in ("rounds", "wide rounds") or "score_differential" in layout.columns.values():
            return ratings
        if layout.column("course_rating") is not None or "course_rating" in layout.title:
            return ratings
        out, places = dict(ratings), (layout.column("course"), layout.column("tee"))
        courses: dict[tuple[str, str], str] = {}
        for _, row in layout.rows(sheet):
            name, tee = ("" if place is None or row[place] is None else str(row[place]) for place in places)
            courses.setdefault((plain(name), plain(tee)), f"{name} {tee}".strip())
        for key, shown in courses.items():
            if key in out or (key[0], "") in out:
                continue
            what = f"of {shown!r}" if shown else "of these rounds"
            text = f"What are the course rating and the slope {what}? Write them as 71.2/128."
            answer = self.ask(Question(f"ratings: {' '.join(key).strip() or sheet.name}", text, sheet.name))
            parts = (answer or "").replace(",", ".").split("/")
            numbers = [read_number(part) for part in parts]
            if len(numbers) == 2 and numbers[0] is not None and numbers[1] is not None:
                out[key] = numbers[0], numbers[1]
        return out

    def _tried(self, sheet: Sheet, layout: Layout, mark: str) -> float | None:
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
        return read_number(self.ask(question) or question.proposal)

    def _test(self, sheet: Sheet, layout: Layout, mark: str) -> str | None:
        if layout.kind not in ("wide tests", "tests") or layout.column("test") is not None:
            return None
        above = " ".join(
            str(cell) for row in sheet.rows[: layout.header - 1] for cell in row if cell is not None
        )
        for text in (above, sheet.sheet, sheet.file.rsplit(".", 1)[0]):
            if practice_of(text) and test_name(text) in (
                "lag_putt",
                "putting_ladder",
                "bunker_splash",
                "landing_spot_chip",
            ):
                return test_name(text)
        question = Question(
            f"test: {mark}",
            "Which test is this, such as putting ladder?",
            sheet.name,
            (),
            "putting ladder" if layout.kind == "wide tests" else None,
        )
        answer = self.ask(question) or question.proposal
        return None if answer is None else test_name(answer)


def _bare_numbers(sheet: Sheet, layout: Layout) -> bool:
    places = [place for name in ("log", "category", "note") if (place := layout.column(name)) is not None]
    places = [*layout.spread] if layout.kind == "wide practice" else places[:1]
    for _, row in layout.rows(sheet):
        for place in places:
            cell = row[place]
            if isinstance(cell, float) and cell:
                return True
            if isinstance(cell, str) and (
                read_number(cell) or any(entry.bare is not None for entry in read_log(cell))
            ):
                return True
    return False

"""Read a folder of a coach's own spreadsheets: say what is understood, ask what is open, write the tables."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path

from paryield import private
from paryield.adopt.across import upright
from paryield.adopt.ahead import looked_ahead
from paryield.adopt.asking import Asking
from paryield.adopt.below import one_below_other
from paryield.adopt.beside import side_by_side
from paryield.adopt.blocks import blocked
from paryield.adopt.choosing import column_of_practice, settled_layout
from paryield.adopt.coded import decoded
from paryield.adopt.copies import first_name, kept_rows, newer_copies
from paryield.adopt.dated import by_test_days
from paryield.adopt.days_across import days_across
from paryield.adopt.ditto import carried, undittoed
from paryield.adopt.fingerprints import fingerprint
from paryield.adopt.grouped import grouped
from paryield.adopt.layout import Layout, find_layout, signature
from paryield.adopt.listed import call_names, listed_sexes, recall, remember
from paryield.adopt.memory import Memory, Question
from paryield.adopt.merged import merged
from paryield.adopt.names import name_words
from paryield.adopt.names_together import together
from paryield.adopt.origins import Origins
from paryield.adopt.people import SAME, People, answered_name
from paryield.adopt.rated import Rated, course_ratings, listed, needed
from paryield.adopt.ratings_asked import settle, told_earlier
from paryield.adopt.ratings_known import KnownRatings
from paryield.adopt.rows import name_of
from paryield.adopt.sheets import Sheet, is_table, read_sheets
from paryield.adopt.stacked import summed, unstacked
from paryield.adopt.teed import by_days, find_tees, with_tees
from paryield.adopt.tested import as_tests
from paryield.adopt.titled import under_titles
from paryield.adopt.typed import kinds_apart, stamped
from paryield.adopt.understood import Understood, words_in
from paryield.adopt.words import plain
from paryield.adopt.yearless import told_by
from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables.cells import protect
from paryield.tables.files import clipped, trouble
from paryield.tables.schema import TABLES
from paryield.tables.write import LEFT_OUT, SOURCES_FILE, UNMEASURED


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
    memory : Memory
    left : list of str
        Sheets of which nothing is taken because that was answered.
    files : tuple of str
        Names of the coach's files.
    today : date
    kept : dict of str to str
        What is kept among the answers, so that a copy under another name is known.
    """

    folder: Path
    understood: list[Understood]
    questions: list[Question]
    problems: list[Problem]
    people: People
    memory: Memory
    left: list[str] = field(default_factory=list)
    files: tuple[str, ...] = ()
    today: date = field(default_factory=date.today)
    kept: dict[str, str] = field(default_factory=dict)
    _rows: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    _places: dict[str, list[str]] = field(default_factory=dict)
    _wrote: dict[str, list[str]] = field(default_factory=dict)

    def counts(self) -> dict[str, int]:
        """Rows by table that would be written."""
        return {table: len(rows) for table, rows in self.tables().items()}

    def left_out(self) -> int:
        """Return how many rows and cells of the sheets give nothing, for a reason that is told of each."""
        return sum(one.found.passed.total() for one in self.understood)

    def why_left(self) -> dict[str, int]:
        """Return why rows and cells give nothing, each with how many; whole sheets that are left out too."""
        told = sum((one.found.passed for one in self.understood), Counter[str]())
        return dict(told.most_common()) | dict.fromkeys(self.left, 1)

    def unmeasured(self) -> dict[str, int]:
        """Return why results that are kept measure nothing, each with how many."""
        return dict(sum((one.found.unmeasured for one in self.understood), Counter[str]()))

    def lines(self) -> list[str]:
        """Say what is understood, sheet by sheet."""
        out = [
            f"{file}: taken for a newer copy of {name}, brought in before"
            for file, name in self.memory.copies.items()
        ]
        out += [line for one in self.understood for line in one.lines()] + self.left
        if left := self.left_out():
            out.append(f"left out: {left} rows or cells, as said above")
        named = {golfer for name in self.people.ids for golfer in self.people.golfers(name)}
        new = sorted(named - set(self.people.known))
        if new:
            shown = [f"{golfer} {self.people.names.get(golfer, '')}".strip() for golfer in new]
            out.append(f"golfers: {', '.join(shown)}")
        return out

    def tables(self) -> dict[str, list[dict[str, str]]]:
        """Rows by table as text under the project's column names; golfers of any sheet are added."""
        if not self._rows:
            rows = [row for one in self.understood for row in one.found.rows]
            marks = {one.sheet.name: signature(one.sheet, one.layout.header) for one in self.understood}
            told = merged(rows, self.people, marks)
            self._rows, self._places, self._wrote = told.rows, told.places, told.wrote
            self.problems += told.problems
            self.questions += told.questions
        return self._rows

    def origins(self) -> Origins:
        """Return where the rows of the tables stood, for problems that are found in them."""
        self.tables()
        headings = {}
        for one in self.understood:
            top = one.sheet.rows[one.layout.header - 1]
            headings[one.sheet.name] = {held: str(top[place]) for place, held in one.layout.columns.items()}
        return Origins(self.files, self._places, headings, self._wrote)

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
            raise InputError("no row of any table was found", where=", ".join(self.files), remedy=remedy)
        paths = list[Path]()
        told: dict[str, Mapping[str, str | int]] = {}
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
                path, content = out / f"{name}.csv", text.getvalue().encode("utf-8-sig")
                private.write(path, content)
                paths.append(path)
                told[hashlib.sha256(content).hexdigest()] = self._sources(name)
            told |= {LEFT_OUT: self.why_left(), UNMEASURED: self.unmeasured()}
            private.write(out / SOURCES_FILE, json.dumps(told))
        except OSError as error:
            message = f"the tables cannot be written ({error.strerror or error})"
            raise InputError(message, where=str(out), remedy="choose a folder that can be written") from None
        return paths

    def _sources(self, table: str) -> dict[str, str]:
        """Return a fingerprint of what each row of a table was read from, by its row in the file."""
        told = zip(self._rows[table], self._places[table], self._wrote[table], strict=True)
        copies = self.memory.copies
        marks = (
            fingerprint(table, first_name(place, copies), wrote, row, self.today)
            for row, place, wrote in told
        )
        return {str(number): mark for number, mark in enumerate(marks, 2)}


def _written(value: str, column: str, table: str) -> str:
    return protect(value) if TABLES[table].column(column).kind in ("text", "choice") else value


def _not_taken(sheet: Sheet) -> Problem:
    own = "it is one of the project's own tables: import reads it"
    hint = own if is_table(sheet) else "it has no header that says what it holds"
    remedy = "name its columns, such as player, date, score"
    what = f"the block under {clipped(sheet.part)}" if sheet.part else "it"
    return trouble(sheet.name, f"nothing was taken from {what}: {hint}", remedy)


def _spelt_as_on_record(understood: Sequence[Understood], courses: Iterable[tuple[str, str]]) -> None:
    """Write the names of courses and tees as they are on record."""
    spelt = {"course": {plain(name): name for name, _ in courses}}
    spelt["tee"] = {plain(tee): tee for _, tee in courses if tee}
    for row in (row for one in understood for row in one.found.rows):
        for column, names in spelt.items():
            if column in row.values:
                row.values[column] = names.get(plain(row.values[column]), row.values[column])


def _parted(sheet: Sheet, today: date) -> list[Sheet]:
    """Return the parts of a sheet: a list and what stands below it, or a kind of entry each."""
    tables = (table for one in listed(sheet) for table in one_below_other(one, today))
    blocks = (block for one in tables for block in side_by_side(one, today))
    return [part for block in blocks for part in kinds_apart(stamped(block, today), today)]


def _turned(sheet: Sheet, today: date, named: set[frozenset[str]]) -> list[Sheet]:
    """Return a sheet with a row a result, a score or an entry, however it stood, and lists beside it."""
    sheet = days_across(decoded(grouped(sheet, today, named), today), today)
    if (tests := by_test_days(sheet, today)) is not sheet:
        return [tests]
    if (tests := under_titles(sheet, today)) is not sheet:
        return [tests]
    stacked = unstacked(sheet, today)
    if (tests := as_tests(stacked, today)) is not stacked:
        return [tests]
    bare, tees = find_tees(summed(unstacked(blocked(sheet, today), today), today))
    turned = upright(bare, today, named, tees.golfers if tees is not None else ())
    first, *lists = with_tees(turned, tees, today)
    return [by_days(first, today), *lists]


def _called(memory: Memory, known: Mapping[str, str]) -> set[frozenset[str]]:
    """The words of the names of everybody on record or named in an answer."""
    said = (answered_name(key) for key, value in memory.answers.items() if value == SAME)
    called = (*known.values(), *memory.people, *filter(None, said))
    return {name_words(name) for name in called} - {frozenset()}


def _listed_names(sheets: Sequence[Sheet], today: date) -> set[frozenset[str]]:
    """The words of the names of golfers that sheets of the folder list, or that stand by rounds.

    Whole names, and call names in a list of golfers.
    """
    found: set[frozenset[str]] = set()
    called: set[frozenset[str]] = set()
    for sheet in (part for whole in sheets if not is_table(whole) for part in _parted(whole, today)):
        layout = find_layout(sheet, today)
        if layout is not None and layout.kind in ("golfers", "rounds"):
            names = (name_of(row, layout) for _, row in layout.rows(sheet))
            found |= {name_words(name) for name in names if name is not None}
            called |= {name_words(name) for name in call_names([(sheet, layout)])}
    return {words for words in found if len(words) > 1} | called


def _rated(
    sheets: Sequence[Sheet],
    laid: Sequence[tuple[Sheet, Layout]],
    asking: Asking,
    courses: KnownRatings,
    known: Mapping[str, str],
) -> Rated:
    """What the sheets, the records and the answers say of courses, tees and ratings."""
    rated = Rated({}, sexes=listed_sexes(laid))
    for sheet, layout in laid:
        course_ratings(sheet, layout, rated)
    recall(rated, asking.memory)
    remember(rated, asking.memory)
    courses.lend(rated, known)
    lists = [one for one in sheets if blocked(one, asking.today) is one]
    told_earlier(lists, rated, asking.ask, asking.today)
    rounds = [one for sheet, layout in laid for one in needed(sheet, layout, partial(name_of, layout=layout))]
    settle([one for one in rounds if plain(one.course)], rated, asking.ask)
    return rated


@dataclass(frozen=True)
class _Record:
    """Golfers and courses on record, and the day of today."""

    known: Mapping[str, str]
    courses: KnownRatings
    today: date
    groups: Mapping[str, str]


def adopt_folder(
    folder: Path,
    memory: Memory,
    *,
    known: Mapping[str, str] | None = None,
    courses: KnownRatings | None = None,
    groups: Mapping[str, str] | None = None,
    today: date | None = None,
    skip: Sequence[str] = (),
    ahead: bool = False,
) -> Adoption:
    """Read a folder and say what it holds; nothing is written.

    Parameters
    ----------
    folder : Path
    memory : Memory
        What was answered before.
    known : mapping of str to str, optional
        Golfer id to display name of the golfers on record.
    courses : KnownRatings, optional
        Of the club: a course is spelt as there, and rounds without ratings have those that hold for their
        golfer.
    groups : mapping of str to str, optional
        Golfer id to the group of those on record who have one.
    today : date, optional
        A reading with days to come is not the one meant.
    skip : sequence of str
        Names of files that are not the coach's.
    ahead : bool
        Whether to find out what answers would open, so that it is asked beside them.

    Raises
    ------
    InputError
        When there is no such folder, or it holds no spreadsheet.
    """
    read = read_sheets(folder, skip)
    if not any(read):
        raise InputError(
            "the folder holds no spreadsheet", where=str(folder), remedy="put .xlsx or .csv files into it"
        )
    record = _Record(dict(known or {}), courses or KnownRatings(), today or date.today(), dict(groups or {}))
    found = _adopted(folder, read, memory, record)
    if ahead and found.questions:
        answers, people = dict(memory.answers), dict(memory.people)

        def reread(said: Mapping[str, str]) -> Sequence[Question]:
            return _adopted(folder, read, Memory({**answers, **said}, dict(people)), record).questions

        found.questions = looked_ahead(found.questions, reread)
    return found


def _adopted(
    folder: Path, read: tuple[Sequence[Sheet], Sequence[Problem]], memory: Memory, record: _Record
) -> Adoption:
    """Say what the sheets of a folder hold."""
    sheets, problems = read[0], [*read[1]]
    day, known = record.today, record.known
    laid: list[tuple[Sheet, Layout]] = []
    asking, left = Asking(memory, day), list[str]()
    named = _called(memory, known) | _listed_names(sheets, day)
    asking.people = named
    asking.wrote = {one.name: words_in(one) for one in sheets}
    memory.copies = newer_copies(sheets, memory, asking.ask)
    parts = [part for one in sheets for part in _parted(undittoed(one, asking.ask), day)]
    for sheet in (turned for one in parts for turned in _turned(one, day, named)):
        before = len(asking.questions)
        headed, layout, asked = settled_layout(sheet, day, memory, asking.ask, named)
        if layout is not None:
            laid.append((carried(headed, layout), layout))
            memory.answers.update(column_of_practice(headed, layout))
        elif not asked:
            problems.append(_not_taken(sheet))
        elif len(asking.questions) == before:
            left.append(f"{sheet.name}: left out, as you said")
    asking.calendar.told = {one.name: told_by(one, day) for one in sheets}
    asking.calendar.laid = laid
    asking.prove(laid)
    rated = _rated(sheets, laid, asking, record.courses, known)
    understood = [asking.understand(sheet, layout, rated, [one for one, _ in laid]) for sheet, layout in laid]
    _spelt_as_on_record(understood, record.courses.spelt.values())
    files = tuple(dict.fromkeys(sheet.file for sheet in sheets)) or tuple(one.file for one in problems)
    listed = {
        row.golfer: group
        for one in understood
        for row in one.found.rows
        if row.table == "golfers" and (group := row.values.get("group"))
    }
    people = People(memory, dict(known), called=call_names(laid), groups=record.groups, listed_groups=listed)
    people.settle(*([row.golfer for row in one.found.rows] for one in understood))
    questions = [*asking.questions.values(), *together(people.questions)]
    found = Adoption(folder, understood, questions, problems, people, memory, left, files, day)
    found.kept = kept_rows(sheets, memory.copies)
    found.tables()
    return found

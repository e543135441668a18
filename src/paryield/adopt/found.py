"""What a sheet gives: rows with the place they came from, and what was settled about it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from paryield.adopt.days import Order
from paryield.adopt.headings import MINUTES, REPS
from paryield.adopt.layout import Layout
from paryield.adopt.rated import Rated
from paryield.adopt.sheets import Cell
from paryield.adopt.tests_named import own_name
from paryield.adopt.yearless import LAST_SUCH_DAY, Years

LEAVE = "leave it out"
BOTH_PUTTING = "short and lag putting in equal parts"
NO_PRACTICE = "no practice that day"
SUMS = ("the minutes in words", "the time beside them, shared as the words say", "leave these rows out")
"""Which holds where minutes in words are not those beside them."""
SHARES = ("in equal parts", "leave these rows out")
"""How a time is shared among things without minutes of their own."""
NINE = ("half the course rating, the same slope", "leave these rounds out")
"""How rounds of nine holes are taken whose course rating is that of 18."""
FRACTIONS = ("the day was made, the month was tried", "the month was made, the day was tried", LEAVE)
"""What a date among results of tests was before a spreadsheet made a date of it."""
FEET, METRES = "feet", "metres"
USUAL = ("as many as in most rows of the same test", LEAVE)
"""Out of how many a number alone is, beside results that are made of tried."""
DITTO = ("the same as the day before", "the same as the row above", LEAVE)
"""What a mark for "the same" says under a day of the week."""
DASH = (NO_PRACTICE, "nothing is known of that day")
"""What a cell that holds a dash alone says."""
NO_LENGTH = "how much it was is not known: keep it without"
"""What is done with what has numbers that count nobody knows what, where the rest of it is taken."""
PLAYED = ("practice on the course", "play: leave that time out")
"""What the rest of a time on the course was."""


@dataclass(frozen=True)
class Row:
    """A row of a table as text, the name of its golfer as written, where it stands and what stands there.

    ``wrote`` is the cells that it was read from, from left to right.
    """

    table: str
    golfer: str
    values: dict[str, str]
    place: str
    wrote: str = ""


@dataclass
class Found:
    """What one sheet gave: rows, and how many of its rows gave nothing, by reason.

    ``noted`` counts what was taken although a mark stands by it. ``unmeasured`` counts results that are
    kept and measure nothing, by why. ``taken`` counts what each
    phrase for practice was taken as: phrase and category to entries.
    """

    rows: list[Row] = field(default_factory=list)
    passed: Counter[str] = field(default_factory=Counter)
    noted: Counter[str] = field(default_factory=Counter)
    unmeasured: Counter[str] = field(default_factory=Counter)
    first: dict[str, str] = field(default_factory=dict)
    taken: Counter[tuple[str, str]] = field(default_factory=Counter)

    def written(self, since: int, cells: Iterable[Cell]) -> None:
        """Note from which cells the rows since some number of them were read, where that is not said yet."""
        told = " | ".join(text_of(cell) for cell in cells if cell is not None and cell != "")
        self.rows[since:] = [row if row.wrote else replace(row, wrote=told) for row in self.rows[since:]]

    def note(self, what: str, place: str) -> None:
        """Count a cell that was taken, of which something is to be told."""
        self.noted[what] += 1
        self.first.setdefault(what, place)

    def measures_nothing(self, why: str, place: str) -> None:
        """Count a result that is kept although nothing is measured by it."""
        self.unmeasured[why] += 1
        self.first.setdefault(why, place)

    def passed_over(self, reason: str, place: str) -> None:
        """Count a row that was passed over."""
        self.passed[reason] += 1
        self.first.setdefault(reason, place)


@dataclass(frozen=True)
class Settled:
    """What was found out or answered about a sheet.

    Parameters
    ----------
    order : {"day first", "month first"} or None
    category : callable
        Practice phrase, and the heading over it or blank, to category, or None where it is not settled.
    bare : str or None
        What a number without a unit behind a practice word counts.
    rated : Rated
        What is known of courses, tees and their ratings.
    golfer : str or None
        The golfer of a sheet without a column for one.
    tried : float or None
        Attempts of a test whose cells hold only those made.
    test : str or None
        Name of the test of a wide sheet.
    today : date
    known : callable
        What a practice phrase is as far as it is known without asking; see :mod:`paryield.adopt.divided`.
    sums, shares, played, nine, dash, fraction, usual : str or None
        What was said of cells that name several things, nine holes, hold a dash alone, or a date or
        a number alone for a result, as :data:`SUMS` and its neighbours have it.
    each : mapping
        Tests to how many were tried in each; 0 for one that is left out.
    units : mapping
        Columns of a sheet with a row of units to what a number counts there.
    unit, named, bucket : callable
        What a letter behind a number counts; what the tables call a test; how many balls are in a bucket.
    years : Years
        The years of days without one.
    far : str or None
        The unit of distances whose column names none.
    loose : callable
        What is done with numbers as written of which nobody can say what they count.
    whose : callable
        Whose rows stand below a line that may name a golfer and could not be read.
    people : collection of frozenset of str
        The words of the names of known golfers.
    said : str
        The heading of what is read, where its phrase is not in the words of the sheet.
    far_of : callable
        From how many feet putts were holed, by the heading of their test.
    meant : callable
        Which day was meant, by a day that is none, such as 31 June, and the row where it stands.
    heads : mapping
        Columns for a kind of practice to the unit that their heading says.
    """

    order: Order | None
    category: Callable[[str, str], str | None]
    bare: str | None
    rated: Rated
    golfer: str | None
    tried: float | None
    test: str | None
    today: date
    known: Callable[[str], str | None]
    sums: str | None = None
    shares: str | None = None
    played: str | None = None
    nine: str | None = None
    dash: str | None = None
    fraction: str | None = None
    usual: str | None = None
    each: Mapping[str, float] = field(default_factory=dict)
    units: Mapping[int, str | None] = field(default_factory=dict)
    unit: Callable[[str], str | None] = lambda _: None
    named: Callable[[str], str | None] = own_name
    bucket: Callable[[], float | None] = lambda: None
    years: Years = LAST_SUCH_DAY
    far: str | None = None
    loose: Callable[[str], str | None] = lambda _: None
    whose: Callable[[str], str | None] = lambda _: None
    people: Collection[frozenset[str]] = ()
    said: str = ""
    heads: Mapping[int, str] = field(default_factory=dict)
    far_of: Callable[[str], float | None] = lambda _: None
    meant: Callable[[str, int], str | None] = lambda _, __: None


@dataclass(frozen=True)
class Line:
    """One row of a sheet with its golfer and day, and the headings above its cells."""

    number: int
    cells: list[Cell]
    golfer: str
    day: date | None
    top: Sequence[Cell] = ()


def get(line: Line, layout: Layout, meaning: str) -> Cell:
    place = layout.column(meaning)
    return None if place is None else line.cells[place]


def number_text(number: float) -> str:
    return str(int(number)) if float(number).is_integer() else f"{number:g}"


def text_of(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return " ".join(str(cell).split())


__all__ = ["MINUTES", "REPS", "Found", "Line", "Row", "Settled", "get", "number_text", "text_of"]

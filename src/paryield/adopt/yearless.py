"""The year of dates that are written without one: told by titles, names and other dates, or asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import pairwise

from paryield.adopt.days import Order, Season, lacks_year, read_date, season_in, span_of, week_number
from paryield.adopt.layout import Layout, signature
from paryield.adopt.memory import Ask, Memory, Question
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.weeks import Weeks, numbered, settled_weeks

LATEST = "each the last such day before today"
DATED = ("date", "week", "week_ending")
BACK = 150
"""Days by which the rows of one golfer step back where a new year begins in them. [judgement]"""


@dataclass(frozen=True)
class Told:
    """What a sheet as it came says of years.

    Parameters
    ----------
    titles : tuple of (int, Season)
        Row of the file, from 1, of each line that stands alone and tells one.
    name, file : Season or None
        What the names of the sheet and of the file tell.
    """

    titles: tuple[tuple[int, Season], ...] = ()
    name: Season | None = None
    file: Season | None = None


@dataclass(frozen=True)
class Years:
    """The seasons of a sheet's days without a year.

    Parameters
    ----------
    seasons : tuple of (int, Season)
        From which row of the file on each holds; none where each is the last such day.
    open : bool
        Whether nobody has said it yet.
    weeks : Weeks or None
        How numbered weeks are counted, where the sheet has any.
    """

    seasons: tuple[tuple[int, Season], ...] = ()
    open: bool = False
    weeks: Weeks | None = None

    def at(self, number: int) -> Season | None:
        """Return the season of a row of the file, from 1."""
        before = [season for row, season in self.seasons if row <= number]
        return before[-1] if before else self.seasons[0][1] if self.seasons else None


LAST_SUCH_DAY = Years()


def told_by(sheet: Sheet, today: date) -> Told:
    """Return what the lines that stand alone in a sheet, its name and its file's name tell of years."""
    lone: list[tuple[int, Season]] = []
    for number, row in enumerate(sheet.rows, 1):
        filled = [cell for cell in row if cell is not None]
        text = filled[0] if len(filled) == 1 else None
        if not isinstance(text, str) or lacks_year(text):
            continue
        if (season := season_in(text, today)) is not None:
            lone.append((sheet.number_of(number), season))
    file = sheet.file.rsplit(".", 1)[0]
    return Told(tuple(lone), season_in(sheet.sheet, today), season_in(file, today))


@dataclass
class Calendar:
    """Settles the years of days without one in the sheets of a folder.

    Parameters
    ----------
    ask : callable
    today : date
    memory : Memory
    told : mapping of str to Told
        By the names of the sheets.
    laid : sequence of (Sheet, Layout)
        All sheets that are read.
    """

    ask: Ask
    today: date
    memory: Memory
    told: Mapping[str, Told] = field(default_factory=dict)
    laid: Sequence[tuple[Sheet, Layout]] = ()

    def years(self, sheet: Sheet, layout: Layout, order: Order | None) -> Years:
        """Return the seasons of a sheet's days and weeks without a year, asking where nothing tells."""
        found = self._of_days(sheet, layout, order)
        if not any(True for _ in numbered(sheet, layout)):
            return found
        file = [pair for pair in self.laid if pair[0].file == sheet.file]
        seasons = {season for one, _ in file for _, season in (*self._seasons(one), *self._beside(one))}
        told = seasons.pop() if len(seasons) == 1 else None
        return replace(found, weeks=settled_weeks(file, told, self.memory, self.ask, self.today))

    def _of_days(self, sheet: Sheet, layout: Layout, order: Order | None) -> Years:
        days = [*_days(sheet, layout)]
        if not any(lacks_year(cell) for _, _, cell in days):
            return Years(tuple(self._seasons(sheet)), open=False)
        found = Years(tuple(self._seasons(sheet)) or self._beside(sheet))
        if found.seasons and not self._doubtful(days, found, order):
            return found
        return self._asked(sheet, layout, next(str(cell) for _, _, cell in days if lacks_year(cell)))

    def _seasons(self, sheet: Sheet) -> Sequence[tuple[int, Season]]:
        """What stands above the rows, else in the sheet's name, else in the file's."""
        told = self.told.get(sheet.name, Told())
        one = told.name or told.file
        return told.titles or ([] if one is None else [(0, one)])

    def _beside(self, sheet: Sheet) -> tuple[tuple[int, Season], ...]:
        """The only year, or two that follow one another, of whole dates in the sheet, else in its file."""
        same = [pair for pair in self.laid if pair[0].name == sheet.name]
        for pairs in (same, [pair for pair in self.laid if pair[0].file == sheet.file]):
            days = [day for one, layout in pairs for day in _whole(one, layout, self.today)]
            years = sorted({day.year for day in days})
            if len(years) == 1:
                return ((0, Season(years[0], years[0])),)
            if years:
                return ()
        return ()

    def _doubtful(self, days: Sequence[tuple[int, str, Cell]], found: Years, order: Order | None) -> bool:
        """Whether days are to come, lie beside whole dates of other years, or step back once by a year."""
        by_golfer: dict[str, list[date]] = {}
        for number, golfer, cell in days:
            season = found.at(number)
            text = span_of(cell)[0] if isinstance(cell, str) else cell
            day = read_date(text, order or "day first", self.today, season)
            if day is None or season is None:
                continue
            if (lacks_year(cell) and day > self.today) or not season.holds(day):
                return True
            by_golfer.setdefault(golfer, []).append(day)
        return any(_steps_back_once(told) for told in by_golfer.values())

    def _asked(self, sheet: Sheet, layout: Layout, example: str) -> Years:
        this = self.today.year
        seasons = (str(this), str(this - 1), f"{this - 1}-{this}", str(this - 2), f"{this - 2}-{this - 1}")
        text = f"In which year are days such as {example!r}, which name none?"
        key = f"year of days in {this}: {signature(sheet, layout.header)}"
        answer = self.ask(Question(key, text, sheet.name, (LATEST, *seasons), LATEST))
        if answer is None:
            return Years(open=True)
        first, _, last = answer.partition("-")
        if not first.isdigit():
            return Years()
        return Years(((0, Season(int(first), int(last or first))),))


def dated_spread(sheet: Sheet, layout: Layout, order: Order | None, years: Years, today: date) -> Layout:
    """Return a layout with the days of its headings in the years that were settled; open ones left out."""
    top = sheet.rows[layout.header - 1]
    if not any(isinstance(day, date) and lacks_year(top[place]) for place, day in layout.spread.items()):
        return layout
    season = years.at(sheet.number_of(layout.header))
    spread: dict[int, date | float | str] = {}
    unread = list(layout.unused)
    for place, named in layout.spread.items():
        again = named
        if isinstance(named, date) and lacks_year(top[place]):
            day = None if years.open else read_date(top[place], order or "day first", today, season)
            if day is None:
                unread.append(str(top[place]))
                continue
            again = day
        spread[place] = again
    return replace(layout, spread=spread, unused=tuple(unread))


def _days(sheet: Sheet, layout: Layout) -> Iterator[tuple[int, str, Cell]]:
    """Yield the cells of a sheet that name days, each with its row of the file and golfer, blank if none."""
    places = [place for name in DATED if (place := layout.column(name)) is not None]
    who = layout.column("golfer")
    for number, row in layout.rows(sheet):
        golfer = "" if who is None else str(row[who])
        yield from ((number, golfer, row[place]) for place in places if row[place] is not None)
    top = sheet.rows[layout.header - 1]
    header = sheet.number_of(layout.header)
    yield from ((header, "", top[place]) for place, day in layout.spread.items() if isinstance(day, date))
    if (day := layout.title.get("date")) is not None and not places:
        yield header, "", day


def _whole(sheet: Sheet, layout: Layout, today: date) -> Iterator[date]:
    """Yield the days with a year by which rounds, practice and tests stand."""
    for _, _, cell in _days(sheet, layout):
        if lacks_year(cell) or (isinstance(cell, str) and week_number(cell, today.year) is not None):
            continue
        if (day := read_date(cell, "day first", today)) is not None and day <= today:
            yield day


def _steps_back_once(days: Sequence[date]) -> bool:
    steps = [(later - earlier).days for earlier, later in pairwise(days)]
    back = [step for step in steps if step < 0]
    return len(back) == 1 and back[0] <= -BACK and len(steps) >= 2

"""Days as people write them: in an order that the column proves, of a season, as spans and as weeks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from paryield.adopt.sheets import Cell
from paryield.adopt.words import MONTHS, WEEKDAYS, plain

Order = Literal["day first", "month first"]
YEAR_FIRST = re.compile(r"(\d{4})\s*[./-]\s*(\d{1,2})\s*[./-]\s*(\d{1,2})(?:[T ]+[\d:.]+Z?)?")
NUMBERS_DATE = re.compile(r"(\d{1,2})\s*([./-])\s*(\d{1,2})(?:\s*\2\s*(\d{2,4}))?\.?(?:[T ]+[\d:.]+Z?)?")
YEAR_BEHIND = r"(?:\s*,?\s*(?:de |del )?(\d{4}|\d{2}))?(?!\d)"
DAY_MONTH = re.compile(rf"(?<!\d)(\d{{1,2}})(?:st|nd|rd|th)?\.?\s*(?:of |de |d')?([^\W\d]+)\.?{YEAR_BEHIND}")
DASHED_MONTH = re.compile(
    r"(?<!\d)(\d{1,2})\s*([-/])\s*([^\W\d]+)\.?(?:\s*\2\s*(\d{4}|\d{2}))?(?!\d|\s*[-/]\s*[^\W\d])"
)
"""``28-abr``, ``7-May-2026``; of ``6-Apr - 12-Apr`` the first day without a year."""
MONTH_DAY = re.compile(rf"([^\W\d]+)\.?\s+(\d{{1,2}})(?:st|nd|rd|th)?(?!\d){YEAR_BEHIND}")
LEADING_WORD = re.compile(r"^([^\W\d]{2,10})\.?,?\s+(?=\S)")
SPREADSHEET_EPOCH = date(1899, 12, 30)
"""Day 0 of spreadsheets' 1900 date system (ECMA-376, part 1, 18.17.4.1)."""
SERIALS = (36526.0, 54789.0)
"""Day numbers of 2000 to 2049: a number between them in a column of dates is one."""

STARTS = 7
"""Month from which the days of a season over New Year are of its first year. [judgement]"""
EARLIEST = 2000
YEAR = re.compile(r"(?<![\d.,/-])(20\d\d)(?:\s*[/–-]\s*(20\d\d|\d{2})(?![\d.,/-]))?(?!\d)")
SHORT_SEASON = re.compile(r"(?<![\d.,/-])(\d{2})\s*[/–-]\s*(\d{2})(?![\d.,/-])")
"""Two years of two digits that follow one another: ``24/25``."""
DAY_IN_NUMBERS = re.compile(
    r"\d{1,2}\s*([./-])\s*\d{1,2}\s*\1\s*(20\d\d|\d{2})(?!\d)|(20\d\d)-\d{1,2}-\d{1,2}(?!\d)"
)
SINCE = re.compile(
    r"(?:since|seit|depuis|desde|dal|sinds|sedan|siden|founded|gegr\w*|fond\w*|est)\.?\s+$", re.IGNORECASE
)
"""What stands before a year that is none of what stands below."""


@dataclass(frozen=True)
class Season:
    """The year of days without one, or the two years of a season over New Year.

    Parameters
    ----------
    first, last : int
        The same, or one after the other.
    """

    first: int
    last: int

    def of(self, month: int) -> int:
        """Return the year of a day in a month, 1 to 12."""
        return self.first if self.first == self.last or month >= STARTS else self.last

    def holds(self, day: date) -> bool:
        """Whether a day with a year is of it."""
        return self.first <= day.year <= self.last


def season_in(text: str, today: date) -> Season | None:
    """Return the only year or season that a text tells, or None.

    A year behind a word such as "since" is left aside, and so is one that is to come.
    """
    found: set[Season] = set()
    rest = text
    for match in DAY_IN_NUMBERS.finditer(text):
        year = int(match[2] or match[3])
        found.add(Season(year % 100 + EARLIEST, year % 100 + EARLIEST))
        rest = rest.replace(match[0], " ")
    for match in YEAR.finditer(rest):
        if SINCE.search(rest[: match.start()]):
            continue
        first = int(match[1])
        last = first if match[2] is None else int(match[2]) % 100 + first // 100 * 100
        found.add(Season(first, last if last in (first, first + 1) else first))
    if not found and (short := SHORT_SEASON.search(rest)) and int(short[2]) == int(short[1]) + 1:
        found.add(Season(EARLIEST + int(short[1]), EARLIEST + int(short[2])))
    likely = {one for one in found if EARLIEST <= one.first <= today.year}
    return likely.pop() if len(likely) == 1 else None


@dataclass(frozen=True)
class OrderProof:
    """What a column of dates says about the order of day and month.

    Parameters
    ----------
    order : {"day first", "month first"} or None
        None where nothing tells.
    reason : str
        What proves it, or why nothing does.
    sure : bool
        Whether a cell proves it; otherwise it is likely at most.
    """

    order: Order | None
    reason: str
    sure: bool


def day_order(cells: Sequence[Cell], today: date) -> OrderProof:
    """Tell the order of day and month from the cells of a column.

    A number above 12 proves it. Otherwise one reading may hold days to come, or leave the order of the rows,
    and a full stop between the numbers is written day first (common practice, no source): then it is likely.
    """
    told = [part for cell in cells if isinstance(cell, str) for part in span_of(cell)]
    pairs = [found for cell in told if (found := _numbers(cell)) is not None]
    if not pairs:
        return OrderProof("day first", "no date leaves day and month open", True)
    first, second = max(pair[0] for pair in pairs), max(pair[1] for pair in pairs)
    if first > 12 and second > 12:
        return OrderProof(None, "some dates are day first and others month first", False)
    if first > 12:
        return OrderProof("day first", f"{first} cannot be a month", True)
    if second > 12:
        return OrderProof("month first", f"{second} cannot be a month", True)
    if all(pair[0] == pair[1] for pair in pairs):
        return OrderProof("day first", "day and month are the same number in each", True)
    by_day = [_date(year, day, month, today) for day, month, year, _ in pairs]
    by_month = [_date(year, day, month, today) for month, day, year, _ in pairs]
    ahead = [any(day is not None and day > today for day in days) for days in (by_day, by_month)]
    if ahead[0] != ahead[1]:
        order: Order = "month first" if ahead[0] else "day first"
        return OrderProof(order, "the other reading has days to come", False)
    stops = sum(pair[3] == "." for pair in pairs)
    if stops == len(pairs):
        return OrderProof("day first", "numbers with full stops are written day first", False)
    risen = [_steps_back(days) for days in (by_day, by_month)]
    if risen[0] != risen[1] and min(risen) <= 0.05 * len(pairs):
        return OrderProof(
            "day first" if risen[0] < risen[1] else "month first", "the rows follow one another", False
        )
    return OrderProof(None, "no date tells day from month", False)


WEEK_BEFORE = re.compile(
    r"^(?:w/?[ceb]|wk|week(?: of| commencing| beginning| from| van)?|sem(?:ana|aine)?\.?(?: del?| du)?"
    r"|woche(?: vom| ab)?|settimana(?: del| dal)?|vecka(?: från)?|uke(?: fra)?|uge(?: fra)?|du|del|dal|vom|ab"
    r"|from|van|från|fra)\.?:?\s+(?=\d|[^\W\d]+\.?\s+\d)",
    re.IGNORECASE,
)
"""What stands before the day of a week."""
BETWEEN_DAYS = re.compile(
    r"\s*(?:[–—]|\s-\s|(?<=\.)-|(?<=\d)-(?=\s?\d{1,2}\s*[./])|\b(?:to|until|bis|al|a|au|hasta|tot|t/m|till|til)\b)"
    r"\s*"
)


LATE_DAY = re.compile(r"(?<!\d)(?:29|30|31)(?!\d)")


def is_no_day(cell: Cell, order: Order | None, today: date, season: Season | None = None) -> bool:
    """Whether a cell reads as a day that no calendar has, such as 31 June: a slip, not an unknown way."""
    if not isinstance(cell, str) or read_date(cell, order, today, season) is not None:
        return False
    other = LATE_DAY.sub("28", cell, count=1)
    return other != cell and read_date(other, order, today, season) is not None


def span_of(cell: str) -> list[str]:
    """Return the days of a span as they are written, ``27/4`` and ``3/5`` of ``27/4 al 3/5``, or the cell."""
    bare = WEEK_BEFORE.sub("", cell.strip())
    parts = [part for part in BETWEEN_DAYS.split(bare) if part]
    return parts if len(parts) == 2 and all(any(map(str.isdigit, part)) for part in parts) else [bare]


def _numbers(cell: Cell) -> tuple[int, int, int | None, str] | None:
    """Two numbers of 1 to 31 that may be day and month, the year, and the sign between them."""
    if not isinstance(cell, str):
        return None
    match = NUMBERS_DATE.fullmatch(_without_weekday(cell))
    if not match:
        return None
    first, second = int(match[1]), int(match[3])
    if not (1 <= first <= 31 and 1 <= second <= 31):
        return None
    return first, second, int(match[4]) if match[4] else None, match[2]


def _steps_back(days: Sequence[date | None]) -> int:
    known = [day for day in days if day is not None]
    rises = sum(later < earlier for earlier, later in pairwise(known))
    return min(rises, sum(later > earlier for earlier, later in pairwise(known)))


def _date(year: int | None, day: int, month: int, today: date, season: Season | None = None) -> date | None:
    """A day of the calendar; without a year that of the season, else the latest one that is not to come."""
    if year is None and season is not None:
        year = season.of(month)
    if year is None:
        this = _date(today.year, day, month, today)
        return this if this is not None and this <= today else _date(today.year - 1, day, month, today)
    try:
        return date(year + 2000 if year < 100 else year, month, day)
    except ValueError:
        return None


def read_date(cell: Cell, order: Order | None, today: date, season: Season | None = None) -> date | None:
    """Return the day that a cell names, or None where it names none or leaves the order open.

    Parameters
    ----------
    cell : Cell
    order : {"day first", "month first"} or None
        Order of day and month where both are numbers.
    today : date
        A date without a year is the last such day, where no season is given.
    season : Season, optional
        What a date without a year is of.
    """
    if isinstance(cell, date):
        return cell
    if isinstance(cell, float) and SERIALS[0] <= cell <= SERIALS[1]:
        return SPREADSHEET_EPOCH + timedelta(days=int(cell))
    if not isinstance(cell, str):
        return None
    text = _without_weekday(cell)
    if match := YEAR_FIRST.fullmatch(text):
        return _date(int(match[1]), int(match[3]), int(match[2]), today)
    if match := NUMBERS_DATE.fullmatch(text):
        first, second = int(match[1]), int(match[3])
        if order is None and first <= 12 and second <= 12 and first != second:
            return None
        year = int(match[4]) if match[4] else None
        day_first = first > 12 or (second <= 12 and order != "month first")
        day, month = (first, second) if day_first else (second, first)
        return _date(year, day, month, today, season)
    return _words_date(text, today, season)


def lacks_year(cell: Cell) -> bool:
    """Whether a cell is a day, or a span of days, without a year: ``5/4``, ``12. mai``, ``6.4.-12.4.``."""
    if not isinstance(cell, str):
        return False
    text = _without_weekday(span_of(cell)[0])
    if match := NUMBERS_DATE.fullmatch(text):
        low, high = sorted((int(match[1]), int(match[3])))
        return not match[4] and 1 <= low <= 12 and high <= 31
    this, that = (_words_date(text, date(year, 12, 31), None) for year in (2020, 2024))
    return this is not None and that is not None and this.year != that.year


def _without_weekday(text: str) -> str:
    word = LEADING_WORD.match(text.strip())
    return text.strip()[word.end() :] if word and plain(word[1]) in WEEKDAYS else text.strip()


def day_of_month(cell: Cell, year: Cell, month: Cell, today: date) -> date | None:
    """Return the day of ``4``, ``Sa 4.`` or ``4th`` in a month that stands elsewhere."""
    text = _without_weekday(str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell))
    match = re.fullmatch(r"(\d{1,2})(?:\.|st|nd|rd|th)?", text)
    if match is None or not isinstance(month, float):
        return None
    return _date(int(year) if isinstance(year, float) else None, int(match[1]), int(month), today)


def _words_date(text: str, today: date, season: Season | None = None) -> date | None:
    """A date with the month as a word, in front of the day or behind it."""
    for match in DASHED_MONTH.finditer(text):
        if (number := MONTHS.get(plain(match[3]))) is not None:
            return _date(int(match[4]) if match[4] else None, int(match[1]), number, today, season)
    for pattern in (DAY_MONTH, MONTH_DAY):
        for match in pattern.finditer(text):
            day, word = (match[1], match[2]) if pattern is DAY_MONTH else (match[2], match[1])
            number = MONTHS.get(plain(word))
            if number is not None:
                return _date(int(match[3]) if match[3] else None, int(day), number, today, season)
    return None


WEEK_AND_DAYS = re.compile(r"(.*\S)\s*[(\[]([^()\[\]]*\d[^()\[\]]*)[)\]]")
"""A week with its days in brackets."""


def _with_year(text: str, year: int) -> str:
    match = NUMBERS_DATE.fullmatch(text.strip())
    return text if match is None or match[4] else f"{match[1]}{match[2]}{match[3]}{match[2]}{year}"


def week_number(cell: Cell, year: int) -> date | None:
    """Return the Monday of ``KW 14``, ``Week 14``, ``W14`` or 14 in a year (ISO 8601 weeks).

    Days in brackets behind it, such as ``KW 14 (30.3.-5.4.)``, must be days of that week.
    """
    number = None
    if isinstance(cell, str) and (match := WEEK_AND_DAYS.fullmatch(cell.strip())):
        monday = week_number(match[1], year)
        orders: tuple[Order, ...] = ("day first", "month first")
        days = [read_date(_with_year(span_of(match[2])[0], year), order, date.max) for order in orders]
        return monday if monday is not None and monday in days else None
    if isinstance(cell, float) and 1 <= cell <= 53 and cell.is_integer():
        number = int(cell)
    elif isinstance(cell, str):
        match = re.fullmatch(r"(?:[^\W\d]+\.?\s*)?(\d{1,2})(?:\s*[/-]\s*(\d{4}))?", cell.strip())
        if match:
            number, year = int(match[1]), int(match[2] or year)
    if number is None:
        return None
    try:
        return date.fromisocalendar(year, number, 1)
    except ValueError:
        return None


def week_of(cell: Cell, season: Season | None, today: date) -> date | None:
    """Return the Monday of a numbered week of a season, else of the last such week that is not to come."""
    if season is not None:
        days = [week_number(cell, year) for year in (season.first, season.last)]
        return next((day for day in days if day is not None and season.of(day.month) == day.year), days[0])
    day = week_number(cell, today.year)
    return week_number(cell, today.year - 1) if day is not None and day > today else day

"""Cells as people write them: dates in an order that the column proves, decimal commas, hours and minutes."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from paryield.adopt.seasons import Season
from paryield.adopt.sheets import Cell
from paryield.adopt.words import ADJUSTED, HOURS, MINUTES, MONTHS, SUMS, WEEKDAYS, plain

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


def read_number(cell: Cell) -> float | None:
    """Return the number in a cell: decimal point or comma, a unit, star or bracket behind it left aside.

    ``+2.1`` is 2.1 here; what a sign means depends on the column.
    """
    if isinstance(cell, bool) or cell is None or isinstance(cell, date):
        return None
    if isinstance(cell, float):
        return cell if math.isfinite(cell) else None
    text = cell.replace("\N{MINUS SIGN}", "-").replace("\N{NO-BREAK SPACE}", " ").strip()
    match = re.fullmatch(r"([+-]?\d+(?:[.,]\d+)?)\s*(?:\*+|%|[^\W\d]{1,6}\.?|\([^)]*\))?", text)
    return float(match[1].replace(",", ".")) if match else None


HIGHEST_RATING = 85.0
"""A greater number beside a course rating is the slope. [judgement]"""
BOTH_RATINGS = re.compile(r"\s*(\d{2,3}(?:[.,]\d)?)\s*[/|]\s*(\d{2,3}(?:[.,]\d)?)\s*")


def rating_and_slope(cell: object) -> tuple[float, float] | None:
    """Return course rating and slope that stand in one cell, ``70.9/124`` or the other way round, or None."""
    match = BOTH_RATINGS.fullmatch(cell) if isinstance(cell, str) else None
    if match is None:
        return None
    low, high = sorted(float(part.replace(",", ".")) for part in match.groups())
    return (low, high) if low <= HIGHEST_RATING < high else None


def sums_up(row: Sequence[Cell]) -> bool:
    """Whether a row sums up others, as its first filled cell says: ``Total``, ``Schnitt 2026:``."""
    first = next((cell for cell in row if cell is not None), None)
    words = [word for word in plain(first).split() if not word.isdigit()] if isinstance(first, str) else []
    return any(word in SUMS for word in words) and all(word in SUMS or word in MONTHS for word in words)


NINE_HOLES = re.compile(
    r"\b(?:only|just|nur|solo|seulement|slechts|alleen|bara|endast|kun|bare)"
    r" (?:9|nine|neun|neuf|nueve|nove)\b(?! over)"
    r"|\b(?:9|nine|neun|neuf|nueve|nove) (?:only|nur|seulement|solo|bara|kun)\b"
    r"|\b(?:9|nine|neun|neuf|nueve|nove)\s*(?:h|hls?|holes?|l|loch|locher|loecher|trous?|hoyos?|buche|hal|hull"
    r"|huller)\b"
)


HOLES = re.compile(r"\d{1,2}\s*(?:h|hls?|holes?|loch|locher|loecher|trous?|hoyos?|buche|hal|hull|huller)\b")
"""A number of holes, which is no score."""


def says_nine(cell: Cell) -> bool:
    """Whether a cell says that nine holes were played: ``45 (9h)``, ``nine holes only``."""
    return isinstance(cell, str) and NINE_HOLES.search(plain(cell)) is not None


COMPETITION = re.compile(
    r"\b(?:\w*turnier|\w*wettspiel|\w*wettkampf|\w*medal|medaille?|competition|comp|tournament|tournoi|torneo"
    r"|competicion|competizione|gara|wedstrijd|tavling|turnering|kilpailu|championships?|\w*meisterschaft)\b"
)
NO_COMPETITION = re.compile(
    r"\b(?:no|not|non|kein\w*|nicht|ohne|pas|sans|sin|senza|geen|ingen|before|after|for|vor|nach|fur|avant|apres"
    r"|pour|next)\b(?: \w+){0,2}$"
)
"""What stands before such a word where the round itself was none."""


def says_competition(cell: Cell) -> bool:
    """Whether a remark says that a round was a competition: ``Monatsmedal``, ``club tournament``."""
    match = COMPETITION.search(plain(cell)) if isinstance(cell, str) else None
    return match is not None and NO_COMPETITION.search(plain(cell)[: match.start()].strip()) is None


FRIENDLY = re.compile(
    r"\b(?:practice|friendly|social|bounce|casual|knock|ubungsrunde|trainingsrunde|privatrunde|freundschafts\w*"
    r"|entrainement|amicale?|partie libre|amistosos?|entreno|entrenamiento|vuelta de practica|amichevole"
    r"|allenamento|giro di prova|oefenronde|vriendschappelijk|traningsrunda|sallskapsrunda|treningsrunde"
    r"|privatrunde|selskabsrunde|traeningsrunde)\b"
)


def says_practice(cell: Cell) -> bool:
    """Whether a word for a round says that it was no competition: ``Practice round``, ``Amistoso``."""
    return isinstance(cell, str) and FRIENDLY.search(plain(cell)) is not None


def adjusted_in(cell: Cell) -> float | None:
    """Return the adjusted score of a cell that says it beside the other: ``91 (adj 88)``, ``91/88 adj.``"""
    if not isinstance(cell, str) or ADJUSTED.search(plain(cell)) is None:
        return None
    told = re.fullmatch(r"(\d{2,3})?([^\d]*)(\d{2,3})([^\d]*)(\d{2,3})?\W*", cell.strip())
    if told is None or (told[1] is None) == (told[5] is None):
        return None
    return float(told[3])


def read_score(cell: Cell) -> float | None:
    """Return the score in a cell, the adjusted one of two, a note of nine holes behind it left aside."""
    if (adjusted := adjusted_in(cell)) is not None:
        return adjusted
    if isinstance(cell, str) and says_nine(cell):
        match = re.match(r"\s*(\d{2,3})\b(?!\s*h)", cell)
        return float(match[1]) if match else None
    if isinstance(cell, str) and HOLES.match(plain(cell)):
        return None
    return read_number(cell.replace("?", "").strip() if isinstance(cell, str) else cell)


ONE = r"(?:an?|one|eine?|une?|una|uma|en)"
HALF = rf"(?:(?:{ONE} )?(?:half(?: an?)?|halbe|halve|halv|demi|media|mezz[ao]?['’]?|meia))"
AND_HALF = (
    r"(?:and|und|et|y|e|en|og|och)\s+(?:a half|(?:eine? )?halbe?|demie?|media|mezz[ao]|een half|halv|meia)"
)


def read_minutes(cell: Cell, per_unit: float = 1.0) -> float | None:
    """Return minutes of ``45 min``, ``1h30``, ``1:30``, ``1.5 h``; a bare number counts ``per_unit`` each."""
    if not isinstance(cell, str):
        number = read_number(cell)
        return None if number is None else number * per_unit
    text = plain_number(cell)
    if match := re.fullmatch(r"(\d{1,2})\s*:\s*([0-5]\d)(?::00)?(?:\s*h)?", text):
        return 60.0 * int(match[1]) + int(match[2])
    if match := re.fullmatch(
        rf"(\d+(?:\.\d+)?)\s*{HOURS}\.?(?:\s*(?:and|und|et|y|e)?\s*(\d+)\s*{MINUTES}?)?", text
    ):
        return 60.0 * float(match[1]) + float(match[2] or 0.0)
    if match := re.fullmatch(rf"(?:(?:(\d+)|({ONE}))\s*{HOURS}?\.?\s*{AND_HALF}|{HALF}[\s-]*{HOURS})", text):
        return 60.0 * float(match[1] or (match[2] is not None)) + 30.0
    if match := re.fullmatch(rf"(\d+(?:\.\d+)?)\s*{MINUTES}\.?", text):
        return float(match[1])
    number = read_number(cell)
    return None if number is None else number * per_unit


def plain_number(text: str) -> str:
    """Text in small letters with decimal points for commas between digits."""
    return re.sub(r"(?<=\d),(?=\d)", ".", text.strip().casefold())


def read_share(cell: Cell) -> tuple[int, int] | None:
    """Return made and tried of ``7/10``, ``7 of 10``, ``7 von 10``; None for anything else."""
    if not isinstance(cell, str):
        return None
    match = re.fullmatch(
        r"(\d{1,4})\s*(?:/|of|out of|von|v\.|aus|sur|de|su|di|van|uit|av|af)\s*(\d{1,4})",
        cell.strip().casefold(),
    )
    if not match or int(match[1]) > int(match[2]):
        return None
    return int(match[1]), int(match[2])


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
    if isinstance(cell, str) and (
        match := re.fullmatch(r"(.*\S)\s*[(\[]([^()\[\]]*\d[^()\[\]]*)[)\]]", cell.strip())
    ):
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

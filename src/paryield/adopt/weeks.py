"""Numbered weeks without a year: of which year they are, or when week 1 began, asked once for a file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from hashlib import sha256
from itertools import pairwise

from paryield.adopt.days import Season, read_date, week_number, week_of
from paryield.adopt.layout import Layout, signature
from paryield.adopt.memory import Ask, Memory, Question
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.words import MONTHS, plain

LATEST = 60
"""Weeks that a club may count from the start of its season. [judgement]"""
NUMBERED = re.compile(r"(?P<word>[^\W\d]+(?:[ .][^\W\d]+)?)?[\s.:]*(?P<number>\d{1,2})\.?")
CALENDAR = re.compile(
    r"kw|kalenderwoche|calendar week|iso week|uge(?: nr)?|uke(?: nr)?|vecka|v|viikko|vk|cw|semana iso"
)
"""Words for weeks that are always counted from New Year."""
YEAR, YEARS = r"20\d\d", r"20\d\d-20\d\d"
DAY = r"20\d\d-\d{1,2}-\d{1,2}|\d{1,2}\.\d{1,2}\.20\d\d"
BACK, SKIPPED, RECENT = 26, 6, timedelta(weeks=26)
"""Weeks by which numbers step back at New Year; that may be missing between two files; within which the
latest week of a file lies, where it is not one that goes on. [judgement]"""
KEY, UP_TO = "numbered weeks: ", "numbered weeks up to: "


@dataclass(frozen=True)
class Weeks:
    """How numbered weeks are counted.

    Parameters
    ----------
    season : Season or None
        Whose calendar weeks they are (ISO 8601).
    first : date or None
        First day of week 1, where they are counted from it.
    open : bool
        Whether nobody has said it yet.
    """

    season: Season | None = None
    first: date | None = None
    open: bool = False

    def day(self, cell: Cell, today: date) -> date | None:
        """Return the first day of the week that a cell names, or None."""
        number = number_of(cell)
        if number is None:
            return week_of(cell, self.season, today)
        if self.open:
            return None
        if self.first is not None:
            return self.first + timedelta(weeks=number - 1)
        return week_of(float(number), self.season, today)


def number_of(cell: Cell) -> int | None:
    """Return the number of a week that names neither a year nor its days, else None."""
    if isinstance(cell, float):
        return int(cell) if cell.is_integer() and 1 <= cell <= LATEST else None
    match = NUMBERED.fullmatch(cell.strip()) if isinstance(cell, str) else None
    if match is None or (match["word"] and plain(match["word"]) in MONTHS):
        return None
    return int(match["number"]) if 1 <= int(match["number"]) <= LATEST else None


def numbered(sheet: Sheet, layout: Layout) -> Iterator[tuple[Cell, int]]:
    """Yield the cells of a sheet that number weeks, where something stands beside them."""
    place = layout.column("week")
    if place is None:
        return
    for _, row in layout.rows(sheet):
        number = number_of(row[place])
        if number is not None and any(cell is not None for one, cell in enumerate(row) if one != place):
            yield row[place], number


def is_calendar(cell: Cell) -> bool:
    """Whether a word says that a week is one of the calendar."""
    match = NUMBERED.fullmatch(cell.strip()) if isinstance(cell, str) else None
    return match is not None and match["word"] is not None and bool(CALENDAR.fullmatch(plain(match["word"])))


def over_new_year(numbers: Sequence[int]) -> bool:
    """Whether numbers go on from 1 once, as those of a winter do."""
    return sum(one - two >= BACK for one, two in pairwise(numbers)) == 1


def said(answer: str) -> Weeks | None:
    """Return what an answer says: a year, two years, or the first day of week 1; None where it is no such."""
    years = [int(year) for year in re.findall(YEAR, answer)]
    if re.fullmatch(YEAR, answer.strip()):
        return Weeks(Season(years[0], years[0]))
    if re.fullmatch(YEARS, answer.strip()):
        return Weeks(Season(*years)) if years[1] == years[0] + 1 else None
    day = read_date(answer, "day first", date.max)
    return None if day is None else Weeks(first=day)


def stem_of(sheet: Sheet) -> str:
    """Return what names a file whichever week it is of: its words without numbers and months."""
    words = (re.sub(r"\d+", "", word) for word in plain(sheet.file.rsplit(".", 1)[0]).split())
    return " ".join(word for word in words if word and word not in MONTHS)


def settled_weeks(
    sheets: Sequence[tuple[Sheet, Layout]], told: Season | None, memory: Memory, ask: Ask, today: date
) -> Weeks:
    """Return how the numbered weeks in the sheets of one file are counted, asked once where nothing says it.

    ``told`` is the season that titles or whole dates tell: it holds for weeks of the calendar. An answer
    holds for a later file of that name, or with the same headings, whose numbers go on or are about now.
    """
    cells = [pair for sheet, layout in sheets for pair in numbered(sheet, layout)]
    if not cells:
        return Weeks(told)
    if told is not None and all(is_calendar(cell) for cell, _ in cells):
        return Weeks(told)
    numbers = [number for _, number in cells]
    keys = [_key(stem_of(sheets[0][0])), *(_key(signature(sheet, layout.header)) for sheet, layout in sheets)]
    match = next((key for key in keys if key in memory.answers), "")
    before, up_to = memory.answers.get(match), memory.answers.get(f"{UP_TO}{match}")
    likely = _likely(numbers, told, today)
    example = str(cells[0][0]) if isinstance(cells[0][0], str) else f"{cells[0][1]}"
    where = sheets[0][0].file
    question = _question(keys[0], example, where, likely, over_new_year(numbers))
    if before is not None and not _holds(before, numbers, up_to, today, named=match == keys[0]):
        text = f"{question.text} Until now they were counted by {before}."
        question = replace(question, key=f"{keys[0]}, after {before}", text=text)
        before = None
    answer = (before if before is not None and question.takes(before) else ask(question)) or ""
    if answer and said(answer) is None:
        answer = ask(replace(question, key=f"{question.key}, again")) or ""
    weeks = said(answer)
    if weeks is None:
        return Weeks(open=True)
    memory.answers.update(dict.fromkeys(keys, answer))
    memory.answers.update(dict.fromkeys((f"{UP_TO}{key}" for key in keys), str(max(numbers))))
    return weeks


def _key(told: str) -> str:
    """Return the key of an answer by a file's name or headings: not readable, as these may name people."""
    return f"{KEY}{sha256(told.encode()).hexdigest()[:16]}"


def _question(key: str, example: str, where: str, likely: str, over: bool) -> Question:
    if over:
        text = f"In which two years are weeks such as {example!r}? They go over New Year: such as 2025-2026."
        return Question(key, text, where, (), likely, YEARS)
    text = (
        f"In which year are weeks such as {example!r}? A year, two such as 2025-2026 where they go over New "
        "Year, or the first day of week 1, such as 2026-01-12."
    )
    return Question(key, text, where, (), likely, f"{YEARS}|{DAY}|{YEAR}")


def _likely(numbers: Sequence[int], told: Season | None, today: date) -> str:
    """Return the likeliest year: what is told, else the last in which none of the weeks is to come."""
    if told is not None and (told.first != told.last or not over_new_year(numbers)):
        return str(told.first) if told.first == told.last else f"{told.first}-{told.last}"
    if over_new_year(numbers):
        return f"{today.year - 1}-{today.year}"
    last = week_number(float(min(max(numbers), 52)), today.year)
    return str(today.year if last is not None and last <= today else today.year - 1)


def _holds(answer: str, numbers: Sequence[int], up_to: str | None, today: date, *, named: bool) -> bool:
    """Whether an answer that was given for an earlier file holds for weeks of these numbers.

    Those of a file that goes on, or is the same again; under the same name (``named``), weeks may be missing
    before those of late.
    """
    weeks = said(answer)
    if weeks is None or up_to is None or not up_to.isdigit():
        return weeks is not None
    highest = int(up_to)
    if max(numbers) == highest:
        return True
    new = [number for number in numbers if number > highest]
    days = [day for number in new if (day := weeks.day(float(number), today)) is not None]
    if not days or min(days) > today:
        return False
    return min(new) - highest <= SKIPPED or (named and timedelta(0) <= today - max(days) <= RECENT)

"""Years that titles and names tell: one, or a season over New Year."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

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

"""Cells as people write them: decimal commas, two ratings in one, scores, hours and minutes, remarks."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date

from paryield.adopt.nines import HOLES, says_nine
from paryield.adopt.sheets import Cell
from paryield.adopt.words import ADJUSTED, HOURS, MINUTES, MONTHS, SUMS, plain

ROUGHLY = re.compile(
    r"(?<!\w)(?:ca|c|circa|cirka|approx|about|around|roughly|etwa|ungef(?:ä|ae)?hr|ungefahr|rund|environ|env|unos|unas"
    r"|casi|m(?:á|a)s o menos|ongeveer|ungef(?:ä|a)r|omtrent|omkring)\b\.?\s*(?=\d)|~\s*(?=\d)",
    re.IGNORECASE,
)
ISH = re.compile(r"(?<=\d)\s?(?:-?ish\b|\+/-)", re.IGNORECASE)
"""What says that a number is not exact, before it and behind it; the number is taken as it stands."""
SPAN_OF_TIME = re.compile(
    rf"(?<![\d.,/:-])(\d+)\s*[-–]\s*(\d+)(?=\s*(?:{MINUTES}|{HOURS})(?!\w))", re.IGNORECASE
)
QUARTER = (
    r"(?:kwartier(?:en)?|kvart(?:er|e)?|quarters? of an hour|quarts? d.heure|cuartos? de hora|quart[oi] d.ora"
    r"|viertelstunden?)"
)
IN_WORDS = {
    **dict.fromkeys(("a", "one", "een", "ett", "et", "en", "un", "una", "eine"), 1),
    **dict.fromkeys(("three", "drie", "tre", "trois", "tres", "drei"), 3),
    **dict.fromkeys(("five", "vijf", "fem", "cinq", "cinco", "cinque", "funf", "fünf"), 5),
}
"""Quarters of an hour, and how many of them."""
WITH_PART = re.compile(rf"(?<![\d.,/])(\d+)\s*(1/2|1/4|3/4|½|¼|¾)\s*{HOURS}(?!\w)\.?", re.IGNORECASE)


def exactly(text: str) -> str:
    """Return a text without what says that its numbers are not exact: ``ca. 40ish`` is ``40``."""
    return ISH.sub("", ROUGHLY.sub("", text))


def halfway(text: str) -> str:
    """Return a text with the middle of lengths that are told as a span: ``20-30 min`` is ``25 min``."""

    def middle(match: re.Match[str]) -> str:
        low, high = float(match[1]), float(match[2])
        return f"{(low + high) / 2:g}" if low < high else match[0]

    return SPAN_OF_TIME.sub(middle, text)


def whole_hours(text: str) -> str:
    """Return a text with hours and a part of one in minutes: ``1 1/2 h`` is ``90 min``."""
    return WITH_PART.sub(lambda match: f"{60 * float(match[1]) + QUARTERS[match[2]]:g} min", text)


UNITS_OF_ONE_LETTER = frozenset("hmbyfsx")
"""Letters that may stand right behind a number; another one is a slip, such as the letter o for a zero."""


def read_number(cell: Cell) -> float | None:
    """Return the number in a cell: decimal point or comma, a unit, star or bracket behind it left aside.

    ``+2.1`` is 2.1 here; what a sign means depends on the column.
    """
    if isinstance(cell, bool) or cell is None or isinstance(cell, date):
        return None
    if isinstance(cell, float):
        return cell if math.isfinite(cell) else None
    text = cell.replace("\N{MINUS SIGN}", "-").replace("\N{NO-BREAK SPACE}", " ").strip()
    match = re.fullmatch(r"([+-]?\d+(?:[.,]\d+)?)(\s*)(?:\*+|%|([^\W\d]{1,6})\.?|\([^)]*\))?", text)
    if match and match[3] and _is_slip(match[2], match[3].casefold()):
        return None
    return float(match[1].replace(",", ".")) if match else None


def _is_slip(between: str, letters: str) -> bool:
    """Whether letters behind a number are no unit: one alone right behind it, or the letter o for a zero."""
    return set(letters) <= {"o"} or (not between and len(letters) == 1 and letters not in UNITS_OF_ONE_LETTER)


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


QUARTERS = {"1/2": 30.0, "½": 30.0, "1/4": 15.0, "¼": 15.0, "3/4": 45.0, "¾": 45.0}
"""Minutes of a part of an hour as it is written behind whole ones: ``1 1/2 hrs``."""


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
    if match := re.fullmatch(rf"(\d+)?\s*(1/2|1/4|3/4|½|¼|¾)\s*(?:an?\s+)?{HOURS}\.?", text):
        return 60.0 * float(match[1] or 0) + QUARTERS[match[2]]
    if match := re.fullmatch(rf"(?:(\d+|\w+)\s+)?{QUARTER}", text):
        count = 1 if match[1] is None else int(match[1]) if match[1].isdigit() else IN_WORDS.get(match[1])
        return None if count is None else 15.0 * count
    if match := re.fullmatch(rf"(\d+(?:\.\d+)?)\s*{MINUTES}\.?", text):
        return float(match[1])
    number = read_number(cell)
    return None if number is None else number * per_unit


def told_minutes(cell: Cell, per_unit: float = 1.0) -> float | None:
    """Return minutes as :func:`read_minutes` has them, of ``about 20`` and ``20-30 min`` too."""
    told = halfway(exactly(cell)).strip() if isinstance(cell, str) else cell
    return read_minutes(told, per_unit)


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

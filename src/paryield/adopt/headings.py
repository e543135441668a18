"""What headings say, what stands above them, and the units in a row below them."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from datetime import date

from paryield.adopt.days import lacks_year, read_date
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.words import HOURS as HOURS_IN_WORDS
from paryield.adopt.words import MINUTES as MINUTES_IN_WORDS
from paryield.adopt.words import MONTHS, meaning_of, plain

WEEKDAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
IN_ORDER = tuple(
    tuple(days.split())
    for days in (
        *("m t w t f s s", "l m x j v s d", "l m m j v s d", "l m m g v s d", "m d m d f s s"),
        *("m d w d v z z", "m t o t f l s", "p t s c p s n"),
        *("mo tu we th fr sa su", "lu ma mi ju vi sa do", "lu ma me je ve sa di", "lu ma me gi ve sa do"),
        *("mo di mi do fr sa so", "ma di wo do vr za zo", "ma ti on to fr lo so", "ma ti on to fr lo sondag"),
        *("lun mar mie jue vie sab dom", "lun mar mer jeu ven sam dim", "lun mar mer gio ven sab dom"),
        *("man tir ons tor fre lor son", "man tis ons tors fre lor son", "maa din woe don vri zat zon"),
    )
)
"""The days of a week from Monday, as they are shortened in English, Spanish, French, Italian, German, Dutch
and the languages of the North, compared as :func:`plain` has them: alone, a letter says nothing."""

MINUTES, REPS, HOURS, HOLES, SESSIONS = "minutes", "balls", "hours", "holes", "sessions"
BALLS = re.compile(
    r"(?:no of |number of |anzahl |nb |n )?(?:balls?|shots?|reps?|strokes|putts|balle|baelle|schlage|schlaege"
    r"|stuck|balles?|coups|bolas?|golpes|palline|colpi|ballen|slagen|bollar|slag|baller|bolde)"
)
IN_HOLES = re.compile(
    r"(?:no of |number of )?(?:holes?|hls?|loch|locher|loecher|trous?|hoyos?|buche|hal|hull|huller)"
)
IN_SESSIONS = re.compile(
    r"(?:sessions?|times|visits|einheiten?|mal|seances?|fois|sesion(?:es)?|veces|sessioni|volte|sessies?|keer"
    r"|pass|ganger|gange)"
)


def title_of(rows: Sequence[Sequence[Cell]], sheet: Sheet, today: date) -> dict[str, Cell]:
    """Return what stands above the header: ``Player: X``, ``CR 71.2 Slope 128``, ``out of 10``, a date."""
    out: dict[str, Cell] = {}
    for row in rows:
        cells = [cell for cell in row if cell is not None]
        for place, cell in enumerate(cells):
            text = str(cell)
            label, _, rest = text.partition(":")
            meaning = meaning_of(label)
            value: Cell = rest.strip() or (cells[place + 1] if place + 1 < len(cells) else None)
            if (
                meaning in ("golfer", "course", "tee", "date", "week", "course_rating", "slope_rating", "par")
                and value
            ):
                out.setdefault(meaning, value)
            for pattern, what in TITLE_PATTERNS:
                if match := re.search(pattern, text.casefold()):
                    out.setdefault(what, float(match[1].replace(",", ".")))
            if "date" not in out and (day := read_date(cell, None, today)) is not None:
                out["date"] = cell if lacks_year(cell) else day
    if (month := _month(sheet, [str(cell) for row in rows for cell in row if cell is not None])) is not None:
        out["month"] = float(month)
    if "year" not in out and (match := re.search(r"(?<!\d)(20\d\d)(?!\d)", f"{sheet.sheet} {sheet.file}")):
        out["year"] = float(match[1])
    return out


def _month(sheet: Sheet, above: Sequence[str]) -> int | None:
    """Return the only month that the sheet's name, its title or its file names in words."""
    for text in (sheet.sheet, " ".join(above), sheet.file.rsplit(".", 1)[0]):
        found = {MONTHS[word] for word in plain(text).split() if word in MONTHS}
        if found:
            return found.pop() if len(found) == 1 else None
    return None


TITLE_PATTERNS = (
    (r"(?:course rating|\bcr)\D{0,3}(\d{2}(?:[.,]\d)?)", "course_rating"),
    (r"slope\D{0,10}(\d{2,3})", "slope_rating"),
    (r"\bpar\D{0,3}(\d{2})\b", "par"),
    (r"(?:out of|of|von|sur|de|su)\s+(\d{1,3})\b", "tried"),
    (r"(?<!\d)(20\d\d)(?!\d)", "year"),
)


def weekdays_in_order(row: Sequence[Cell]) -> dict[int, str]:
    """Return columns to weekdays where seven columns beside one another are headed by these in order."""
    words = [plain(cell) if isinstance(cell, str) else "" for cell in row]
    for first in range(len(words) - len(WEEKDAY_NAMES) + 1):
        seven = tuple(words[first : first + len(WEEKDAY_NAMES)])
        if seven in IN_ORDER:
            return {first + place: name for place, name in enumerate(WEEKDAY_NAMES)}
    return {}


def unit_of(cell: Cell) -> str | None:
    """Return the unit that a cell below a heading names, or None."""
    if not isinstance(cell, str):
        return None
    bare = plain(cell)
    if re.fullmatch(MINUTES_IN_WORDS, bare) or bare in ("minuter", "minutter", "minutos", "minuti"):
        return MINUTES
    if re.fullmatch(HOURS_IN_WORDS, bare) or re.fullmatch(
        r"\w*stunden|timmar|timer|tunnit|tuntia|godziny|hores", bare
    ):
        return HOURS
    for pattern, unit in ((BALLS, REPS), (IN_HOLES, HOLES), (IN_SESSIONS, SESSIONS)):
        if pattern.fullmatch(bare):
            return unit
    return None


def units_below(rows: Sequence[Sequence[Cell]], places: Collection[int]) -> dict[int, str]:
    """Return the units of columns where the first row holds nothing else."""
    if not rows:
        return {}
    found = {place: unit for place, cell in enumerate(rows[0]) if (unit := unit_of(cell)) is not None}
    filled = {place for place, cell in enumerate(rows[0]) if cell is not None}
    return found if filled == set(found) and not set(found).isdisjoint(places) else {}

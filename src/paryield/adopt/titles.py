"""What stands above a header, and what the names of the sheet and its file add to it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import read_date
from paryield.adopt.words import MONTHS, meaning_of, plain


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
                out["date"] = day
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

"""A line above the header that names more than one course rating: which one holds is asked."""

from __future__ import annotations

import re
from dataclasses import replace

from paryield.adopt.layout import Layout
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Sheet
from paryield.adopt.values import rating_and_slope

PAIR = re.compile(r"(?<![\d.,])([5-8]\d[.,]\d)\D{1,16}?(\d{2,3})(?![\d.,])")
"""A rating and the slope behind it; a par or a day stands further off or is no slope."""


def pairs_above(sheet: Sheet, layout: Layout) -> tuple[tuple[int, str], list[str]] | None:
    """Return the first line that names ratings, with its number, and all pairs above the header in order."""
    first: tuple[int, str] | None = None
    pairs: list[str] = []
    for number, row in enumerate(sheet.rows[: layout.header - 1], start=1):
        text = " ".join(str(cell) for cell in row if cell is not None)
        for match in PAIR.findall(text):
            if (both := rating_and_slope("/".join(match))) is not None:
                first = first or (number, text)
                pairs.append(f"{both[0]:g}/{both[1]:g}")
    return None if first is None else (first, list(dict.fromkeys(pairs)))


def with_one_rating(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> Layout:
    """Ask which of several ratings above the header holds, where no column or row of ratings says it."""
    if layout.kind not in ("rounds", "wide rounds") or layout.column("course_rating") is not None:
        return layout
    found = pairs_above(sheet, layout)
    if "course_rating" not in layout.title or found is None or len(found[1]) < 2:
        return layout
    (number, line), pairs = found
    text = (
        f"Row {number} names more than one course rating ({line!r}). Which one holds for this sheet? "
        "For rounds on another, give the ratings in a row or column of their own."
    )
    answer = ask(Question(f"ratings above: {mark}", text, sheet.name, tuple(pairs), pairs[0])) or pairs[0]
    both = rating_and_slope(answer)
    if both is None:
        return layout
    return replace(layout, title={**layout.title, "course_rating": both[0], "slope_rating": both[1]})

"""From how far putts were holed, which measures nothing where it is not known: told by a title, or asked."""

from __future__ import annotations

from paryield.adopt.kinds_of_tests import kinds_of
from paryield.adopt.layout import Layout
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Sheet
from paryield.adopt.tests_named import feet_in, named_test
from paryield.adopt.words import plain
from paryield.tables.kinds_of_test import kind_of_test

FEET = ("3 ft", "4 ft", "5 ft", "6 ft", "7 ft", "8 ft", "9 ft", "10 ft", "12 ft", "15 ft", "20 ft")
METRES = ("1 m", "1.5 m", "2 m", "2.5 m", "3 m", "4 m", "5 m", "6 m")
"""Distances to choose from: those of the project's own ladder (3, 6, 9, 12 ft) and what lies between and
beside them, up to where a putt still measures (common practice, no source)."""
FAR_NOT_KNOWN = "not known, or from several: keep it, it is not used to measure"
OPTIONS = (*FEET, *METRES, FAR_NOT_KNOWN)


def needs_distance(test: str) -> bool:
    """Whether a test, by its name in the tables, measures nothing without a distance: putts to be holed."""
    kind = kind_of_test(test)
    return kind is not None and kind[1] == "holed"


def far_said(sheet: Sheet, layout: Layout) -> float | None:
    """Return the feet that a line above the header, the sheet's or the file's name gives for its putts."""
    above = [str(cell) for row in sheet.rows[: layout.header - 1] for cell in row if cell is not None]
    for text in (*reversed(above), sheet.sheet, sheet.file.rsplit(".", 1)[0]):
        far = named_test(text, None).feet
        if far is not None and (feet_in(text) is not None or kinds_of(text) == {"putting"}):
            return far
    return None


def how_far(heading: str, sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> float | None:
    """Return from how many feet the putts under a heading were holed, asked once for each heading.

    None where that is not known, or not answered yet.
    """
    if (said := far_said(sheet, layout)) is not None:
        return said
    text = f'From how far was "{heading}"? Putts measure nothing where that is not known.'
    answer = ask(Question(f"from how far: {plain(heading)}: {mark}", text, sheet.name, OPTIONS))
    return None if answer is None else feet_in(answer)

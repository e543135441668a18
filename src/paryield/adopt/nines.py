"""Which nine holes of a course were played, as a cell or a heading says."""

from __future__ import annotations

import re

from paryield.adopt.sheets import Cell
from paryield.adopt.values import says_nine
from paryield.adopt.words import plain

FRONT, BACK, WHOLE = "front", "back", "whole"
FIRST = re.compile(
    r"1 (?:\w{1,3} )?9|(?:front|first|out|erste|vordere|aller|primera|primeira|primeiros|prime|eerste|forsta"
    r"|forste|f)(?: ?(?:9|nine|neun|neuf|nueve|nove|negen|nio|ni))?"
)
SECOND = re.compile(
    r"10 (?:\w{1,3} )?18|(?:back|second|last|in|zweite|hintere|retour|segunda|segundos|ultimos|seconde"
    r"|tweede|andra|anden|andre|b)(?: ?(?:9|nine|neun|neuf|nueve|nove|negen|nio|ni))?"
)
ALL = re.compile(
    r"18(?: (?:h|hls?|holes?|loch|trous?|hoyos?|buche|buracos|hal|hull|huller))?|1 (?:\w{1,3} )?18"
)


def part_of(cell: Cell) -> str | None:
    """Return :data:`FRONT`, :data:`BACK` or :data:`WHOLE` where a cell says no more than that, else None."""
    if isinstance(cell, float):
        return WHOLE if cell == 18.0 else None
    bare = plain(cell) if isinstance(cell, str) else ""
    if ALL.fullmatch(bare):
        return WHOLE
    return FRONT if FIRST.fullmatch(bare) else BACK if SECOND.fullmatch(bare) else None


def is_nine(cell: Cell) -> bool:
    """Whether a cell says nine holes, or which nine: ``9``, ``10-18``, ``front 9``."""
    return cell in (9.0, "9") or part_of(cell) in (FRONT, BACK) or says_nine(cell)

"""Nine holes or eighteen, and which nine, as a cell or a heading says."""

from __future__ import annotations

import re

from paryield.adopt.sheets import Cell
from paryield.adopt.words import plain

FRONT, BACK, WHOLE, NINE_OF_THEM = "front", "back", "whole", "nine"
"""Which holes a rating or a round is of; the last where it is nine and nothing says which."""
HOLE = r"(?:h|hls?|holes?|loch|locher|loecher|trous?|hoyos?|buche|buracos?|hal|hull|huller)"
NINE = r"(?: ?(?:9|nine|neun|neuf|nueve|nove|negen|nio|ni))?"
FIRST = re.compile(
    r"1 (?:\w{1,3} )?9|(?:front|first|out|erste|vordere|aller|primera|primeira|primeiros|prime|eerste|forsta"
    rf"|forste|f){NINE}"
)
SECOND = re.compile(
    r"10 (?:\w{1,3} )?18|(?:back|second|last|in|zweite|hintere|retour|segunda|segundos|ultimos|seconde"
    rf"|tweede|andra|anden|andre|b){NINE}"
)
ALL = re.compile(rf"18(?: {HOLE})?|1 (?:\w{{1,3}} )?18")
NINE_HOLES = re.compile(
    r"\b(?:only|just|nur|solo|seulement|slechts|alleen|bara|endast|kun|bare)"
    r" (?:9|nine|neun|neuf|nueve|nove)\b(?! over)"
    r"|\b(?:9|nine|neun|neuf|nueve|nove) (?:only|nur|seulement|solo|bara|kun)\b"
    rf"|\b(?:9|nine|neun|neuf|nueve|nove)\s*(?:l|{HOLE})\b"
)
NINE_BEHIND = re.compile(r"\s*\d{2}\s*[(\[]\s*9\s*[)\]]\s*")
"""A score with the number of its holes in brackets."""
HOLES = re.compile(rf"\d{{1,2}}\s*{HOLE}\b")
"""A number of holes, which is no score."""


def says_nine(cell: Cell) -> bool:
    """Whether a cell says that nine holes were played: ``45 (9h)``, ``41 (9)``, ``nine holes only``."""
    if not isinstance(cell, str):
        return False
    return NINE_HOLES.search(plain(cell)) is not None or NINE_BEHIND.fullmatch(cell) is not None


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


def nine_of(cell: Cell) -> str | None:
    """Return which holes a cell says as :func:`part_of` does, and nine where it does not say which."""
    return part_of(cell) or (NINE_OF_THEM if is_nine(cell) else None)


def without_nine(name: str) -> str | None:
    """Return a course's name without its words for nine holes, or None where it has none.

    ``Low Barrow (home) - 9 hole`` is a nine of ``Low Barrow (home)``.
    """
    bare = plain(name)
    rest = " ".join(NINE_HOLES.sub(" ", bare).split())
    return rest if rest and rest != bare else None

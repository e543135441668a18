"""What a row of rounds tells of: eighteen holes of one's own, nine, a game of pairs, a short course."""

from __future__ import annotations

import re
from collections.abc import Sequence

from paryield.adopt.layout import RAW, Layout
from paryield.adopt.nines import NINE_OF_THEM, is_nine, part_of, says_nine
from paryield.adopt.sheets import Cell
from paryield.adopt.values import read_number, read_score
from paryield.adopt.words import plain

MOST_ON_NINE = 72.0
"""Scores above this are of 18 holes, whatever a note beside them says. [judgement]"""
SHORTEST_PAR = 58.0
"""Par of 18 holes up to which they are a course of short holes, for which no rating is meant. [judgement]"""
PAIRS = re.compile(
    r"\b(?:4 ?bbb|4 ?balls?|four ?balls?|better ?balls?|best ?balls?|scrambles?|ambrose|greensomes?"
    r"|gruensomes?|foursomes?|chapman|pinehurst|louisiana|vierer|vierball|viererball|auswahldrive|bestball"
    r"|quatre balles|meilleure balle|par equipes? de (?:2|deux)|en double|cuatro bolas|mejor bola|parejas"
    r"|migliore palla|quattro palle|4 palle|a coppie|beste bal|vierbal|bastboll|fyrboll|fyrbold|firball"
    r"|bedste bold|beste ball|parspel|parspil|parspill|partavling)\b"
)
"""Games in which two or more golfers share one score."""
SHORT_COURSE = re.compile(
    r"\b(?:pitch (?:and|und|et|e|y|en|og|och|&|n) ?putt|p ?& ?p|pitch ?putt"
    r"|par ?3(?: course| platz)?|pitchputt)\b"
)


def score_cell(cells: Sequence[Cell], layout: Layout) -> Cell:
    """Return the score of a row: the adjusted one, or where that is blank the one as it was."""
    places = (layout.column("adjusted_gross_score"), layout.column(RAW))
    return next((cells[place] for place in places if place is not None and cells[place] is not None), None)


def is_of_nine(cells: Sequence[Cell], layout: Layout) -> bool:
    """Whether a row tells of nine holes: in its score, its holes, or in words beside a score that fits."""
    holes = layout.column("holes")
    if holes is not None and (read_number(cells[holes]) == 9.0 or is_nine(cells[holes])):
        return True
    score = score_cell(cells, layout)
    number = read_score(score)
    if says_nine(score):
        return True
    return number is not None and number <= MOST_ON_NINE and any(map(says_nine, cells))


def part_played(cells: Sequence[Cell], layout: Layout) -> str | None:
    """Return which holes a row says that were played, and nine where it does not say which."""
    holes = layout.column("holes")
    part = None if holes is None else part_of(cells[holes])
    return part or (NINE_OF_THEM if is_of_nine(cells, layout) else None)


def not_of_one(cells: Sequence[Cell], layout: Layout) -> str | None:
    """Return why a row holds no round of one golfer over a full course, or None where it may."""
    told = [
        plain(cell) for place, cell in enumerate(cells) if isinstance(cell, str) and place not in _who(layout)
    ]
    if any(PAIRS.search(text) for text in told):
        return "the score of a pair or team, not of one golfer"
    par = layout.column("par")
    number = None if par is None else read_number(cells[par])
    nine = number is not None and number <= 45 and is_of_nine(cells, layout)
    if number is not None and 45 < number <= SHORTEST_PAR and not nine:
        return "a course of short holes, which has no rating"
    if any(SHORT_COURSE.search(text) for text in told):
        return "a course of short holes, which has no rating"
    return None


def _who(layout: Layout) -> set[int | None]:
    return {layout.column(name) for name in ("golfer", "golfer_id", "first_name", "last_name")}

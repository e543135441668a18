"""Words that stand for everybody in a column of names: "All", "whole squad", "All but Maud and Olle"."""

from __future__ import annotations

import re

from paryield.adopt.group_lines import names_a_group
from paryield.adopt.words import plain

EACH = "everybody named in these spreadsheets, now or before"
WORDS = (
    *("all", "everyone", "everybody", "all girls", "all boys", "all players", "whole team", "whole squad"),
    *("whole group", "the team", "team", "the squad", "squad", "group", "full squad", "full team"),
    *("alle", "jeder", "die ganze gruppe", "ganze gruppe", "ganze mannschaft", "mannschaft", "team komplett"),
    *("tous", "toutes", "tout le monde", "toute l equipe", "todos", "todas", "todo el grupo", "el equipo"),
    *("tutti", "tutte", "tutta la squadra", "allemaal", "iedereen", "hele groep", "alla", "hela gruppen"),
    *("hele gruppen", "alle sammen"),
)
"""What a cell of names says where everybody is meant, plain."""
BUT = re.compile(
    r"\s*[(,]?\s*\b(?:but(?: not)?|except(?: for)?|without|minus|ohne|au(?:ß|ss)er|bis auf|sauf|sans"
    r"|menos|excepto|salvo|tranne|meno|eccetto|behalve|zonder|utom|unntatt|undtagen|uden|uten)\b\s*",
    re.IGNORECASE,
)
"""What stands between everybody and those who were not there."""
BETWEEN = re.compile(r"\s*(?:[,;&+/]|\s(?:and|und|et|y|e|en|og|och)\s)\s*", re.IGNORECASE)
"""What stands between the names of several people; a comma also between the last name and the first."""


def left_out(name: str) -> tuple[str, ...] | None:
    """Return whom a cell that stands for everybody or a group leaves out; None for any other cell.

    Parameters
    ----------
    name : str
        Cell of a column of names, such as ``All but Maud, Olle``.
    """
    whole, *but = BUT.split(name.strip(" ()."), maxsplit=1)
    if plain(whole) not in WORDS and not names_a_group(plain(whole)):
        return None
    return tuple(part for part in BETWEEN.split(but[0].strip(" ().")) if part) if but else ()


def group_in(name: str) -> str:
    """Return the plain words by which a cell stands for a group; blank where it means everybody, or nobody.

    Parameters
    ----------
    name : str
        Cell of a column of names, such as ``all juniors without Maud``.
    """
    whole = plain(BUT.split(name.strip(" ()."), maxsplit=1)[0])
    return whole if whole not in WORDS and names_a_group(whole) else ""

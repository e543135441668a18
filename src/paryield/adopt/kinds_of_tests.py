"""What a test counts, as its name says in several languages: one kind, none, or more than one."""

from __future__ import annotations

import re

from paryield.adopt.found import LEAVE
from paryield.adopt.memory import Ask, Question
from paryield.adopt.tests_named import FROM, LENGTH, RING, named_test, own_name
from paryield.adopt.words import COMPOUNDS, ENDINGS, plain
from paryield.tables.kinds_of_test import name_of_kind, value_kind

WORDS: tuple[tuple[str, str], ...] = (
    (
        "lag",
        r"lag|long putt|lange[nr]? putt|longs putt|pace putt"
        r"|putt(?:s|en|ing|ar)? (?:lange?|lung[oh]i?|larg[oa]s?|long[oa]?s?)"
        r"|speed putt|distance putt|approach putt",
    ),
    ("bunker", r"bunker|sand|splash|sable|sabbia|arena"),
    ("up_and_down", r"up (?:and |& |n )?downs?|updowns?|scrambl(?=e|ing)"),
    ("pitch", r"pitch|wedge"),
    ("chip", r"chip|bump|landing"),
    (
        "long shots",
        r"iron|eisen|hierro|ferri|driver|driv(?=ing)|drive|tee shot|wood|holz|bois|maderas|legni|full swing"
        r"|approach(?! putt)",
    ),
    ("putting", r"putt(?:er)?|puts?|putning"),
)
"""Words at the beginning of a word of a test's name, and the kind that they speak of."""
VAGUE = re.compile(
    r"\b(?:ladder|leiter|short game|kurzes spiel|petit jeu|juego corto|gioco corto|jogo curto"
    r"|around the green)\b"
)
"""Words that may mean tests of several kinds."""
SHORT = re.compile(r"\b(?:approcci?o?|approches?|annaherung(?:en)?|annaeherung(?:en)?)\b")
"""Words that may mean chips or pitches."""
HOLED = re.compile(
    r"\b(?:holed?|holing|made|sunk|in the hole|gelocht\w*|eingelocht\w*|embocad\w*|imbucat\w*|rentres?"
    r"|metid\w*|uitgeholed?|i hul(?:l|let)?|i hal)\b"
)
KIND_WORDS = {
    "putting": "putts that were holed",
    "lag": "long putts that stopped close to the hole",
    "chip": "chips that came to their spot",
    "pitch": "pitches that came close",
    "bunker": "balls out of the bunker",
    "up_and_down": "balls up and down",
}
"""Kinds of counted tests as they are asked about."""
NAMES = {
    "putting": "putting_ladder",
    "lag": "lag_putt",
    "chip": "landing_spot_chip",
    "bunker": "bunker_splash",
}
"""What the tables call a test of a kind that has no ring of its own."""


def kinds_of(text: str) -> frozenset[str]:
    """Return the kinds of test that a name may mean: one where it is plain, none where it names no kind.

    A putt into a ring may be one that is holed from within it or left within it, unless it says that it is
    holed, or from where.
    """
    bare = plain(text)
    found = {kind for kind, words in WORDS if re.search(rf"\b(?:{words})(?:{ENDINGS}|{COMPOUNDS})?\b", bare)}
    if "lag" in found:
        found.discard("putting")
    if "up_and_down" in found:
        found -= {"chip", "pitch"}
    if {"bunker", "up_and_down"} <= found:
        found.discard("up_and_down")
    if found == {"putting"} and RING.search(text.casefold()) and not HOLED.search(bare):
        found = {"lag"} if FROM.search(text) or len(LENGTH.findall(text)) > 1 else {"putting", "lag"}
    if not found and SHORT.search(bare):
        found = {"chip", "pitch"}
    if not found and VAGUE.search(bare):
        found = {"putting", "chip", "pitch"}
    return frozenset(found)


def tables_name(text: str, kind: str) -> str:
    """Return what the tables call a test of a kind: with a ring its own name, else that of its kind.

    A name that the tables would take for another kind has the kind in front, or is the name of the kind.
    """
    own = own_name(text)
    if kind in NAMES and not RING.search(text.casefold()):
        return NAMES[kind]
    names = (own, f"{kind}_{own}", NAMES.get(kind, kind))
    return next(name for name in names if name_of_kind(name) == kind)


def settled_name(text: str, ask: Ask) -> str | None:
    """Return what the tables call a test, asked once where its name may mean two kinds; None while open.

    ``text`` is the name as it was written, with distance and ring. One that says no kind is kept, where the
    tables take it for none either.
    """
    one = named_test(text, None)
    if one.unit is not None:
        return one.test
    bare = text if one.test is None else one.test
    kinds, own = kinds_of(text), own_name(bare)
    if len(kinds) == 1 and (kind := next(iter(kinds))) in KIND_WORDS:
        return tables_name(bare, kind)
    if len(kinds) <= 1 and name_of_kind(own) is None and value_kind(own) is None:
        return own
    question = Question(
        f"kind of test: {plain(text)}",
        f"What does the test {text!r} count?",
        "tests",
        (*KIND_WORDS.values(), LEAVE),
    )
    answer = ask(question)
    told = next((one for one, words in KIND_WORDS.items() if words == answer), None)
    return answer if told is None else tables_name(bare, told)

"""Names as they are shown and compared: one person's spellings, short forms and slips of the keyboard."""

from __future__ import annotations

import re
from collections.abc import Collection
from difflib import SequenceMatcher

from paryield.adopt.everybody import BETWEEN
from paryield.adopt.words import plain

LIKE = 0.86
"""Likeness of two names from which they may be two spellings of one. [judgement]"""
NEAR = 0.8
"""Likeness from which a single word may be a slip for another one. [judgement]"""
LONGEST_INITIALS = 2
"""Letters up to which a word in capitals is initials; a longer one beside small letters is the last name."""
LEAST_ALIKE = 4
"""Letters with which two names must start alike for one to be the other made short. [judgement]"""
BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
NO_NAME = frozenset(
    (
        *(
            "new",
            "guest",
            "visitor",
            "member",
            "junior",
            "senior",
            "neu",
            "neue",
            "neuer",
            "neues",
            "gast",
            "mitglied",
        ),
        *("nouveau", "nouvelle", "invite", "invitee", "membre", "nuovo", "nuova", "ospite", "socio", "socia"),
        *("nuevo", "nueva", "invitado", "invitada", "nieuw", "lid", "ny", "gjest", "gaest", "medlem"),
    )
)
"""Words in brackets that are no part of a name."""


def shown(name: str) -> str:
    """Return a name as it is shown: ``Ambleside, Ruth`` and ``AMBLESIDE Ruth`` are Ruth Ambleside."""
    name = bare_name(name)
    last, comma, first = name.partition(",")
    whole = f"{first} {last}" if comma and first.strip() else name
    words = whole.split()
    capitals = [word for word in words if word.isupper() and len(word) > LONGEST_INITIALS and "." not in word]
    if capitals and len(capitals) < len(words):
        words = [*(word for word in words if word not in capitals), *(word.title() for word in capitals)]
    return " ".join(words)


def parts_of(name: str) -> list[str]:
    return [part for part in BETWEEN.split(name) if part]


def alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, one, other).ratio() >= LIKE


def near_miss(word: str, other: str) -> bool:
    """Whether a word is another one with a slip of the keyboard: ``tinkr`` for ``tinker``."""
    if word == other or min(len(word), len(other)) < LEAST_ALIKE or word[0] != other[0]:
        return False
    return SequenceMatcher(None, word, other).ratio() >= NEAR


def _shortened(word: str, other: str) -> bool:
    """Whether a word is the start of a name, or starts as it does: ``Fre``, ``Fredo`` for Frederika."""
    return word != other and (
        (len(word) >= 2 and other.startswith(word))
        or (len(word) >= LEAST_ALIKE and word[:LEAST_ALIKE] == other[:LEAST_ALIKE])
    )


def whole_first(name: str) -> tuple[bool, int, str]:
    """Return the place of a name among all: those with initials last, those of more words first."""
    words = plain(name).split()
    return any(len(word) == 1 for word in words), -len(words), plain(name)


def name_words(name: str) -> frozenset[str]:
    """Return the words of a name in no order: ``Ambleside, Ruth`` has those of Ruth Ambleside."""
    return frozenset(plain(bare_name(name)).split())


def short_for(words: frozenset[str], people: Collection[frozenset[str]]) -> bool:
    """Whether words may be a known golfer's name made short: ``Maud F.`` for Maud Ferrin."""
    return any(
        bool(words & name) and all(any(part.startswith(word) for part in name) for word in words)
        for name in people
    )


def bare_name(name: str) -> str:
    """Return a name without a word in brackets that says who somebody is here: ``Maud Ferrin (new)``."""
    bare = BRACKETS.sub(lambda match: " " if set(plain(match[0]).split()) <= NO_NAME else match[0], name)
    return " ".join(bare.split()) or name


def may_be(name: str, other: str) -> bool:
    """Whether two names may be one person: a name alone, an initial, a short form, a slip of the keyboard."""
    one, two = plain(shown(name)).split(), plain(shown(other)).split()
    if not one or not two or one == two:
        return one == two and bool(one)
    short, long = sorted((one, two), key=len)
    if len(short) == 1:
        return short[0] in long or any(
            _shortened(short[0], word) or (len(long) == 1 and _shortened(word, short[0])) for word in long
        )
    initials = len(short[0]) == 1 or len(long[0]) == 1
    if len(short) == len(long) == 2 and short[0] == long[0] and 1 in (len(short[1]), len(long[1])):
        return short[1][0] == long[1][0]
    if short[-1] == long[-1] and initials and short[0][0] == long[0][0]:
        return True
    if _shares_a_name(one, two):
        return True
    return alike(" ".join(one), " ".join(two)) and short[0][0] == long[0][0]


def _shares_a_name(one: list[str], two: list[str]) -> bool:
    """Whether a whole name is the same, in any place, and what is left of one begins the other's."""
    common = {word for word in set(one) & set(two) if len(word) > LONGEST_INITIALS}
    if not common:
        return False
    rest = sorted(([word for word in words if word not in common] for words in (one, two)), key=len)
    return all(any(a.startswith(b) or b.startswith(a) for b in rest[1]) for a in rest[0])

"""Names to golfer ids: known ones, spellings of one person, and new ones."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from paryield.adopt.memory import Memory, Question
from paryield.adopt.words import plain

LIKE = 0.86
"""Likeness of two names from which they may be two spellings of one. [judgement]"""
SAME, OTHER = "the same", "somebody else"
ID = re.compile(r"(?=.*\d)[A-Za-z0-9][A-Za-z0-9_.\-]{0,15}")


@dataclass
class People:
    """Who the names in the spreadsheets are.

    Parameters
    ----------
    memory : Memory
    known : mapping of str to str
        Golfer id to display name of those on record already.
    ids : dict of str to str
        Name as written to id; those not decided yet are missing.
    questions : list of Question
    """

    memory: Memory
    known: Mapping[str, str] = field(default_factory=dict)
    ids: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)

    def settle(self, written: Iterable[str]) -> None:
        """Give every name an id, or a question where it may be a spelling of another one."""
        names = sorted(dict.fromkeys(written), key=_whole_first)
        self.names = {golfer: name or golfer for golfer, name in self.known.items()}
        for name, golfer in self.memory.people.items():
            self.names.setdefault(golfer, name)
        for name in names:
            self._settle(name)

    def _settle(self, name: str) -> None:
        if name in self.memory.people:
            self.ids[name] = self.memory.people[name]
            return
        if name in self.names:
            self.ids[name] = name
            return
        if ID.fullmatch(name):
            self.ids[name] = name
            self.names[name] = name
            return
        same = [golfer for golfer, other in self.names.items() if _tokens(other) == _tokens(name)]
        if len(same) == 1:
            self.ids[name] = same[0]
            return
        near = [golfer for golfer, other in self.names.items() if may_be(name, other)]
        for golfer in near:
            other = self.names[golfer]
            text = f"Is {name!r} the same person as {other!r} ({golfer})?"
            question = Question(
                f"person {plain(name)} = {plain(other)}",
                text,
                "names",
                (SAME, OTHER),
                SAME if len(near) == 1 else None,
            )
            answer = self.memory.answer(question)
            if answer is None:
                self.questions.append(question)
            if answer == SAME:
                self.ids[name] = golfer
                return
        if any(question.text.startswith(f"Is {name!r} ") for question in self.questions):
            return
        golfer = self._next()
        self.ids[name], self.names[golfer] = golfer, shown(name)

    def _next(self) -> str:
        taken = {golfer.casefold() for golfer in self.names}
        number = 1
        while f"g{number:02d}" in taken:
            number += 1
        return f"G{number:02d}"


def shown(name: str) -> str:
    """Return a name as it is shown: ``Ambleside, Ruth`` is Ruth Ambleside."""
    last, comma, first = name.partition(",")
    return " ".join(f"{first} {last}".split()) if comma and first.strip() else " ".join(name.split())


def _whole_first(name: str) -> tuple[bool, int, str]:
    """Return the place of a name among all: those with initials last, those of more words first."""
    words = plain(name).split()
    return any(len(word) == 1 for word in words), -len(words), plain(name)


def _tokens(name: str) -> frozenset[str]:
    return frozenset(plain(name).split())


def may_be(name: str, other: str) -> bool:
    """Whether two names may be one person: a first name alone, an initial, or a slip of the keyboard."""
    one, two = plain(shown(name)).split(), plain(shown(other)).split()
    if not one or not two or one == two:
        return one == two and bool(one)
    short, long = sorted((one, two), key=len)
    if len(short) == 1:
        return short[0] in long
    initials = len(short[0]) == 1 or len(long[0]) == 1
    if len(short) == len(long) == 2 and short[0] == long[0] and 1 in (len(short[1]), len(long[1])):
        return short[1][0] == long[1][0]
    if short[-1] == long[-1] and initials and short[0][0] == long[0][0]:
        return True
    return SequenceMatcher(None, " ".join(one), " ".join(two)).ratio() >= LIKE and short[0][0] == long[0][0]

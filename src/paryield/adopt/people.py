"""Names to golfer ids: known ones, spellings of one person, and new ones."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from paryield.adopt.everybody import BETWEEN, EACH, left_out
from paryield.adopt.memory import Memory, Question
from paryield.adopt.names_together import is_obvious
from paryield.adopt.words import plain

LIKE = 0.86
"""Likeness of two names from which they may be two spellings of one. [judgement]"""
NEAR = 0.8
"""Likeness from which a single word may be a slip for another one. [judgement]"""
LONGEST_INITIALS = 2
"""Letters up to which a word in capitals is initials; a longer one beside small letters is the last name."""
LEAST_ALIKE = 4
"""Letters with which two names must start alike for one to be the other made short. [judgement]"""
LEAST_MATES = 2
"""Golfers of a sheet known by their whole names elsewhere, from which a name left over is asked about."""
SAME, OTHER = "the same", "somebody else"
NEW, NOBODY = "a new golfer", "nobody: leave these rows out"
ONE, SEVERAL = "one person", "several people: each of them did it"
ID = re.compile(r"(?=.*\d)[A-Za-z0-9][A-Za-z0-9_.\-]{0,15}")

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


@dataclass
class People:
    """Who the names in the spreadsheets are.

    Parameters
    ----------
    memory : Memory
    known : mapping of str to str
        Golfer id to display name of those on record already.
    ids : dict of str to str
        Name as written to id, or to the ids of several people with blanks between them; those not decided
        yet are missing.
    questions : list of Question
    called : mapping of str to str
        Call name, plain, to the whole name of the only golfer who is listed with it.
    """

    memory: Memory
    known: Mapping[str, str] = field(default_factory=dict)
    ids: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    called: Mapping[str, str] = field(default_factory=dict)
    _last_first: set[str] = field(default_factory=set)
    _whole: list[str] = field(default_factory=list)
    _mostly_known: bool = False

    def settle(self, *written: Iterable[str]) -> None:
        """Give every name of each sheet an id, or a question where it may be a spelling of another one."""
        everybody = {name for names in written for name in names if left_out(name) is not None}
        sheets = [dict.fromkeys(name for name in names if name not in everybody) for names in written]
        names = sorted({name for sheet in sheets for name in sheet}, key=_whole_first)
        self.names = {golfer: name or golfer for golfer, name in self.known.items()}
        # Remembered spellings in the order in which the first reading took one of them as the name.
        for name, golfer in sorted(self.memory.people.items(), key=lambda one: _whole_first(one[0])):
            if " " not in golfer:
                self.names.setdefault(golfer, shown(name))
        self._last_first = {
            name
            for sheet in sheets
            if 2 * sum(one.count(",") == 1 for one in sheet) > len(sheet)
            for name in sheet
        }
        self._whole = [*filter(None, self.names.values()), *(one for one in names if not BETWEEN.search(one))]
        listed = [other or golfer for golfer, other in self.known.items()]
        on_record = sum(name in self.known or any(may_be(name, other) for other in listed) for name in names)
        self._mostly_known = bool(names) and 2 * on_record >= len(names)
        several = [name for name in names if len(_parts(name)) > 1 and self._are_several(name)]
        for name in names:
            if name not in several:
                self._settle(name)
        for name in several:
            if self._said_one(name):
                self._settle(name)
        if not self.questions:
            self._other_names(sheets)
        self._settle_everybody(everybody)

    def _settle_everybody(self, cells: Collection[str]) -> None:
        """Ask once whether a word for everybody means all who are named; settle the cells that hold one."""
        if not cells:
            return
        text = f"Who is meant by {min(cells, key=len)!r}?"
        question = Question("person everybody: who", text, "names", (EACH, NOBODY), EACH)
        answer = self.memory.answer(question)
        if answer is None:
            self.questions.append(question)
        if answer != EACH:
            return
        before = (golfer for written, golfer in self.memory.people.items() if left_out(written) is None)
        named = dict.fromkeys(one for golfers in (*before, *self.ids.values()) for one in golfers.split())
        for cell in sorted(cells):
            absent = left_out(cell) or ()
            for name in absent:
                if name not in self.ids:
                    self._settle(name)
            if all(name in self.ids for name in absent):
                gone = {one for name in absent for one in self.golfers(name)}
                self.ids[cell] = " ".join(sorted(one for one in named if one not in gone))

    def _other_names(self, sheets: Sequence[Iterable[str]]) -> None:
        """Ask whether a short name that is left over is somebody whose whole name stands in other sheets.

        That may be where others of the same sheet are known there by their whole names, and the two never
        stand in one sheet.
        """
        written: dict[str, set[str]] = {}
        where: dict[str, set[int]] = {}
        for place, sheet in enumerate(sheets):
            for name in sheet:
                for golfer in self.golfers(name):
                    written.setdefault(golfer, set()).add(name)
                    where.setdefault(golfer, set()).add(place)
        short = {
            one for one, names in written.items() if all(len(plain(name).split()) == 1 for name in names)
        }
        whole = {one for one, names in written.items() if all(len(plain(name).split()) > 1 for name in names)}
        both = set(written) - short - whole
        for golfer in sorted(short):
            if golfer in self.known or not written[golfer].isdisjoint(self.memory.people):
                continue
            mates = {one for one in both if where[one] & where[golfer]}
            there = {place for one in mates for place in where[one]} - where[golfer]
            likely = sorted(one for one in whole if where[one] & there and not where[one] & where[golfer])
            if len(mates) < LEAST_MATES or not likely:
                continue
            self._ask_who(sorted(written[golfer]), likely)

    def _ask_who(self, names: list[str], likely: list[str]) -> None:
        called = {self.names.get(one, one): one for one in likely}
        text = f"Is {names[0]!r} one of these, under another name?"
        proposal = next(iter(called)) if len(called) == 1 else None
        question = Question(f"person {plain(names[0])}: who", text, "names", (*called, OTHER), proposal)
        answer = self.memory.answer(question)
        if answer is None:
            self.questions.append(question)
        for name in names:
            if answer is None:
                del self.ids[name]
            elif answer != OTHER:
                self.ids[name] = called[answer]

    def golfers(self, name: str) -> tuple[str, ...]:
        """Return the ids of those whom a name cell names: one, several, or none while that is open."""
        return tuple(self.ids.get(name, "").split())

    def _are_several(self, name: str) -> bool:
        """Whether a cell may name several people: other signs than a comma, or first names of two people.

        A comma stands between the last name and the first where it does so in most cells, or where the
        whole name is known; where each side of it may be somebody else, it may stand between two people.
        """
        parts = _parts(name)
        if name in self.memory.people:
            return " " in self.memory.people[name]
        bare = plain(shown(name))
        if any(name_words(other) == name_words(name) or _alike(bare, plain(other)) for other in self._whole):
            return False
        if name.count(",") != 1 or len(parts) != 2:
            return True
        whom = [{name_words(other) for other in self._whole if may_be(one, other)} for one in parts]
        return (all(whom) and whom[0] != whom[1]) or name not in self._last_first

    def _said_one(self, name: str) -> bool:
        """Ask whether a cell names several people, as three names do; settle them if so."""
        if " " in (known := self.memory.people.get(name, "")):
            self.ids[name] = known
            return False
        parts = _parts(name)
        if len(parts) > 2:
            self._settle_each(name, parts)
            return False
        text = f"Is {name!r} one person, or are these {len(parts)} people?"
        question = Question(f"person {plain(name)}: how many", text, "names", (SEVERAL, ONE))
        answer = self.memory.answer(question)
        if answer is None:
            self.questions.append(question)
        if answer == SEVERAL:
            self._settle_each(name, parts)
        return answer == ONE

    def _settle_each(self, name: str, parts: Sequence[str]) -> None:
        """Settle a cell that names several people, once each of them is."""
        for part in parts:
            if part not in self.ids:
                self._settle(part)
        if all(part in self.ids for part in parts):
            self.ids[name] = " ".join(dict.fromkeys(self.ids[part] for part in parts))

    def _settle(self, name: str) -> None:
        if name in self.memory.people:
            self.ids[name] = self.memory.people[name]
            return
        whole = self.called.get(plain(name), name)
        if plain(whole) != plain(name):
            self._settle(whole)
            if whole in self.ids:
                self.ids[name] = self.ids[whole]
            return
        if name in self.names:
            self.ids[name] = name
            return
        if ID.fullmatch(name):
            self.ids[name] = name
            self.names[name] = name
            return
        same = [golfer for golfer, other in self.names.items() if name_words(other) == name_words(name)]
        if len(same) == 1:
            self.ids[name] = same[0]
            return
        near = [golfer for golfer, other in self.names.items() if may_be(name, other)]
        near += [golfer for golfer in self._misspelt(name) if golfer not in near]
        answer = self._which(name, near) if near else OTHER
        if answer in near:
            self.ids[name] = answer
            return
        if answer != OTHER or ((near or self._mostly_known) and not self._said_new(name, near)):
            return
        golfer = self._next()
        self.ids[name], self.names[golfer] = golfer, shown(name)

    def _misspelt(self, name: str) -> list[str]:
        """Return the golfers whose call name, or a part of whose name, a single word is nearly."""
        words = plain(shown(name)).split()
        if len(words) != 1:
            return []
        called = [whole for call, whole in self.called.items() if near_miss(words[0], call)]
        for whole in called:
            if whole not in self.ids:
                self._settle(whole)
        found = [golfer for whole in called for golfer in self.golfers(whole)]
        found += [
            golfer
            for golfer, other in self.names.items()
            if any(near_miss(words[0], word) for word in plain(shown(other)).split())
        ]
        return list(dict.fromkeys(found))

    def _which(self, name: str, near: Sequence[str]) -> str | None:
        """Ask which of the golfers whom a name is like it is; None while that is open."""
        if len(near) > 1:
            called = {f"{self.names[golfer]} ({golfer})": golfer for golfer in near}
            key, text = f"person {plain(name)}: which", f"Which golfer is {name!r}?"
            question = Question(key, text, "names", (*called, OTHER))
        else:
            other = self.names[near[0]]
            text = f"Is {name!r} the same person as {self._as_listed(name, other)} ({near[0]})?"
            obvious = is_obvious(plain(shown(name)), plain(shown(other)))
            label = f"{name} = {other} ({near[0]})" if obvious else ""
            key = f"person {plain(name)} = {plain(other)}"
            question = Question(key, text, "names", (SAME, OTHER), SAME, label=label)
            called = {SAME: near[0]}
        answer = self.memory.answer(question)
        if answer is None:
            self.questions.append(question)
        return None if answer is None else called.get(answer, OTHER)

    def _as_listed(self, name: str, other: str) -> str:
        """Return a golfer's name as it is asked about, with the call name that another name is nearly."""
        calls = [call for call, whole in self.called.items() if plain(whole) == plain(other)]
        near = next((call for call in calls if near_miss(plain(name), call)), None)
        return repr(other) if near is None else f"{near.title()!r}, {other}"

    def _said_new(self, name: str, denied: Collection[str]) -> bool:
        """Ask who a name is that is like none on record, where most are; settle it if it is one of those.

        ``denied`` are golfers whom it is like, and who are somebody else, as was said.
        """
        people = {golfer: name for golfer, name in self.names.items() if golfer not in denied}
        listed = {other or golfer: golfer for golfer, other in (people if denied else self.known).items()}
        if denied and not listed:
            return True
        text = f"Nobody on record is called {name!r}. Who is it?"
        question = Question(
            f"person {plain(name)}: who",
            f"Who is {name!r} then?" if denied else text,
            "names",
            (NEW, *sorted(listed, key=str.casefold), NOBODY),
            NEW,
        )
        answer = self.memory.answer(question)
        if answer is None:
            self.questions.append(question)
        elif answer != NEW:
            self.ids[name] = listed.get(answer, "")
        return answer == NEW

    def _next(self) -> str:
        taken = {golfer.casefold() for golfer in self.names}
        number = 1
        while f"g{number:02d}" in taken:
            number += 1
        return f"G{number:02d}"


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


def _parts(name: str) -> list[str]:
    return [part for part in BETWEEN.split(name) if part]


def _alike(one: str, other: str) -> bool:
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


def _whole_first(name: str) -> tuple[bool, int, str]:
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


def answered_name(key: str) -> str:
    """Return the name that a question of :class:`People` was about, plain; blank for another question."""
    match = re.fullmatch(r"person (.+) = .+", key)
    return match[1] if match else ""


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
    return _alike(" ".join(one), " ".join(two)) and short[0][0] == long[0][0]


def _shares_a_name(one: list[str], two: list[str]) -> bool:
    """Whether a whole name is the same, in any place, and what is left of one begins the other's."""
    common = {word for word in set(one) & set(two) if len(word) > LONGEST_INITIALS}
    if not common:
        return False
    rest = sorted(([word for word in words if word not in common] for words in (one, two)), key=len)
    return all(any(a.startswith(b) or b.startswith(a) for b in rest[1]) for a in rest[0])

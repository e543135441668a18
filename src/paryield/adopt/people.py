"""Names to golfer ids: known ones, spellings of one person, and new ones."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from paryield.adopt.everybody import BETWEEN, EACH, group_in, left_out
from paryield.adopt.group_lines import likeliest
from paryield.adopt.memory import Memory, Question
from paryield.adopt.names import alike, may_be, name_words, near_miss, parts_of, shown, whole_first
from paryield.adopt.names_together import is_obvious
from paryield.adopt.words import plain

LEAST_MATES = 2
"""Golfers of a sheet known by their whole names elsewhere, from which a name left over is asked about."""
SAME, OTHER = "the same", "somebody else"
NEW, NOBODY = "a new golfer", "nobody: leave these rows out"
OF_GROUP, NAMED_SO = "everybody of the group ", "a golfer of that name"
ONE, SEVERAL = "one person", "several people: each of them did it"
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
        Name as written to id, or to the ids of several people with blanks between them; those not decided
        yet are missing.
    questions : list of Question
    called : mapping of str to str
        Call name, plain, to the whole name of the only golfer who is listed with it.
    groups : mapping of str to str
        Golfer id to the group that he is on record in.
    listed_groups : mapping of str to str
        Name as written to the group that a list of the sheets has him in.
    """

    memory: Memory
    known: Mapping[str, str] = field(default_factory=dict)
    ids: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    called: Mapping[str, str] = field(default_factory=dict)
    groups: Mapping[str, str] = field(default_factory=dict)
    listed_groups: Mapping[str, str] = field(default_factory=dict)
    _last_first: set[str] = field(default_factory=set)
    _whole: list[str] = field(default_factory=list)
    _mostly_known: bool = False

    def settle(self, *written: Iterable[str]) -> None:
        """Give every name of each sheet an id, or a question where it may be a spelling of another one."""
        everybody = {name for names in written for name in names if left_out(name) is not None}
        sheets = [dict.fromkeys(name for name in names if name not in everybody) for names in written]
        names = sorted({name for sheet in sheets for name in sheet}, key=whole_first)
        self.names = {golfer: name or golfer for golfer, name in self.known.items()}
        # Remembered spellings in the order in which the first reading took one of them as the name.
        for name, golfer in sorted(self.memory.people.items(), key=lambda one: whole_first(one[0])):
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
        several = [name for name in names if len(parts_of(name)) > 1 and self._are_several(name)]
        for name in names:
            if name not in several:
                self._settle(name)
        for name in several:
            if self._said_one(name):
                self._settle(name)
        if not self.questions:
            self._other_names(sheets)
        self._settle_groups({name for name in everybody if group_in(name)})
        self._settle_everybody({name for name in everybody if not group_in(name)})
        self._keep_called()

    def _keep_called(self) -> None:
        """Keep call names as names of their golfers, for logs that come without the list."""
        for called, whole in self.called.items():
            if " " not in called and whole in self.ids and " " not in self.ids[whole]:
                self.ids.setdefault(called, self.ids[whole])

    def _settle_groups(self, cells: Collection[str]) -> None:
        """Ask of each word for a group whom it means; settle the cells that hold one."""
        whole = {golfer for golfers in self.ids.values() for golfer in golfers.split()}
        members: dict[str, set[str]] = {}
        for golfer, group in self.groups.items():
            members.setdefault(group, set()).add(golfer)
        for name, group in self.listed_groups.items():
            members.setdefault(group, set()).update(self.golfers(name))
        groups = sorted((group for group, of in members.items() if group and of), key=str.casefold)
        by_word: dict[str, list[str]] = {}
        for cell in sorted(cells):
            by_word.setdefault(group_in(cell), []).append(cell)
        for word, written in by_word.items():
            fits = likeliest(word, groups)
            text = f"{min(written, key=len)!r} stands where a name does. Who is meant?"
            options = (*(f"{OF_GROUP}{group}" for group in groups), EACH, NOBODY, NAMED_SO)
            proposal = None if fits is None else f"{OF_GROUP}{fits}"
            question = Question(f"person group {word}: who", text, "names", options, proposal)
            answer = self.memory.answer(question)
            if answer is None:
                self.questions.append(question)
            elif answer == EACH:
                self._settle_for(written, [*self._before(), *whole])
            elif answer.startswith(OF_GROUP):
                self._settle_for(written, members[answer.removeprefix(OF_GROUP)])
            elif answer == NAMED_SO:
                for name in written:
                    self._settle(name)

    def _before(self) -> list[str]:
        """Return the golfers who were named in spreadsheets before."""
        told = (golfer for written, golfer in self.memory.people.items() if left_out(written) is None)
        return [one for golfers in told for one in golfers.split()]

    def _settle_for(self, cells: Collection[str], golfers: Iterable[str]) -> None:
        """Settle cells that stand for several golfers, but for those whom each leaves out."""
        named = dict.fromkeys(golfers)
        for cell in sorted(cells):
            absent = left_out(cell) or ()
            for name in absent:
                if name not in self.ids:
                    self._settle(name)
            if all(name in self.ids for name in absent):
                gone = {one for name in absent for one in self.golfers(name)}
                self.ids[cell] = " ".join(sorted(one for one in named if one not in gone))

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
        now = [one for golfers in self.ids.values() for one in golfers.split()]
        self._settle_for(cells, [*self._before(), *now])

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
        parts = parts_of(name)
        if name in self.memory.people:
            return " " in self.memory.people[name]
        bare = plain(shown(name))
        if bare in self.called:
            return False
        if any(name_words(other) == name_words(name) or alike(bare, plain(other)) for other in self._whole):
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
        parts = parts_of(name)
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
        told = self.memory.people.get(name) or self._remembered(name)
        if told is not None:
            self.ids[name] = told
            return
        whole = self.called.get(plain(shown(name)), name)
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

    def _remembered(self, name: str) -> str | None:
        """Return who a name is that was told in other capitals or signs, where that is one golfer."""
        told = {who for other, who in self.memory.people.items() if plain(other) == plain(name)}
        return told.pop() if len(told) == 1 else None

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


def answered_name(key: str) -> str:
    """Return the name that a question of :class:`People` was about, plain; blank for another question."""
    match = re.fullmatch(r"person (.+) = .+", key)
    return match[1] if match else ""

"""The latest changes of a club, in words, with those that can be taken back."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from paryield.club import Club
from paryield.club.undo import UNDO, ChangedSince, StillNeeded
from paryield.desk.row_words import (
    DAYS,
    MOVABLE,
    NOUNS,
    SAID,
    amount_text,
    cell_text,
    counted_rows,
    key_text,
    row_text,
)
from paryield.errors import InputError
from paryield.report.words import by_name, count_text, day, one_line
from paryield.tables import TABLES

SHOWN = 10


@dataclass(frozen=True)
class Change:
    """One change: its number, what it was, when (UTC, ISO), and whether it can be taken back.

    ``undo`` is whether it took another one back; ``word`` says so, or that it brought one back. ``taken`` is
    whether it was itself taken back since. ``who`` made it, as the audit trail has it; ``golfers`` are those
    whose rows it touched, None where not all of them are known.
    """

    number: int
    text: str
    at: str
    undoable: bool
    undo: bool
    who: str = ""
    golfers: frozenset[str] | None = None
    word: str = ""
    taken: bool = False

    def is_of(self, golfers: Collection[str]) -> bool:
        """Whether all of it is known to belong to these golfers."""
        return self.golfers is not None and bool(self.golfers) and self.golfers <= frozenset(golfers)


def latest_changes(club: Club, names: Mapping[str, str]) -> list[Change]:
    """Return the latest changes, newest first; ``names`` are the golfers' names by id."""
    history = _History(club, names)
    return [history.change(number) for number in history.numbers[:SHOWN]]


def changes_of(club: Club, names: Mapping[str, str]) -> list[Change]:
    """Return the latest changes that belong to these golfers alone, newest first."""
    history = _History(club, names)
    found = []
    for number in history.numbers:
        change = history.change(number)
        if change.is_of(names):
            found.append(change)
        if len(found) == SHOWN:
            break
    return found


def change_of(club: Club, number: int, names: Mapping[str, str] | None = None) -> Change | None:
    """Return one change; None where there is none."""
    history = _History(club, names or {})
    return history.change(number) if number in history.numbers else None


def receipt_of(club: Club, number: int, names: Mapping[str, str]) -> list[str]:
    """Return what a change put on record, by practice or test: chipping: Ada 45 min, Ben 30 min."""
    history = _History(club, names)
    found: dict[str, dict[str, list[str]]] = {}
    for table, key, values in history.stored(number):
        what = one_line(key.get("test") or key.get("category") or key.get("kind") or NOUNS[table][1], 40)
        who = names.get(str(key.get("golfer_id", "")), "")
        found.setdefault(what.replace("_", " "), {}).setdefault(who, []).append(
            amount_text({**key, **values})
        )
    lines = []
    for what, golfers in found.items():
        told = [
            f"{who} {' and '.join(said) if said[0] else counted_rows('strikes', len(said))}"
            for who, said in sorted(golfers.items(), key=lambda one: by_name(one[0]))
        ]
        lines.append(f"{what}: {', '.join(told)}")
    return lines


@dataclass(frozen=True)
class Hindered:
    """Why a change cannot be taken back: in words, and the change that is to be taken back before it."""

    text: str
    first: int | None = None


def hindered(error: InputError, names: Mapping[str, str]) -> Hindered:
    """Return in words why a change cannot be taken back; ``names`` are the golfers' names by id."""
    if isinstance(error, ChangedSince):
        what = row_text(error.table, error.key, names)
        if error.table == "golfers":
            what = what.replace("golfer of", "entry of", 1)
        return Hindered(f"The {what} was changed later. Take that back first.", error.later)
    if isinstance(error, StillNeeded):
        others = NOUNS.get(error.other, ("", error.other))[1]
        what = row_text(error.table, error.key, names)
        text = f"{others.capitalize()} on record still belong to the {what}. Take those back first."
        return Hindered(text)
    return Hindered("Its rows were not kept for that, or are gone. Correct what is wrong row by row.")


def state_after(club: Club, number: int) -> str:
    """Say what the rows of a change hold now; notes are left out, not everybody may read them."""
    listing = club.history()
    rows = listing[listing["import_no"] == number]
    kept = [
        (str(row["table"]), old["key"]) for _, row in rows.iterrows() for old in json.loads(row["old_rows"])
    ]
    held = [
        (table, club.row(table, {n: str(v) for n, v in key.items() if v is not None})) for table, key in kept
    ]
    gone = sum(row is None for _, row in held)
    if len(held) == 1:
        table, row = held[0]
        if row is None:
            return "It is no longer on record."
        names = [name for name in row.values if name not in TABLES[table].key and name != "note"]
        said = ", ".join(
            f"{name.replace('_', ' ')} {cell_text(table, name, row.values[name])}" for name in names
        )
        return f"On record now: {said}." if said else "It is on record again."
    parts = [f"{_rows_are(gone)} no longer on record"] if gone else []
    parts += [f"{_rows_are(len(held) - gone)} on record as before"] if len(held) > gone else []
    return f"{', '.join(parts)}." if parts else ""


def _rows_are(count: int) -> str:
    return f"{count_text(count)} row is" if count == 1 else f"{count_text(count)} rows are"


Entry = tuple[str, dict[str, Any], dict[str, Any] | None]
"""Table, key and former values of one row that a change touched; None where it was new."""


class _History:
    """The changes of a club, and what each made of the rows that it touched."""

    def __init__(self, club: Club, names: Mapping[str, str]) -> None:
        self._club, self._names = club, names
        listing = club.history()
        self._rows = {int(str(number)): rows for number, rows in listing.groupby("import_no")}
        self.numbers = sorted(self._rows, reverse=True)

    def change(self, number: int) -> Change:
        """Return one change."""
        rows = self._rows[number]
        first, entries = rows.iloc[0], self._entries(number)
        whole = self._whole(number)
        golfers = frozenset(str(key.get("golfer_id") or "") for _, key, _ in entries) if whole else None
        back = self._undone(number)
        undo, root = back is not None, number
        while back is not None and back in self._rows:
            root, back = back, self._undone(back)
            undo = undo if back is None else not undo
        return Change(
            number=number,
            text=self._text(root),
            at=str(first["imported_at"]),
            undoable=whole,
            undo=undo,
            who=str(first["who"]),
            golfers=golfers,
            word="" if root == number else "Taken back: " if undo else "Brought back: ",
            taken=number in self._taken,
        )

    def stored(self, number: int) -> list[tuple[str, dict[str, Any], dict[str, Any]]]:
        """Return table, key and values of the rows that a change put on record."""
        held = [(table, key, self._after(number, table, key)) for table, key, _ in self._entries(number)]
        return [(table, key, values) for table, key, values in held if values is not None]

    def _entries(self, number: int) -> list[Entry]:
        return [
            (str(row["table"]), old["key"], old["old"])
            for _, row in self._rows[number].iterrows()
            for old in json.loads(row["old_rows"])
        ]

    def _whole(self, number: int) -> bool:
        """Whether the rows of a change were kept, so that it can be taken back."""
        rows = self._rows[number]
        touched = int(rows["added"].sum() + rows["replaced"].sum())
        return touched == len(self._entries(number)) and "settings" not in set(rows["table"])

    def _undone(self, number: int) -> int | None:
        """Return the change that a change took back; None where it took back none."""
        for file in json.loads(self._rows[number].iloc[0]["files"]):
            digits = str(file["name"]).removeprefix(UNDO)
            if str(file["name"]).startswith(UNDO) and digits.isdecimal():
                return int(digits)
        return None

    @cached_property
    def _taken(self) -> frozenset[int]:
        """Changes that are taken back and were not brought back since."""
        found: set[int] = set()
        for number in self.numbers:
            undone = self._undone(number)
            if undone is not None and number not in found:
                found.add(undone)
        return frozenset(found)

    @cached_property
    def _later(self) -> dict[tuple[str, str], list[tuple[int, dict[str, Any] | None]]]:
        """What each row held before each change of it, oldest first."""
        found: dict[tuple[str, str], list[tuple[int, dict[str, Any] | None]]] = {}
        for number in reversed(self.numbers):
            for table, key, old in self._entries(number):
                found.setdefault((table, _spelt(key)), []).append((number, old))
        return found

    def _after(self, number: int, table: str, key: dict[str, Any]) -> dict[str, Any] | None:
        """Return what a row held after a change: before the next one, or what it holds now."""
        for later, old in self._later.get((table, _spelt(key)), []):
            if later > number:
                return old
        cells = {name: str(value) for name, value in key.items() if value is not None}
        held = self._club.row(table, cells) if table in TABLES else None
        return None if held is None else held.values

    def _text(self, number: int) -> str:
        rows, entries = self._rows[number], self._entries(number)
        counts = [
            counted_rows(str(row["table"]), int(row["added"] + row["replaced"])) for _, row in rows.iterrows()
        ]
        if not self._whole(number) or not entries:
            return ", ".join(counts)
        tables = {table for table, _, _ in entries}
        rounds = [one for one in entries if one[0] == "rounds"]
        if len(entries) == 1 or (len(rounds) == 1 and tables == {"rounds", "holes"}):
            table, key, old = rounds[0] if rounds else entries[0]
            after = self._after(number, table, key) if table in SAID else None
            text = row_text(
                table,
                key,
                self._names,
                SAID[table](_whole_row(key, after), _whole_row(key, old)) if table in SAID else "",
            )
            if table in MOVABLE and old is not None and after is None:
                said = MOVABLE[table]({**key, **old})
                text = f"{row_text(table, key, self._names, said)}, taken off the record"
            holes = len(entries) - 1
            return f"{text}, with {counted_rows('holes', holes)}{self._unadjusted(number)}" if holes else text
        pair = rounds if tables <= {"rounds", "holes", "shots"} else entries
        if len(pair) == 2 and len({table for table, _, _ in pair}) == 1 and pair[0][0] in MOVABLE:
            gone, come = sorted(pair, key=lambda one: one[2] is None)
            if gone[2] is not None and come[2] is None:
                return self._moved_text(number, gone, come)
        plans = {(str(key.get("plan", "")), str(key.get("golfer_id", ""))) for _, key, _ in entries}
        if tables == {"plans"} and len(plans) == 1:
            return self._plan_text(number, entries)
        if len(tables) == 1:
            return f"{row_text(*entries[0][:2], self._names)} and {len(entries) - 1} more"
        return ", ".join(counts)

    def _unadjusted(self, number: int) -> str:
        """Say the strokes of the holes of a round where they are not its adjusted score; else nothing."""
        held = self.stored(number)
        strokes: list[Any] = [values.get("strokes") for table, _, values in held if table == "holes"]
        score = next(
            (values.get("adjusted_gross_score") for table, _, values in held if table == "rounds"), None
        )
        if score is None or not strokes or None in strokes or sum(strokes) == score:
            return ""
        return f" ({sum(strokes)} strokes before adjustment)"

    def _plan_text(self, number: int, entries: list[Entry]) -> str:
        """Return a golfer's plan in words, and whether this change ended it or put it on record."""
        key = entries[0][1]
        after = self._after(number, "plans", key)
        who = self._names.get(str(key.get("golfer_id", "")))
        said = f"plan {one_line(key['plan'], 40)!r}{f' of {who}' if who else ''}"
        if (
            entries[0][2] is not None
            and after is not None
            and after.get("ends_on") != entries[0][2].get("ends_on")
        ):
            said += f", ended on {day(after['ends_on'])}"
        kinds = {one.get("category") for _, one, _ in entries}
        return f"{said}, {len(kinds)} kinds of practice" if len(kinds) > 1 else said

    def _moved_text(self, number: int, gone: Entry, come: Entry) -> str:
        """Return a row put on another day in words: round of Ada on 3 May 2026: 84, moved from 1 May 2026."""
        table, key, _ = come
        after = self._after(number, table, key)
        said = row_text(
            table, key, self._names, SAID[table](_whole_row(key, after), _whole_row(gone[1], gone[2]))
        )
        on, was = (next(one[name] for name in DAYS if name in one) for one in (key, gone[1]))
        return f"{said}, moved from {day(was)}" if on != was else f"{said}, before {key_text(gone[1])}"


def _whole_row(key: dict[str, Any], values: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return a row with its key; None where there is none."""
    return None if values is None else {**key, **values}


def _spelt(key: dict[str, Any]) -> str:
    return json.dumps(key, sort_keys=True)

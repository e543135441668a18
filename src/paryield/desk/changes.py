"""The latest changes of a club, in words, with those that can be taken back."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from paryield.club import Club
from paryield.club.undo import UNDO
from paryield.report.words import count_text, day, index_text, one_line
from paryield.report.words import number as number_text
from paryield.tables import TABLES

SHOWN = 10
NOUNS = {
    "rounds": ("round", "rounds"),
    "holes": ("hole", "holes"),
    "shots": ("shot", "shots"),
    "practice": ("practice entry", "practice entries"),
    "assessments": ("assessment", "assessments"),
    "strikes": ("measured ball", "measured balls"),
    "events": ("event", "events"),
    "plans": ("plan row", "plan rows"),
    "golfers": ("golfer", "golfers"),
    "programmes": ("programme member", "programme members"),
    "limits": ("limit", "limits"),
    "calendar": ("calendar entry", "calendar entries"),
    "settings": ("settings file", "settings files"),
}
"""One row and several rows of a table in words."""
DAYS = (
    "played_on",
    "practised_on",
    "assessed_on",
    "struck_on",
    "happened_on",
    "starts_on",
    "started_on",
)


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
        found.setdefault(what.replace("_", " "), {}).setdefault(who, []).append(_value_text(values))
    lines = []
    for what, golfers in found.items():
        told = [
            f"{who} {' and '.join(said) if said[0] else _counted('strikes', len(said))}"
            for who, said in sorted(golfers.items(), key=lambda one: one[0].casefold())
        ]
        lines.append(f"{what}: {', '.join(told)}")
    return lines


def _value_text(values: Mapping[str, Any]) -> str:
    if values.get("minutes") is not None:
        return f"{values['minutes']:g} min"
    if values.get("tried") is not None:
        return f"{values.get('made') or 0} of {values['tried']}"
    return f"{values['value']:g}" if values.get("value") is not None else ""


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
            f"{name.replace('_', ' ')} {_cell_text(table, name, row.values[name])}" for name in names
        )
        return f"On record now: {said}." if said else "It is on record again."
    parts = [f"{count_text(gone)} rows are no longer on record"] if gone else []
    parts += (
        [f"{count_text(len(held) - gone)} rows are on record as they were before"] if len(held) > gone else []
    )
    return f"{', '.join(parts)}." if parts else ""


Entry = tuple[str, dict[str, Any], dict[str, Any] | None]
"""Table, key and former values of one row that a change touched; None where it was new."""


def _cell_text(table: str, name: str, value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        tenths = TABLES[table].column(name).kind in ("differential", "index")
        return f"{value:.1f}" if tenths else f"{value:g}"
    return one_line(value, 40)


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
            _counted(str(row["table"]), int(row["added"] + row["replaced"])) for _, row in rows.iterrows()
        ]
        if not self._whole(number) or not entries:
            return ", ".join(counts)
        tables = {table for table, _, _ in entries}
        rounds = [one for one in entries if one[0] == "rounds"]
        if len(entries) == 1 or (len(rounds) == 1 and tables == {"rounds", "holes"}):
            table, key, old = rounds[0] if rounds else entries[0]
            after = self._after(number, table, key) if table in SAID else None
            text = _row_text(table, key, self._names, SAID[table](after, old) if table in SAID else "")
            holes = len(entries) - 1
            return f"{text}, with {_counted('holes', holes)}" if holes else text
        if len(tables) == 1:
            return f"{_row_text(*entries[0][:2], self._names)} and {len(entries) - 1} more"
        return ", ".join(counts)


def _spelt(key: dict[str, Any]) -> str:
    return json.dumps(key, sort_keys=True)


def _score_said(after: dict[str, Any] | None, old: dict[str, Any] | None) -> str:
    """Return a round's score, and the one before where it was replaced: 84 at Kestrel Down, before 86."""
    if after is None:
        return ""
    said = score_text(after)
    if old is not None and score_text(old) != said:
        said += f", before {score_text(old)}" if said else ""
    return said


def score_text(values: Mapping[str, Any]) -> str:
    """Return score and course of a round: 84 at Kestrel Down; the differential where no score is known."""
    gross, differential = values.get("adjusted_gross_score"), values.get("score_differential")
    score = f"{gross}" if gross is not None else ""
    if not score and differential is not None:
        plus = "+" if differential < 0 else ""
        score = f"differential {plus}{number_text(abs(differential), 1)}"
    course = one_line(values["course"], 40) if values.get("course") else ""
    return f"{score} at {course}" if score and course else score or course


def _goal_said(after: dict[str, Any] | None, old: dict[str, Any] | None) -> str:
    """Return the goal of a golfer where nothing else of his row changed."""
    if after is None or old is None:
        return ""
    moved = {name for name in after.keys() | old.keys() if after.get(name) != old.get(name)}
    if not moved or moved - {"goal_index", "goal_on"}:
        return ""
    return f"{_goal(after)}, before {_goal(old)}"


def _goal(values: Mapping[str, Any]) -> str:
    if values.get("goal_index") is None:
        return "none"
    by = f" by {day(values['goal_on'])}" if values.get("goal_on") else ""
    return f"{index_text(values['goal_index'])}{by}"


SAID = {"rounds": _score_said, "golfers": _goal_said}
"""What is said of one row by table: its values after the change, and before."""


def _counted(table: str, count: int) -> str:
    one, several = NOUNS.get(table, (f"row of {table}", f"rows of {table}"))
    return f"{count_text(count)} {one if count == 1 else several}"


def _row_text(table: str, key: dict[str, Any], names: Mapping[str, str], said: str = "") -> str:
    noun = NOUNS.get(table, (f"row of {table}", ""))[0]
    if table == "golfers" and said:
        noun = "goal"
    words = [noun]
    what = key.get("test") or key.get("category") or key.get("plan") or key.get("kind")
    if what:
        words.append(one_line(what, 40).replace("_", " "))
    who = names.get(str(key.get("golfer_id", "")))
    if who:
        words.append(f"of {who}")
    on = next((key[name] for name in DAYS if name in key), None)
    if on:
        words.append(f"on {day(on)}")
    text = " ".join(words)
    return f"{text}, {said}" if said else text

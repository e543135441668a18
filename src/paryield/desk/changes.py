"""The latest changes of a club, in words, with those that can be taken back."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from paryield.club import Club
from paryield.report.words import count_text, day, one_line
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

    ``who`` made it, as the audit trail has it; ``golfers`` are those whose rows it touched, None where not
    all of them are known.
    """

    number: int
    text: str
    at: str
    undoable: bool
    undo: bool
    who: str = ""
    golfers: frozenset[str] | None = None

    def is_of(self, golfers: Collection[str]) -> bool:
        """Whether all of it is known to belong to these golfers."""
        return self.golfers is not None and bool(self.golfers) and self.golfers <= frozenset(golfers)


def latest_changes(club: Club, names: Mapping[str, str]) -> list[Change]:
    """Return the latest changes, newest first; ``names`` are the golfers' names by id."""
    listing = club.history()
    numbers = sorted(set(listing["import_no"]), reverse=True)[:SHOWN]
    return [_change(listing[listing["import_no"] == number], names) for number in numbers]


def changes_of(club: Club, names: Mapping[str, str]) -> list[Change]:
    """Return the latest changes that belong to these golfers alone, newest first."""
    listing = club.history()
    found = []
    for number in sorted(set(listing["import_no"]), reverse=True):
        change = _change(listing[listing["import_no"] == number], names)
        if change.is_of(names):
            found.append(change)
        if len(found) == SHOWN:
            break
    return found


def change_of(club: Club, number: int) -> Change | None:
    """Return one change; None where there is none."""
    listing = club.history()
    rows = listing[listing["import_no"] == number]
    return None if rows.empty else _change(rows, {})


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
        said = ", ".join(f"{name.replace('_', ' ')} {one_line(row.values[name], 40)}" for name in names)
        return f"On record now: {said}." if said else "It is on record again."
    parts = [f"{count_text(gone)} rows are no longer on record"] if gone else []
    parts += (
        [f"{count_text(len(held) - gone)} rows are on record as they were before"] if len(held) > gone else []
    )
    return f"{', '.join(parts)}." if parts else ""


def _change(rows: pd.DataFrame, names: Mapping[str, str]) -> Change:
    first = rows.iloc[0]
    kept = [(str(row["table"]), old) for _, row in rows.iterrows() for old in json.loads(row["old_rows"])]
    touched = int(rows["added"].sum() + rows["replaced"].sum())
    whole = touched == len(kept) and "settings" not in set(rows["table"])
    files = json.loads(first["files"])
    undo = any(str(file["name"]).startswith("undo of") for file in files)
    if whole and len(kept) == 1:
        text = _row_text(*kept[0], names)
    else:
        counts = [
            _counted(str(row["table"]), int(row["added"] + row["replaced"])) for _, row in rows.iterrows()
        ]
        text = ", ".join(counts)
        if whole and len({table for table, _ in kept}) == 1:
            text = _row_text(*kept[0], names) + f" and {len(kept) - 1} more"
    golfers = frozenset(str(old["key"].get("golfer_id") or "") for _, old in kept) if whole else None
    number, at, who = int(first["import_no"]), str(first["imported_at"]), str(first["who"])
    return Change(number, text, at, whole, undo, who, golfers)


def _counted(table: str, count: int) -> str:
    one, several = NOUNS.get(table, (f"row of {table}", f"rows of {table}"))
    return f"{count_text(count)} {one if count == 1 else several}"


def _row_text(table: str, old: dict[str, Any], names: Mapping[str, str]) -> str:
    key = old["key"]
    noun = NOUNS.get(table, (f"row of {table}", ""))[0]
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
    return " ".join(words)

"""Rows of a batch that differ from what is on record: summed up by table, with each of them in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from paryield.club.batch import Batch
from paryield.club.compare import Change
from paryield.club.contents import key_record
from paryield.club.staying import Kept
from paryield.desk.row_words import counted_rows, row_text
from paryield.report.words import by_name
from paryield.units import listed

NAMED = 4
"""Golfers that are named in the line that sums up; the others are counted."""


@dataclass(frozen=True)
class Differing:
    """Rows of one table that differ: how many, of whom, and each in words."""

    counted: str
    count: int
    who: str
    lines: tuple[str, ...]


def differing(batch: Batch, names: Mapping[str, str]) -> list[Differing]:
    """Return the rows that differ from what is on record, table by table; ``names`` are those of golfers."""
    changes: dict[str, dict[tuple[tuple[str, str], ...], list[Change]]] = {}
    for one in batch.changes():
        key = tuple((name, str(value)) for name, value in one.key.items())
        changes.setdefault(one.table, {}).setdefault(key, []).append(one)
    found = []
    for table, count in batch.conflicting().items():
        rows = list(changes.get(table, {}).values())
        people = {names.get(str(row[0].key.get("golfer_id", "")), "") for row in rows} - {""}
        lines = tuple(_line(table, row, names) for row in rows)
        found.append(Differing(counted_rows(table, count), count, _who(sorted(people, key=by_name)), lines))
    return found


def by_hand(kept: Sequence[Kept], names: Mapping[str, str]) -> list[str]:
    """Return the rows that stay as somebody changed them by hand, each in words."""
    told = ((row_text(one.table, key_record(one.table, one.key), names), one) for one in kept)
    return [f"{what}: {'; '.join(one.said) or 'read otherwise now'}" for what, one in told]


def _who(people: list[str]) -> str:
    more = len(people) - NAMED
    shown = people if more <= 1 else [*people[:NAMED], f"{more} more"]
    return listed(shown) if shown else ""


def _line(table: str, row: list[Change], names: Mapping[str, str]) -> str:
    """Say what one row holds on record and in the sheet: test of Ada on 3 May 2026: made 12, here 14."""
    said = []
    for one in row:
        old, new = one.values()
        said.append(f"{one.column.replace('_', ' ')} {old} on record, {new} here")
    what = "settings" if table == "settings" else row_text(table, row[0].key, names)
    return f"{what}: {'; '.join(said)}"

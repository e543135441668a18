"""What is to be stored of a reading: its rows beside those on record, table by table."""

from __future__ import annotations

import json
from dataclasses import dataclass

import sqlalchemy as sa

from paryield.club import layout
from paryield.club.compare import Change, Difference, compare
from paryield.club.contents import NO_SETTINGS, stored_rows, to_rows, to_text
from paryield.tables import Reading

SETTINGS = "settings"


@dataclass(frozen=True)
class Batch:
    """What is to be stored: differences by table and the settings before and after."""

    tables: tuple[Difference, ...]
    old_settings: str | None
    new_settings: str | None

    def counts(self) -> dict[str, tuple[int, int, int]]:
        """Return rows added, skipped and replaced by table, tables without rows left out."""
        found = {d.table: (len(d.added), d.skipped, len(d.updates) + len(d.removed)) for d in self.tables}
        if self.new_settings is not None:
            added, same = self.old_settings is None, self.old_settings == self.new_settings
            found[SETTINGS] = (int(added), int(same), int(not added and not same))
        return {name: counts for name, counts in found.items() if any(counts)}

    def conflicting(self) -> dict[str, int]:
        """Return rows that differ from stored ones by table, filled blanks left out."""
        found = {d.table: len(d.changed) for d in self.tables}
        if self.new_settings is not None and self.old_settings not in (None, self.new_settings):
            found[SETTINGS] = 1
        return {name: count for name, count in found.items() if count}

    def fills(self) -> list[Change]:
        """Return every value that fills a blank of a row, where only blanks were filled."""
        return [change for difference in self.tables for change in difference.fills()]

    def changes(self) -> list[Change]:
        """Return every value that differs from a stored one, filled blanks left out."""
        found = [change for difference in self.tables for change in difference.changes()]
        if self.new_settings is not None and self.old_settings is not None:
            old, new = json.loads(self.old_settings), json.loads(self.new_settings)
            for name in sorted(set(old) | set(new)):
                if old.get(name) != new.get(name):
                    found.append(Change(SETTINGS, {}, name, old.get(name), new.get(name)))
        return found

    def without_changes(self) -> Batch:
        """Return the batch with everything left out that differs from a stored row."""
        kept = tuple(difference.without_changes() for difference in self.tables)
        changed = self.old_settings is not None and self.new_settings != self.old_settings
        return Batch(kept, self.old_settings, None if changed else self.new_settings)


def prepare(connection: sa.Connection, reading: Reading) -> Batch:
    """Compare what was read with what is stored."""
    differences = []
    for name, frame in reading.tables.items():
        rows = to_rows(name, frame)
        stored = stored_rows(connection, name) if rows else []
        differences.append(compare(name, stored, rows, reading.stated.get(name)))
    stated = any(file.table == SETTINGS for file in reading.files)
    new = to_text(reading.tables) if stated else None
    old = layout.fact(connection, SETTINGS)
    if new == NO_SETTINGS and old is None:
        old = NO_SETTINGS
    return Batch(tuple(differences), old, new)

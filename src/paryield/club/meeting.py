"""How the rows of a reading stand to those on record, before anything is stored."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa

from paryield.club import sources
from paryield.club.batch import SETTINGS, Batch, prepare
from paryield.club.staying import TAKEN, Kept, kept_by_hand, reading_anew, without_taken_off
from paryield.tables import Reading


@dataclass(frozen=True)
class Met:
    """How the rows of a reading stand to those on record, before anything is stored.

    Parameters
    ----------
    reading : Reading
    batch : Batch
        Without rows that were moved, taken off or changed by hand, and with those that give way to another
        reading.
    kept : tuple of Kept
        Rows on record that stay as somebody changed them by hand.
    """

    reading: Reading
    batch: Batch
    kept: tuple[Kept, ...] = ()

    def counts(self) -> dict[str, tuple[int, int, int, int]]:
        """Return rows by table: new or filling blanks, the same, differing, and wrong ones."""
        wrong = self.reading.rejected
        found = {
            one.table: (len(one.added) + len(one.filled), one.skipped, len(one.changed))
            for one in self.batch.tables
        }
        differing = self.batch.conflicting()
        if SETTINGS in (all_ := self.batch.counts()):
            new, same, _ = all_[SETTINGS]
            found[SETTINGS] = (new, same, differing.get(SETTINGS, 0))
        told = {name: (*rows, wrong.get(name, 0)) for name, rows in found.items()}
        return {name: rows for name, rows in told.items() if any(rows)}


def met(connection: sa.Connection, reading: Reading, told: sources.Sources) -> Met:
    """Return how the rows of a reading stand to those on record."""
    batch, _ = without_taken_off(connection, prepare(connection, reading), told)
    batch, hand = kept_by_hand(connection, batch, told, TAKEN)
    batch, kept, _ = reading_anew(connection, batch, reading, told, TAKEN)
    return Met(reading, batch, (*hand, *kept))

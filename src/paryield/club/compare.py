"""Which rows are new to the club, the same as before, or other than before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from paryield.club.contents import Row, key_record, keyed
from paryield.club.layout import dtypes
from paryield.results import Problem
from paryield.tables.schema import HEALTH_KINDS

REMEDY = "correct the file, or import with --replace to keep the new value"


@dataclass(frozen=True)
class Change:
    """One value that a replaced row had and has now; None is blank.

    Parameters
    ----------
    table, column : str
        Where the value stands; table ``settings`` is the settings file.
    key : dict
        Key of the row, blanks left out.
    old, new : object
        The value before and now.
    at : int or None
        Position of the row in the table that was read.
    """

    table: str
    key: dict[str, Any]
    column: str
    old: Any
    new: Any
    at: int | None = field(default=None, repr=False, compare=False)

    def line(self) -> str:
        """Return the change as one line."""
        old, new = self.values()
        return f"{self.table}, {spelt(self.key)}, {self.column}: {old} -> {new}"

    def values(self) -> tuple[str, str]:
        """Return both values as words; a note of health is not spelt out."""
        if self.table == "events" and self.column == "note" and self.key.get("kind") in HEALTH_KINDS:
            return "a note" if self.old else shown(None), "another note" if self.new else shown(None)
        return shown(self.old), shown(self.new)


@dataclass(frozen=True)
class Difference:
    """New rows of one table against the stored ones.

    Parameters
    ----------
    table : str
        Name of the table.
    added : tuple of (key, row)
        Rows with a key that the club does not hold.
    skipped : int
        Rows that the club holds with the same values.
    changed : tuple of (key, old row, new row, position)
        Rows that the club holds with other values; a blank against a value is another value.
    filled : tuple of (key, old row, new row, position)
        Rows in which only blanks were filled, or that are to be stored anyhow: no conflict.
    removed : tuple of (key, row)
        Rows on record that give way to another reading of what they were read from.
    """

    table: str
    added: tuple[tuple[Row, Row], ...]
    skipped: int
    changed: tuple[tuple[Row, Row, Row, int], ...]
    filled: tuple[tuple[Row, Row, Row, int], ...] = ()
    removed: tuple[tuple[Row, Row], ...] = ()

    @property
    def updates(self) -> tuple[tuple[Row, Row, Row, int], ...]:
        """Rows to be written anew."""
        return self.changed + self.filled

    def changes(self) -> list[Change]:
        """Return every value that differs in a row that is no mere filling of blanks."""
        return self._values(self.changed)

    def fills(self) -> list[Change]:
        """Return every value that fills a blank, of rows in which nothing else differs."""
        return self._values(self.filled)

    def _values(self, rows: tuple[tuple[Row, Row, Row, int], ...]) -> list[Change]:
        return [
            Change(self.table, key_record(self.table, key), name, before, after, at)
            for key, old, new, at in rows
            for name, before, after in zip(dtypes(self.table), old, new, strict=True)
            if before != after
        ]

    def without_changes(self) -> Difference:
        """Return the difference with the changed rows left out."""
        return replace(self, changed=())


def compare(
    table: str,
    stored: Sequence[Row],
    new: Sequence[Row],
    stated: Sequence[frozenset[str]] | None = None,
) -> Difference:
    """Compare new rows with stored ones by key.

    ``stated`` are the columns that the file of each new row has; of the others it says nothing, so that
    what is stored stays. All by default.
    """
    held, names = dict(keyed(table, stored)), tuple(dtypes(table))
    added, changed, filled, skipped = [], [], [], 0
    for at, (key, row) in enumerate(keyed(table, new)):
        old = held.get(key)
        if old is None:
            added.append((key, row))
            continue
        now = row if stated is None else _over(old, row, names, stated[at])
        if old == now:
            skipped += 1
        elif all(before is None or before == after for before, after in zip(old, now, strict=True)):
            filled.append((key, old, now, at))
        else:
            changed.append((key, old, now, at))
    return Difference(table, tuple(added), skipped, tuple(changed), tuple(filled))


def _over(old: Row, new: Row, names: tuple[str, ...], stated: frozenset[str]) -> Row:
    """Return the stored row with the values that a file states."""
    return tuple(
        after if name in stated else before for before, after, name in zip(old, new, names, strict=True)
    )


def conflict(change: Change, file: str, row: int | None) -> Problem:
    """Return the problem of a value that differs from the stored one."""
    place = f"{spelt(change.key)}: " if change.key else ""
    old, new = change.values()
    return Problem(
        file=file,
        row=row,
        column=change.column,
        found="" if change.new is None else new,
        message=f"{place}the club already holds {old}, the file has {new}",
        remedy=REMEDY,
    )


def spelt(key: dict[str, Any]) -> str:
    """Return a key as words."""
    return ", ".join(f"{name} {value}" for name, value in key.items())


def shown(value: Any) -> str:
    """Return a value as a reader expects it."""
    if value is None:
        return "a blank"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)

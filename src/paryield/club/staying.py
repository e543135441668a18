"""What on record gives way to another reading of a sheet, and what stays as somebody changed it by hand."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass, replace

import sqlalchemy as sa

from paryield.club import history, sources
from paryield.club.batch import Batch
from paryield.club.compare import Difference
from paryield.club.contents import Row, key_record
from paryield.results import Problem
from paryield.tables import Reading

TAKEN_OFF = "was moved to another day, or taken off the record, by hand: passed over"
TAKEN: tuple[sources.Why, ...] = ("read",)
CHANGED = "is read otherwise now, but what is on record was changed since: that stays"
ALIKE = "read with golfer, day and result of a test on record under another name: both are kept"
BY_HAND = "was changed by hand, and a sheet has it otherwise"
STAYS = "what is on record stays"
LET = "nothing, or import with replace to let the new reading take its place"
OVER = "nothing, or import with replace-changed to let the sheet take its place"
"""What is said of rows that do not give way, and what to do."""
BACK = "nothing, or undo that under Latest changes; an import with replace-changed brings it back"


@dataclass(frozen=True)
class Kept:
    """A row on record that stays although a sheet has it otherwise, as somebody changed it since.

    ``said`` is what the sheet has: each column with the value on record and that of the sheet.
    """

    table: str
    key: Row
    why: str
    said: tuple[str, ...] = ()

    def problem(self) -> Problem:
        """Return the warning that says so."""
        found = " ".join(str(value) for value in key_record(self.table, self.key).values())
        values = f" ({'; '.join(self.said)}): {STAYS}" if self.said else ""
        return Problem(self.table, None, None, found, f"{self.why}{values}", OVER, "warning")


def kept_by_hand(
    connection: sa.Connection, batch: Batch, told: sources.Sources, take: Collection[sources.Why]
) -> tuple[Batch, list[Kept]]:
    """Return a batch without the rows that differ from ones on record that somebody changed by hand.

    Only of sheets that say what their rows were read from. Where ``take`` has ``changed`` they are stored,
    as rows that fill blanks are: that is said of them alone, whatever is done with others that differ.
    """
    tables, kept = [], list[Kept]()
    for difference in batch.tables:
        mine = told.get(difference.table, {})
        rows = [(key, old) for key, old, _, _ in difference.changed if key in mine]
        hand = sources.by_hand(connection, difference.table, rows)
        theirs = tuple(one for one in difference.changed if one[0] in hand)
        left = tuple(one for one in difference.changed if one[0] not in hand)
        if "changed" in take:
            tables.append(replace(difference, changed=left, filled=(*difference.filled, *theirs)))
            continue
        for key, old, new, _ in theirs:
            kept.append(Kept(difference.table, key, BY_HAND, _said(difference, key, old, new)))
        tables.append(replace(difference, changed=left, skipped=difference.skipped + len(theirs)))
    return Batch(tuple(tables), batch.old_settings, batch.new_settings), kept


def _said(difference: Difference, key: Row, old: Row, new: Row) -> tuple[str, ...]:
    only = replace(difference, changed=((key, old, new, 0),))
    pairs = ((one.column.replace("_", " "), *one.values()) for one in only.changes())
    return tuple(f"{column} {before} on record, {after} in the sheet" for column, before, after in pairs)


def reading_anew(
    connection: sa.Connection,
    batch: Batch,
    reading: Reading,
    told: sources.Sources,
    take: Collection[sources.Why],
) -> tuple[Batch, list[Kept], list[Problem]]:
    """Return a batch in which rows give way that are read otherwise now, and what is said of others."""
    found = sources.rereads(connection, batch.tables, reading, told)
    gone: dict[str, list[tuple[Row, Row]]] = {}
    kept, said = list[Kept](), list[Problem]()
    for one in found:
        if one.why in take:
            gone.setdefault(one.table, []).extend(one.old)
            for table, rows in one.parts.items():
                gone.setdefault(table, []).extend(rows)
        elif one.why == "changed":
            kept += [Kept(one.table, key, CHANGED) for key, _ in one.old]
    if alike := sum(one.why == "alike" and one.why not in take for one in found):
        many = "1 row is" if alike == 1 else f"{alike} rows are"
        said.append(Problem("assessments", None, None, many, ALIKE, LET, "warning"))
    tables = []
    for difference in batch.tables:
        stay = [one for one in found if one.table == difference.table and one.why == "changed"]
        left = {key for one in stay if one.why not in take for key in one.new}
        added = tuple(one for one in difference.added if one[0] not in left)
        skipped = difference.skipped + len(difference.added) - len(added)
        removed = tuple(gone.get(difference.table, ()))
        tables.append(replace(difference, added=added, skipped=skipped, removed=removed))
    return Batch(tuple(tables), batch.old_settings, batch.new_settings), kept, said


def without_taken_off(
    connection: sa.Connection, batch: Batch, told: sources.Sources, *, sheets_only: bool = False
) -> tuple[Batch, list[Problem]]:
    """Return a batch without the rows that somebody moved or took off the record by hand, and say so.

    ``sheets_only`` leaves out those alone of which it is known what sheet they were read from.
    """
    tables, said = [], []
    for difference in batch.tables:
        off = history.taken_off(connection, difference.table) if difference.added else frozenset()
        mine = told.get(difference.table, {})
        named = {key: key_record(difference.table, key) for key, _ in difference.added}
        text = {key: json.dumps(one, ensure_ascii=False) for key, one in named.items()}
        moved = sources.moved_by_hand(connection, difference.table, mine)
        gone = {key for key in named if text[key] in off or key in moved}
        if sheets_only:
            gone &= set(mine)
        added = tuple(one for one in difference.added if one[0] not in gone)
        count = len(difference.added) - len(added)
        if count and difference.table not in ("holes", "shots"):
            first = next(key for key in named if key in gone)
            found = " ".join(str(value) for value in named[first].values())
            said.append(Problem(difference.table, None, None, found, TAKEN_OFF, BACK, "warning"))
        tables.append(replace(difference, added=added, skipped=difference.skipped + count))
    return Batch(tuple(tables), batch.old_settings, batch.new_settings), said

"""Import of a folder or of another database, which is only read: all or nothing, and twice is as once."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

import pandas as pd
import sqlalchemy as sa

from paryield.club import history, layout, sources, sums
from paryield.club.batch import SETTINGS, Batch, prepare
from paryield.club.compare import Change, Difference, conflict
from paryield.club.contents import Row, key_record, record
from paryield.club.staying import TAKEN, kept_by_hand, reading_anew, without_taken_off
from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables import TABLES, Reading

MOST_UNDOABLE = 5000
"""New rows up to which an import can be taken back: the history holds a line for each. [judgement]"""


@dataclass(frozen=True)
class ImportReceipt:
    """What an import did.

    Parameters
    ----------
    added, skipped : dict of str to int
        Rows by table: new ones, and ones that the club held already.
    replaced : tuple of Change
        Every value that was replaced.
    problems : tuple of Problem
        Warnings, and the errors of the rows that were left out.
    rejected : dict of str to int
        Rows left out, by table.
    import_no : int or None
        Number of the import in the history; None when it changed nothing.
    reread : dict of str to int
        Rows by table that gave way to another reading of what they were read from.
    left_out : dict of str to int
        What of the spreadsheets that the tables were made of was left out: reason to rows or cells.
    unmeasured : dict of str to int
        What of them was kept although nothing is measured by it: reason to results.
    """

    added: dict[str, int]
    skipped: dict[str, int]
    replaced: tuple[Change, ...]
    problems: tuple[Problem, ...]
    rejected: dict[str, int]
    import_no: int | None = None
    reread: dict[str, int] = field(default_factory=dict)
    left_out: dict[str, int] = field(default_factory=dict)
    unmeasured: dict[str, int] = field(default_factory=dict)

    @property
    def changed(self) -> bool:
        """Whether anything in the club changed."""
        return bool(self.replaced) or any(self.added.values())


class ImportRefused(InputError):
    """An import of which nothing was stored; ``problems`` says why, one line each."""

    def __init__(self, problems: tuple[Problem, ...], *, where: str) -> None:
        count = sum(problem.severity == "error" for problem in problems)
        super().__init__(
            f"{count} error{'' if count == 1 else 's'}; nothing was stored",
            where=where,
            remedy="correct the rows listed, or import with --keep-good to leave them out",
        )
        self.problems = problems


def import_reading(
    connection: sa.Connection,
    reading: Reading,
    where: str,
    *,
    keep_good: bool,
    replace: bool,
    undoable: bool = False,
    bring_back: bool = False,
    told: sources.Sources | None = None,
    take: Collection[sources.Why] = TAKEN,
) -> ImportReceipt:
    """Store what was read, within the caller's transaction.

    ``told`` is what rows were read from, and ``take`` which rows on record give way where that is read
    otherwise now; with ``replace`` all of them but those that somebody changed, unless ``take`` has
    ``changed``.

    Raises
    ------
    ImportRefused
        When a row has an error and ``keep_good`` is false, or when no good row is left.
    """
    batch = prepare(connection, reading)
    problems, rejected = list(reading.problems), dict(reading.rejected)
    given = {*take, "read", "alike"} if replace else take
    if not (bring_back or (replace and "changed" in take)):
        batch, gone = without_taken_off(connection, batch, told or {}, sheets_only=replace)
        problems += gone
    batch, hand = kept_by_hand(connection, batch, told or {}, take)
    batch, kept, left = reading_anew(connection, batch, reading, told or {}, given)
    problems += [*left, *(one.problem() for one in (*hand, *kept))]
    if not replace:
        conflicts = [conflict(change, *place_of(reading, change)) for change in batch.changes()]
        for name, count in batch.conflicting().items():
            rejected[name] = rejected.get(name, 0) + count
        problems += conflicts
        batch = batch.without_changes()
    counts = batch.counts()
    if any(problem.severity == "error" for problem in problems) and not (keep_good and counts):
        raise ImportRefused(tuple(problems), where=where)
    number = store(connection, batch, reading, undoable=undoable)
    sources.remember(connection, reading, told or {})
    return ImportReceipt(
        added={name: count[0] for name, count in counts.items()},
        skipped={name: count[1] for name, count in counts.items()},
        replaced=(*batch.changes(), *batch.fills()),
        problems=tuple(problems),
        rejected={name: count for name, count in rejected.items() if count},
        import_no=number,
        reread={one.table: len(one.removed) for one in batch.tables if one.removed},
    )


def place_of(reading: Reading, change: Change) -> tuple[str, int | None]:
    """Return the file and row where a changed value stands; no row for a setting."""
    if change.at is not None and change.table in reading.places:
        place = reading.places[change.table].iloc[change.at]
        return str(place["file"]), int(place["row"])
    return ", ".join(file.name for file in reading.files if file.table == change.table), None


def store(connection: sa.Connection, batch: Batch, reading: Reading, *, undoable: bool = False) -> int | None:
    """Write a batch and its history, and return its number; nothing when the batch changes nothing.

    An undoable batch also keeps the keys of its new rows in the history, up to :data:`MOST_UNDOABLE` of them.
    """
    counts = batch.counts()
    undoable = undoable and sum(added for added, _, _ in counts.values()) <= MOST_UNDOABLE
    undoable = undoable or any(difference.removed for difference in batch.tables)
    if not any(added or replaced for added, _, replaced in counts.values()):
        return None
    old_rows: list[dict[str, Any]] = []
    for difference in batch.tables:
        remove(connection, difference)
        insert(connection, difference)
        update(connection, difference)
        old_rows += [before(difference.table, key, row) for key, row in difference.removed]
        old_rows += [before(difference.table, key, old) for key, old, _, _ in difference.updates]
        if undoable:
            old_rows += [new_row(difference.table, key, row) for key, row in difference.added]
    if batch.new_settings is not None and batch.new_settings != batch.old_settings:
        layout.set_fact(connection, SETTINGS, batch.new_settings)
        if batch.old_settings is not None:
            old_rows.append(
                {"table_name": SETTINGS, "golfer_id": "", "row_key": "{}", "old": batch.old_settings}
            )
    return history.record(connection, reading.files, counts, old_rows)


def stored_form(table: str, key: Row, row: Row) -> dict[str, Any]:
    """Return a row as the database holds it, blank key parts filled."""
    values = dict(zip(layout.dtypes(table), row, strict=True))
    return values | dict(zip(TABLES[table].key, key, strict=True))


def remove(connection: sa.Connection, difference: Difference) -> None:
    """Take the rows off a table that give way."""
    table, keys = layout.CLUB_TABLES[difference.table], layout.keys(difference.table)
    for key, _ in difference.removed:
        match = (table.c[name] == value for name, value in zip(keys, key, strict=True))
        connection.execute(table.delete().where(*match))


def insert(connection: sa.Connection, difference: Difference) -> None:
    """Insert the new rows of a table."""
    if difference.added:
        rows = [stored_form(difference.table, key, row) for key, row in difference.added]
        connection.execute(layout.CLUB_TABLES[difference.table].insert(), rows)


def update(connection: sa.Connection, difference: Difference) -> None:
    """Replace the changed rows of a table."""
    if not difference.updates:
        return
    table = layout.CLUB_TABLES[difference.table]
    keys = TABLES[difference.table].key
    others = [name for name in layout.dtypes(difference.table) if name not in keys]
    command = (
        table.update()
        .where(*(table.c[name] == sa.bindparam(f"key_{name}") for name in keys))
        .values({name: sa.bindparam(f"new_{name}") for name in (*others, sums.SUM)})
    )
    rows = []
    for key, _, row, _ in difference.updates:
        values = stored_form(difference.table, key, row)
        new = {f"new_{name}": values[name] for name in others} | {f"new_{sums.SUM}": sums.row_sum(values)}
        rows.append({f"key_{name}": values[name] for name in keys} | new)
    connection.execute(command, rows)


def before(table: str, key: Row, old: Row) -> dict[str, Any]:
    """Return the record of a row as it was before it was replaced."""
    kept = record(table, old)
    return {
        "table_name": table,
        "golfer_id": kept.get("golfer_id", ""),
        "row_key": json.dumps(key_record(table, key), ensure_ascii=False),
        "old": json.dumps(kept, ensure_ascii=False),
    }


def new_row(table: str, key: Row, row: Row) -> dict[str, Any]:
    """Return the record of a row that was not there before: its old value is null."""
    return {
        "table_name": table,
        "golfer_id": record(table, row).get("golfer_id", ""),
        "row_key": json.dumps(key_record(table, key), ensure_ascii=False),
        "old": "null",
    }


def database_frames(url: str) -> dict[str, pd.DataFrame]:
    """Read the tables and views that are called as the club's tables.

    Parameters
    ----------
    url : str
        Database URL (SQLAlchemy).

    Returns
    -------
    dict of str to DataFrame
        Frames by table name; names are compared without capitals.

    Raises
    ------
    InputError
        When the database cannot be read, or none of its tables or views is called so.
    """
    try:
        engine = sa.create_engine(url)
        try:
            with engine.connect() as connection:
                names = sa.inspect(connection)
                found = [*names.get_table_names(), *names.get_view_names()]
                held = {name.lower(): name for name in found if name.lower() in TABLES}
                frames = {
                    name: pd.read_sql_query(
                        sa.select(sa.text("*")).select_from(sa.table(held[name])), connection
                    )
                    for name in TABLES
                    if name in held
                }
        finally:
            engine.dispose()
    except (sa.exc.SQLAlchemyError, ImportError) as error:
        reason = str(getattr(error, "orig", None) or error).splitlines()[0]
        remedy = "check the address; a driver may have to be installed"
        raise InputError(f"the database cannot be read ({reason})", where="database", remedy=remedy) from None
    if not frames:
        remedy = f"make a view called rounds (or {', '.join(name for name in TABLES if name != 'rounds')})"
        raise InputError(
            "no table or view of the database is called as one of ours", where="database", remedy=remedy
        )
    return frames

"""What rows were read from, so that a sheet read in another way replaces its rows and adds none."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import sqlalchemy as sa

from paryield.club import history
from paryield.club.compare import Difference
from paryield.club.contents import Row, key_record, keyed, record, stored_rows, to_rows
from paryield.club.layout import READ_FROM
from paryield.tables import Reading
from paryield.tables.write import LEFT_OUT, SOURCES_FILE, UNMEASURED

REPLACED = ("rounds", "assessments", "practice")
"""Tables whose rows give way to another reading of what they were read from."""
RESULT = ("golfer_id", "assessed_on", "made", "tried", "value", "unit")
"""What two readings of one test have in common where only its name, kind or distance is read otherwise."""

Why = Literal["read", "changed", "alike"]
ALL: tuple[Why, ...] = ("read", "changed", "alike")
Sources = Mapping[str, Mapping[Row, bytes]]
"""Table to the key of a row to what it was read from."""


@dataclass(frozen=True)
class Reread:
    """Rows on record that are read otherwise now.

    ``why`` is ``read`` where they are as they were read, ``changed`` where somebody changed one since, or
    gave it holes or shots, and ``alike`` where nothing is known of what they were read from, but golfer, day
    and result are the same. ``parts`` are the holes and shots, by table.
    """

    table: str
    old: tuple[tuple[Row, Row], ...]
    new: frozenset[Row]
    why: Why
    parts: Mapping[str, Sequence[tuple[Row, Row]]] = field(default_factory=dict)


@dataclass
class _Known:
    """What the club knows of the rows of one table, by source and by key."""

    keys: dict[bytes, list[str]] = field(default_factory=dict)
    held: dict[str, set[bytes]] = field(default_factory=dict)


def sources_of(folder: Path, reading: Reading) -> Sources:
    """Return what the rows of a folder were read from, where a file beside its tables says so.

    A table that was changed since is taken as one that says nothing.
    """
    try:
        told = json.loads((folder / SOURCES_FILE).read_text(encoding="utf-8"))
        files = {one.name: told[one.sha256] for one in reading.files if one.sha256 in told}
        found: dict[str, dict[Row, bytes]] = {}
        for table in REPLACED:
            keys = [key for key, _ in keyed(table, to_rows(table, getattr(reading.tables, table)))]
            places = reading.places[table]
            at = zip(keys, places["file"], places["row"], strict=True)
            found[table] = {
                key: bytes.fromhex(files[str(file)][str(int(row))])
                for key, file, row in at
                if str(int(row)) in files.get(str(file), ())
            }
        return found
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def left_out_of(folder: Path) -> dict[str, int]:
    """Return what was left out when the tables of a folder were made of others: reason to count."""
    return _counted(folder, LEFT_OUT)


def unmeasured_of(folder: Path) -> dict[str, int]:
    """Return what was kept then although nothing is measured by it: reason to count."""
    return _counted(folder, UNMEASURED)


def _counted(folder: Path, what: str) -> dict[str, int]:
    try:
        told = json.loads((folder / SOURCES_FILE).read_text(encoding="utf-8"))[what]
        return {str(reason): int(count) for reason, count in told.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def rereads(
    connection: sa.Connection, differences: Iterable[Difference], reading: Reading, sources: Sources
) -> list[Reread]:
    """Return the rows on record that give way to another reading of what they were read from."""
    found: list[Reread] = []
    for difference in differences:
        told = sources.get(difference.table, {})
        if told and difference.added:
            known = _known(connection, difference.table)
            table = difference.table
            rows = keyed(table, to_rows(table, getattr(reading.tables, table)))
            stored = dict(keyed(table, stored_rows(connection, table)))
            found += _of_table(connection, difference, {key for key, _ in rows}, stored, told, known)
    return found


def _of_table(
    connection: sa.Connection,
    difference: Difference,
    read: set[Row],
    stored: Mapping[Row, Row],
    told: Mapping[Row, bytes],
    known: _Known,
) -> list[Reread]:
    table, found = difference.table, list[Reread]()
    texts = {_text(table, key): key for key in stored}
    new: dict[bytes, set[Row]] = {}
    for key, _ in difference.added:
        if key in told:
            new.setdefault(told[key], set()).add(key)
    taken: set[Row] = set()
    for source, keys in new.items():
        old = {texts[text] for text in known.keys.get(source, ()) if text in texts} - read - taken
        if old:
            taken |= old
            pairs = tuple((key, stored[key]) for key in sorted(old, key=str))
            parts = _parts(connection, old) if table == "rounds" else {}
            changed = any(_mark(table, row) not in known.held[_text(table, key)] for key, row in pairs)
            why: Why = "changed" if changed or parts or len(old) > len(keys) else "read"
            found.append(Reread(table, pairs, frozenset(keys), why, parts))
    if table == "assessments":
        open_ = {key: row for key, row in stored.items() if key not in read | taken}
        unknown = {key: row for key, row in open_.items() if _text(table, key) not in known.held}
        done = {key for one in found for key in one.new}
        added = [pair for pair in difference.added if pair[0] in told and pair[0] not in done]
        found += _alike(connection, added, unknown)
    return found


def _parts(connection: sa.Connection, rounds: Collection[Row]) -> dict[str, list[tuple[Row, Row]]]:
    """Return the holes and shots on record of rounds, by table; a table without any is left out."""
    found = {
        name: [(key, row) for key, row in keyed(name, stored_rows(connection, name)) if key[:3] in rounds]
        for name in ("holes", "shots")
    }
    return {name: rows for name, rows in found.items() if rows}


def by_hand(connection: sa.Connection, table: str, rows: Iterable[tuple[Row, Row]]) -> set[Row]:
    """Return those of some rows on record that somebody logged or changed, and that no sheet was read as."""
    rows = list(rows)
    if not rows:
        return set()
    touched, known = history.by_hand(connection, table), _known(connection, table)
    return {
        key
        for key, row in rows
        if (text := _text(table, key)) in touched and _mark(table, row) not in known.held.get(text, ())
    }


def _alike(
    connection: sa.Connection, added: Iterable[tuple[Row, Row]], unknown: Mapping[Row, Row]
) -> list[Reread]:
    """Return tests of unknown source with golfer, day and result of a new one; one is that of one alone."""
    table = "assessments"
    by_hand = history.by_hand(connection, table)
    old: dict[str, list[tuple[Row, Row]]] = {}
    for key, row in unknown.items():
        if _text(table, key) not in by_hand:
            old.setdefault(_result(row), []).append((key, row))
    new = [(_result(row), key) for key, row in added]
    often = Counter(result for result, _ in new)
    return [
        Reread(table, (old[result][0],), frozenset((key,)), "alike")
        for result, key in new
        if often[result] == 1 and len(old.get(result, ())) == 1
    ]


def remember(connection: sa.Connection, reading: Reading, sources: Sources) -> None:
    """Keep what rows were read from, within the caller's transaction; what is known is not written again."""
    rows: list[dict[str, Any]] = []
    for table, told in sources.items():
        known = _known(connection, table)
        for key, row in keyed(table, to_rows(table, getattr(reading.tables, table))):
            text, mark = _text(table, key), _mark(table, row)
            source = told.get(key)
            if source is None or (text in known.keys.get(source, ()) and mark in known.held[text]):
                continue
            golfer = str(record(table, row)["golfer_id"])
            rows.append(
                {"golfer_id": golfer, "table_name": table, "row_key": text, "source": source, "held": mark}
            )
    if rows:
        last = connection.execute(sa.select(sa.func.max(READ_FROM.c.source_no))).scalar() or 0
        numbered = [{"source_no": number, **row} for number, row in enumerate(rows, int(last) + 1)]
        connection.execute(READ_FROM.insert(), numbered)


def moved_by_hand(connection: sa.Connection, table: str, told: Mapping[Row, bytes]) -> set[Row]:
    """Return the rows read whose former reading somebody moved, or took off the record, by hand."""
    off = history.taken_off(connection, table) if told else frozenset()
    known = _known(connection, table) if off else _Known()
    stored = {_text(table, key) for key, _ in keyed(table, stored_rows(connection, table))} if off else set()
    return {
        key
        for key, source in told.items()
        if any(text in off and text not in stored for text in known.keys.get(source, ()))
    }


def _known(connection: sa.Connection, table: str) -> _Known:
    found = _Known()
    query = sa.select(READ_FROM).where(READ_FROM.c.table_name == table).order_by(READ_FROM.c.source_no)
    for row in connection.execute(query):
        found.keys.setdefault(bytes(row.source), []).append(row.row_key)
        found.held.setdefault(row.row_key, set()).add(bytes(row.held))
    return found


def _text(table: str, key: Row) -> str:
    return json.dumps(key_record(table, key), ensure_ascii=False)


def _mark(table: str, row: Row) -> bytes:
    text = json.dumps(record(table, row), sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).digest()


def _result(row: Row) -> str:
    held = record("assessments", row)
    return json.dumps([held.get(name) for name in RESULT])

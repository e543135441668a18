"""Single rows: logged, and edited after a look; no edit overwrites what it has not seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa

from paryield.club import history, layout
from paryield.club.compare import Difference, shown
from paryield.club.contents import BLANK_KEY, Row, digest, key_record, keyed, read_tables, record, to_rows
from paryield.club.engine import sound
from paryield.club.imports import ImportRefused, before, insert, new_row, update
from paryield.club.layout import CLUB_TABLES
from paryield.days import date_of
from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables import TABLES, read_row
from paryield.tables.cells import CellReader

COUNTERS = ("round_no", "entry_no", "strike_no")
SCORES = ("adjusted_gross_score", "score_differential")


class SameRound(InputError):
    """A round with the score of another one of the same golfer and day; ``number`` is free for it."""

    def __init__(self, message: str, *, where: str, number: int) -> None:
        remedy = f"leave it, or give it round_no {number} if he played twice"
        super().__init__(message, where=where, remedy=remedy)
        self.number = number


@dataclass(frozen=True)
class Stored:
    """One row as the club holds it.

    Parameters
    ----------
    table : str
        Name of the table.
    values : dict
        Values by column, blanks left out; dates as ISO text.
    seen : str
        Fingerprint of the row: an edit that gives it back is refused when the row changed meanwhile.
    """

    table: str
    values: dict[str, Any]
    seen: str


@dataclass(frozen=True)
class Edit:
    """What one log or edit did: its number for undoing, the row now, and warnings."""

    number: int
    table: str
    golfer_id: str | None
    row: Stored
    problems: tuple[Problem, ...] = ()


def stored(table: str, row: Row) -> Stored:
    """Return a row with its fingerprint."""
    return Stored(table, record(table, row), digest({table: [row]}, ""))


def find(connection: sa.Connection, table: str, key: Row) -> Row | None:
    """Return the row of a key (blank parts as stored), None where there is none."""
    where = CLUB_TABLES[table]
    query = layout.rows_of(table).where(
        *(where.c[n] == v for n, v in zip(layout.keys(table), key, strict=True))
    )
    found = connection.execute(query).first()
    if found is None:
        return None
    return blanked(table, tuple(found))


def blanked(table: str, row: Row) -> Row:
    """Return a row as it is stored with the blanks of its key as None."""
    blanks = {name: BLANK_KEY[layout.dtypes(table)[name]] for name in layout.keys(table)}
    return tuple(
        None if name in blanks and value == blanks[name] else value
        for name, value in zip(layout.dtypes(table), row, strict=True)
    )


def log(
    connection: sa.Connection, table: str, cells: Mapping[str, str], *, today: date | None, where: str
) -> Edit:
    """Store one new row given as text; a number left blank (round, entry) is the next free one.

    Raises
    ------
    ImportRefused
        When a cell has an error, or the club holds a row of this key.
    SameRound
        When a round without a number has the score of one that the club holds of that day: it is asked about.
    """
    key, row, problems = checked(connection, table, cells, today, where)
    held = find(connection, table, key)
    if held is not None and table in TABLES and layout.keys(table)[-1] in COUNTERS:
        name = layout.keys(table)[-1]
        if not cells.get(name, "").strip():
            number = next_free(connection, table, key)
            if table == "rounds":
                _asked_about(connection, key, row, number, where)
            return log(connection, table, {**cells, name: str(number)}, today=today, where=where)
    if held is not None:
        raise InputError(
            f"the club already holds a row for {spelt(table, key)}",
            where=where,
            remedy="change that row, or give this one another number",
        )
    insert(connection, Difference(table, ((key, row),), 0, ()))
    return done(connection, table, key, None, row, problems)


def _asked_about(connection: sa.Connection, key: Row, row: Row, number: int, where: str) -> None:
    """Ask whether a round is one that is on record already: same golfer, day, course and score."""
    given = record("rounds", row)
    rounds = CLUB_TABLES["rounds"]
    same = [rounds.c[name] == value for name, value in zip(layout.keys("rounds")[:-1], key[:-1], strict=True)]
    for held in connection.execute(layout.rows_of("rounds").where(*same)):
        known = record("rounds", tuple(held))
        if known.get("course") != given.get("course"):
            continue
        if any(name in given and given[name] == known.get(name) for name in SCORES):
            raise SameRound(
                f"round {known['round_no']} of that day has the same score: is it the same round?",
                where=where,
                number=number,
            )


def edit(
    connection: sa.Connection,
    table: str,
    cells: Mapping[str, str],
    seen: str,
    *,
    today: date | None,
    where: str,
) -> Edit:
    """Replace a row that the caller has looked at.

    Raises
    ------
    ImportRefused
        When a cell has an error.
    InputError
        When the row is gone or was changed since the caller looked at it.
    """
    key, row, problems = checked(connection, table, cells, today, where)
    held = unchanged(connection, table, key, seen, where)
    if held == row:
        raise InputError("nothing was changed", where=where, remedy="change a value, or leave it")
    update(connection, Difference(table, (), 0, ((key, held, row, 0),)))
    return done(connection, table, key, held, row, problems)


def unchanged(connection: sa.Connection, table: str, key: Row, seen: str, where: str) -> Row:
    """Return a row that the caller has looked at, as it still is.

    Raises
    ------
    InputError
        When the row is gone or was changed since.
    """
    held = find(connection, table, key)
    if held is None:
        raise InputError(f"{spelt(table, key)} is gone", where=where, remedy="look again")
    if stored(table, held).seen != seen:
        raise InputError(
            f"{spelt(table, key)} was changed by somebody else since you looked; nothing was stored",
            where=where,
            remedy=f"look again: it now holds {listed(table, held)}",
        )
    return held


def checked(
    connection: sa.Connection, table: str, cells: Mapping[str, str], today: date | None, where: str
) -> tuple[Row, Row, tuple[Problem, ...]]:
    """Return key, row and warnings of one row of text."""
    if table not in TABLES or table == "golfers":
        raise InputError(
            f"single rows of {table!r} are not stored here", where=where, remedy="import a folder"
        )
    golfer = CellReader(TABLES[table].column("golfer_id"), date.max).value(cells.get("golfer_id", ""))
    with sound(where):
        known = read_tables(connection, golfer if isinstance(golfer, str) else "")
    reading = read_row(table, cells, table, today=today, known=known)
    rows = to_rows(table, getattr(reading.tables, table))
    if reading.errors or len(rows) != 1:
        raise ImportRefused(reading.problems, where=where)
    [(key, row)] = keyed(table, rows)
    return key, row, reading.problems


def key_of_text(table: str, cells: Mapping[str, str], where: str) -> Row:
    """Return the key of a row given as text; other cells do not matter."""
    if table not in TABLES:
        raise InputError(
            f"there is no table {table!r}", where=where, remedy=f"name one of {', '.join(TABLES)}"
        )
    values = []
    for name in layout.keys(table):
        reader = CellReader(TABLES[table].column(name), date.max)
        value = reader.value(cells.get(name, ""))
        if reader.faults:
            fault = next(iter(reader.faults.values()))
            raise InputError(f"{name} {fault.message}", where=f"{where}, {table}", remedy=fault.remedy)
        values.append(plain_value(value, layout.dtypes(table)[name]))
    return tuple(values)


def plain_value(value: Any, dtype: str) -> Any:
    """Return the value of a cell as the club stores it in a key, blanks filled."""
    if value is None or value != value:
        return BLANK_KEY[dtype]
    if dtype == "datetime64[ns]":
        return date_of(value)
    return int(value) if dtype == "Int64" else value


def next_free(connection: sa.Connection, table: str, key: Row) -> int:
    """Return the number after the highest of the same golfer, day and category."""
    where, names = CLUB_TABLES[table], layout.keys(table)
    same = (where.c[name] == value for name, value in zip(names[:-1], key[:-1], strict=True))
    return int(connection.execute(sa.select(sa.func.max(where.c[names[-1]])).where(*same)).scalar() or 0) + 1


def done(
    connection: sa.Connection,
    table: str,
    key: Row,
    old: Row | None,
    row: Row,
    problems: tuple[Problem, ...],
) -> Edit:
    """Write one row to the history, so that it can be taken back, and return what was done."""
    kept = new_row(table, key, row) if old is None else before(table, key, old)
    counts = (1, 0, 0) if old is None else (0, 0, 1)
    number = history.record(connection, (), {table: counts}, [kept], "log" if old is None else "edit")
    return Edit(number, table, key_record(table, key).get("golfer_id"), stored(table, row), problems)


def spelt(table: str, key: Row) -> str:
    """Return table and key as words."""
    return f"{table} {', '.join(str(value) for value in key_record(table, key).values())}"


def listed(table: str, row: Row) -> str:
    """Return the values of a row outside its key as words."""
    others = {name: value for name, value in record(table, row).items() if name not in layout.keys(table)}
    return ", ".join(f"{name} {shown(value)}" for name, value in others.items()) or "nothing"

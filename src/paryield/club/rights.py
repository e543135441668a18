"""What a person may ask for beside the rows of the tables: earlier values, draws, and who saw what."""

from __future__ import annotations

import json
from typing import Any

import pandas as pd
import sqlalchemy as sa

from paryield.club import designs, erase, people, registers
from paryield.club.layout import IMPORTS, REPLACED_ROWS, RUNS


def about(connection: sa.Connection, golfer_id: str) -> dict[str, Any]:
    """Return all that the club keeps of a golfer outside the tables.

    Returns
    -------
    dict
        golfer_id, earlier_values (at, source, table, key, old), runs (numbers of the fits that hold draws
        of the golfer), seasons (his order of emphases and what it was drawn from), accounts (person_id,
        role, added_at, and of the golfer's own account the name: who may see the record by its own account
        or as guardian) and trail (at, who, action, what).
    """
    seen = trail(connection, golfer_id, "").to_dict("records")
    return {
        "golfer_id": golfer_id,
        "earlier_values": earlier(connection, golfer_id),
        "runs": held_runs(connection, golfer_id),
        "seasons": designs.of_golfer(connection, golfer_id),
        "accounts": accounts(connection, golfer_id),
        "trail": [{name: line[name] for name in ("at", "who", "action", "what")} for line in seen],
    }


def accounts(connection: sa.Connection, golfer_id: str) -> list[dict[str, Any]]:
    """Return the accounts that are there for this golfer alone; a guardian's name is the guardian's."""
    found = []
    for person in people.read(connection, people.PEOPLE.c.role.in_(people.OF_ONE)):
        if golfer_id in person.golfers:
            name = {"name": person.name} if person.role == people.PLAYER else {}
            about = {"person_id": person.person_id, "role": person.role, "added_at": person.added_at}
            found.append(about | name)
    return found


def earlier(connection: sa.Connection, golfer_id: str) -> list[dict[str, Any]]:
    """Return the earlier values of the golfer's rows, oldest first."""
    query = (
        sa.select(REPLACED_ROWS, IMPORTS.c.imported_at, IMPORTS.c.source)
        .join(IMPORTS, IMPORTS.c.import_no == REPLACED_ROWS.c.import_no)
        .where(REPLACED_ROWS.c.golfer_id == golfer_id)
        .order_by(REPLACED_ROWS.c.import_no, REPLACED_ROWS.c.row_no)
    )
    return [
        {
            "at": row["imported_at"],
            "source": row["source"] or "folder",
            "table": row["table_name"],
            "key": json.loads(row["row_key"]),
            "old": json.loads(row["old"]),
        }
        for row in connection.execute(query).mappings()
    ]


def held_runs(connection: sa.Connection, golfer_id: str) -> list[int]:
    """Return the numbers of the runs whose draws hold the golfer."""
    query = sa.select(RUNS.c.run_no, RUNS.c.facts).where(RUNS.c.payload.is_not(None)).order_by(RUNS.c.run_no)
    found = []
    for number, text in connection.execute(query).all():
        golfers = json.loads(text).get("golfers")
        if not isinstance(golfers, list) or golfer_id in golfers:
            found.append(int(number))
    return found


def trail(connection: sa.Connection, golfer_id: str | None, where: str) -> pd.DataFrame:
    """Return the audit trail of the club, or of one golfer."""
    if golfer_id is None:
        return registers.trail(connection)
    erase.known(connection, golfer_id, where)
    query = sa.select(registers.MARKS.c.mark).where(registers.MARKS.c.golfer_id == golfer_id)
    mark = connection.execute(query).scalar()
    return registers.trail(connection, mark or "")

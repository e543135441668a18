"""Everything out again as a folder of tables, and beside it all that a person may ask for."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Literal, cast, get_args

import pandas as pd
import sqlalchemy as sa

from paryield import private
from paryield.club import designs, erase, people, registers
from paryield.club.layout import IMPORTS, REPLACED_ROWS, RUNS
from paryield.errors import InputError
from paryield.tables import Tables, make_tables, write_folder

Format = Literal["csv", "xlsx"]


def of_golfer(tables: Tables, golfer_id: str) -> Tables:
    """Return all that the club holds of one golfer; calendar rows of the whole club are not his."""
    frames = {name: frame[frame["golfer_id"] == golfer_id] for name, frame in tables.items()}
    return make_tables(frames, categories=tables.categories, settings=tables.settings)


def write_extra(folder: Path, name: str, content: Any) -> Path:
    """Write what is no table beside the tables, as one JSON document."""
    path = folder / name
    private.write(path, json.dumps(content, ensure_ascii=False, indent=1) + "\n")
    return path


def export(tables: Tables, folder: Path, fmt: str) -> list[Path]:
    """Write all tables into a new or empty folder.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        When the format is unknown, the folder holds something, or it cannot be written.
    """
    where = str(folder)
    if fmt not in get_args(Format):
        raise InputError(f"there is no format {fmt!r}", where=where, remedy="use csv or xlsx")
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("this is a file, not a folder", where=where, remedy="name a new folder")
        if folder.is_dir() and any(folder.iterdir()):
            raise InputError("the folder is not empty", where=where, remedy="name a new or empty folder")
        private.make_folder(folder)
        return write_folder(tables, folder, cast(Format, fmt))
    except OSError as error:
        raise InputError(
            f"the folder cannot be written ({error.strerror or error})",
            where=where,
            remedy="check that it may be written and has space",
        ) from error


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

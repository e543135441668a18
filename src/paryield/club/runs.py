"""Versioned model runs: what was stored, when, and whether it may still be used."""

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

import pandas as pd
import sqlalchemy as sa

from paryield.club import layout, registers
from paryield.club.layout import RUNS, askable, now
from paryield.errors import InputError


def save(connection: sa.Connection, payload: bytes, facts: dict[str, Any]) -> int:
    """Store a run and return its number, one more than the last."""
    last = connection.execute(sa.select(sa.func.max(RUNS.c.run_no))).scalar()
    number = int(last or 0) + 1
    row = {
        "run_no": number,
        "saved_at": now(),
        "facts": json.dumps(facts, sort_keys=True, ensure_ascii=False),
        "payload": payload,
        "stale": False,
    }
    connection.execute(RUNS.insert(), [row])
    return number


def check_whole(connection: sa.Connection, facts: dict[str, Any], erased: int | None, where: str) -> None:
    """Refuse a run that would bring back a person who was erased while it was made.

    Raises
    ------
    InputError
        When somebody was erased since ``erased`` people were, or a golfer of the run is not in the club.
    """
    golfers = layout.CLUB_TABLES["golfers"].c.golfer_id
    held = set(connection.execute(sa.select(golfers)).scalars())
    listed = facts.get("golfers")
    gone = isinstance(listed, list) and bool(set(map(str, listed)) - held)
    if gone or (erased is not None and registers.erased(connection) != erased):
        raise InputError(
            "somebody was erased while this fit ran; it was not stored, because it holds that person",
            where=where,
            remedy="fit again",
        )


def latest(connection: sa.Connection) -> tuple[int, dict[str, Any], bytes] | None:
    """Return number, facts and payload of the newest run that is not stale."""
    query = sa.select(sa.func.max(RUNS.c.run_no)).where(sa.not_(RUNS.c.stale))
    number = connection.execute(query).scalar()
    return None if number is None else load(connection, int(number), "")


def load(connection: sa.Connection, number: int, where: str) -> tuple[int, dict[str, Any], bytes]:
    """Return number, facts and payload of one run.

    Raises
    ------
    InputError
        When there is no such run, or its draws went with an erased golfer.
    """
    query = sa.select(RUNS).where(RUNS.c.run_no == askable(number))
    row = connection.execute(query).mappings().first()
    if row is None:
        numbers = connection.execute(sa.select(RUNS.c.run_no).order_by(RUNS.c.run_no)).scalars().all()
        have = ", ".join(map(str, numbers)) or "none yet"
        raise InputError(f"there is no run {number}", where=where, remedy=f"stored runs: {have}")
    if row["payload"] is None:
        raise InputError(
            f"the draws of run {number} went with an erased golfer",
            where=where,
            remedy="fit again",
        )
    return number, json.loads(row["facts"]), bytes(row["payload"])


def listing(connection: sa.Connection) -> pd.DataFrame:
    """Return one row per run, oldest first, without the payloads.

    Returns
    -------
    DataFrame
        run_no, saved_at (UTC, ISO), stale, payload_bytes (0 where removed) and facts (JSON text).
    """
    size = sa.func.coalesce(sa.func.length(RUNS.c.payload), 0)
    query = sa.select(RUNS.c.run_no, RUNS.c.saved_at, RUNS.c.stale, size, RUNS.c.facts).order_by(
        RUNS.c.run_no
    )
    columns = ["run_no", "saved_at", "stale", "payload_bytes", "facts"]
    return pd.DataFrame([tuple(row) for row in connection.execute(query)], columns=columns)


def make_stale(connection: sa.Connection, golfer_id: str) -> tuple[int, ...]:
    """Take the payload from every run that contains the golfer and his traces from its facts.

    A run whose facts hold a list ``golfers`` contains those; any other run is taken to contain all.

    Returns
    -------
    tuple of int
        Numbers of the runs that became stale.
    """
    numbers = []
    query = sa.select(RUNS.c.run_no, RUNS.c.facts).order_by(RUNS.c.run_no)
    for number, text in connection.execute(query).all():
        facts = json.loads(text)
        golfers = facts.get("golfers")
        if isinstance(golfers, list) and golfer_id not in golfers:
            continue
        scrubbed = json.dumps(without(facts, golfer_id), sort_keys=True, ensure_ascii=False)
        change = RUNS.update().where(RUNS.c.run_no == number)
        connection.execute(change.values(payload=None, stale=True, facts=scrubbed))
        numbers.append(int(number))
    return tuple(numbers)


def without(value: Any, golfer_id: str) -> Any:
    """Drop every entry of a JSON value that names the golfer."""
    if isinstance(value, dict):
        kept = {k: v for k, v in value.items() if not names(k, golfer_id) and not names(v, golfer_id)}
        return {key: without(item, golfer_id) for key, item in kept.items()}
    if isinstance(value, list):
        records = [item for item in value if not (isinstance(item, dict) and holds(item, golfer_id))]
        return [without(item, golfer_id) for item in records if not names(item, golfer_id)]
    return value


def names(value: Any, golfer_id: str) -> bool:
    """Tell whether a text is the golfer's id or holds it as a whole word."""
    if not isinstance(value, str) or golfer_id not in value:
        return False
    parts = value.split(golfer_id)
    for before, after in pairwise(parts):
        inside = (before[-1:].isalnum() and golfer_id[0].isalnum()) or (
            after[:1].isalnum() and golfer_id[-1].isalnum()
        )
        if not inside:
            return True
    return False


def holds(record: dict[str, Any], golfer_id: str) -> bool:
    """Tell whether one of the record's values is a text that names the golfer."""
    return any(names(value, golfer_id) for value in record.values())

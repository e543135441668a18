"""What was drawn by lot, seasons and places, as it was drawn: so that it can be drawn again.

What belongs to a member stands in a row of its own and goes with him when he is erased; the rest names
nobody.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from paryield.club.layout import CLUB_TABLES, METADATA, askable, now
from paryield.club.registers import next_number
from paryield.errors import InputError

if TYPE_CHECKING:
    from paryield.tables import Tables

SEASON = "season"

DESIGNS = sa.Table(
    "designs",
    METADATA,
    sa.Column("design_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("made_at", sa.Text(), nullable=False),
    sa.Column("plan", sa.Text(), nullable=False),
    sa.Column("facts", sa.Text(), nullable=False),
)
"""``plan`` names its rows in the table of plans; ``facts`` is JSON: seed, blocks, what was promised."""

DESIGN_MEMBERS = sa.Table(
    "design_members",
    METADATA,
    sa.Column("design_no", sa.Integer(), sa.ForeignKey("designs.design_no"), primary_key=True),
    sa.Column("place", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("golfer_id", sa.Text(), sa.ForeignKey("golfers.golfer_id"), nullable=False),
    sa.Column("facts", sa.Text(), nullable=False),
)
"""``place`` is the member's place in the drawing."""


@dataclass(frozen=True)
class StoredDesign:
    """A season on record.

    Parameters
    ----------
    number : int
    made_at : str
        UTC, ISO.
    plan : str
        Name of its plans.
    facts : dict
    members : tuple of (place, golfer_id, facts)
    """

    number: int
    made_at: str
    plan: str
    facts: dict[str, Any]
    members: tuple[tuple[int, str, dict[str, Any]], ...]


def add(
    connection: sa.Connection,
    plan: str,
    facts: Mapping[str, Any],
    members: Sequence[tuple[str, Mapping[str, Any]]],
    tables: Tables,
    where: str,
) -> tuple[int, int | None]:
    """Store a design and its plans within the caller's transaction.

    Returns
    -------
    (int, int or None)
        Number of the design, and of the change that its plans are in the history; None without plans.

    Raises
    ------
    InputError
        When the club already holds a plan of this name for one of the members.
    """
    # Late: they load pandas, and who signs in waits for no table.
    from paryield.club import history, imports
    from paryield.club.compare import compare
    from paryield.club.contents import stored_rows, to_rows

    rows = to_rows("plans", tables.plans)
    difference = compare("plans", stored_rows(connection, "plans"), rows)
    if difference.updates or difference.skipped:
        raise InputError(
            f"the club already holds plans called {plan!r}",
            where=where,
            remedy="start on another day, or take that season back first (paryield undo, or the desk)",
        )
    change = None
    if difference.added:
        imports.insert(connection, difference)
        kept = [imports.new_row("plans", key, row) for key, row in difference.added]
        change = history.record(connection, (), {"plans": (len(rows), 0, 0)}, kept, "season")
    number = next_number(connection, DESIGNS.c.design_no)
    stored = {"design_no": number, "made_at": now(), "plan": plan, "facts": json.dumps(facts, sort_keys=True)}
    connection.execute(DESIGNS.insert(), [stored])
    connection.execute(
        DESIGN_MEMBERS.insert(),
        [
            {
                "design_no": number,
                "place": place,
                "golfer_id": golfer,
                "facts": json.dumps(own, sort_keys=True),
            }
            for place, (golfer, own) in enumerate(members)
        ],
    )
    return number, change


def forget(connection: sa.Connection, plans: Iterable[str]) -> None:
    """Remove the designs that stood behind plans of which no row is left."""
    held = CLUB_TABLES["plans"]
    for plan in plans:
        if connection.execute(sa.select(held.c.plan).where(held.c.plan == plan).limit(1)).first() is None:
            own = sa.select(DESIGNS.c.design_no).where(DESIGNS.c.plan == plan)
            connection.execute(DESIGN_MEMBERS.delete().where(DESIGN_MEMBERS.c.design_no.in_(own)))
            connection.execute(DESIGNS.delete().where(DESIGNS.c.plan == plan))


def numbers(connection: sa.Connection, kind: str) -> list[int]:
    """Return the numbers of all designs of a kind, oldest first."""
    query = sa.select(DESIGNS.c.design_no, DESIGNS.c.facts).order_by(DESIGNS.c.design_no)
    return [int(number) for number, text in connection.execute(query) if kind_of(json.loads(text)) == kind]


def kind_of(facts: Mapping[str, Any]) -> str:
    """Return what was drawn by lot: the orders of a season, or the places of a programme."""
    return str(facts.get("kind", SEASON))


def read(connection: sa.Connection, number: int | None, where: str) -> StoredDesign:
    """Return one design, the newest season where no number is given.

    Raises
    ------
    InputError
        When there is none.
    """
    seasons = numbers(connection, SEASON)
    asked = askable(number) if number is not None else seasons[-1] if seasons else 0
    row = connection.execute(sa.select(DESIGNS).where(DESIGNS.c.design_no == asked)).mappings().first()
    if row is None:
        raise InputError(
            "no season is on record", where=where, remedy="lay one out with paryield block CLUB --start DATE"
        )
    query = (
        sa.select(DESIGN_MEMBERS)
        .where(DESIGN_MEMBERS.c.design_no == row["design_no"])
        .order_by(DESIGN_MEMBERS.c.place)
    )
    members = tuple(
        (int(one["place"]), str(one["golfer_id"]), json.loads(one["facts"]))
        for one in connection.execute(query).mappings()
    )
    return StoredDesign(int(row["design_no"]), row["made_at"], row["plan"], json.loads(row["facts"]), members)


def of_golfer(connection: sa.Connection, golfer_id: str) -> list[dict[str, Any]]:
    """Return what designs hold of one golfer, oldest first."""
    query = (
        sa.select(DESIGN_MEMBERS, DESIGNS.c.plan)
        .join(DESIGNS, DESIGNS.c.design_no == DESIGN_MEMBERS.c.design_no)
        .where(DESIGN_MEMBERS.c.golfer_id == golfer_id)
        .order_by(DESIGN_MEMBERS.c.design_no)
    )
    return [{"plan": row["plan"], **json.loads(row["facts"])} for row in connection.execute(query).mappings()]

"""What the club keeps about itself: copies that left it, and who saw and changed what.

None of it holds a name or a score. A golfer stands in it under a random mark, and erasing the golfer
removes the mark's meaning.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from typing import TYPE_CHECKING

import sqlalchemy as sa

from paryield.club.layout import METADATA, now
from paryield.tables.schema import GOAL

if TYPE_CHECKING:
    import pandas as pd

    from paryield.club.imports import ImportReceipt
    from paryield.tables import Tables

COPIES = sa.Table(
    "copies",
    METADATA,
    sa.Column("copy_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("kind", sa.Text(), nullable=False),
    sa.Column("path", sa.Text(), nullable=False),
    sa.Column("made_at", sa.Text(), nullable=False),
)

AUDIT = sa.Table(
    "audit",
    METADATA,
    sa.Column("audit_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("at", sa.Text(), nullable=False),
    sa.Column("who", sa.Text(), nullable=False),
    sa.Column("action", sa.Text(), nullable=False),
    sa.Column("what", sa.Text(), nullable=False),
    sa.Column("mark", sa.Text()),
)

MARKS = sa.Table(
    "marks",
    METADATA,
    sa.Column("golfer_id", sa.Text(), primary_key=True),
    sa.Column("mark", sa.Text(), nullable=False, unique=True),
)

SAW, ERASED = "saw", "erased"
MOST_SEEN = 100_000
"""Lines that say who looked at what, about 10 MB; older ones are dropped. Lines about changes are kept."""

PRUNED_EVERY = 1000

AUDIT_COLUMNS = ["audit_no", "at", "who", "action", "what", "mark"]
COPY_COLUMNS = ["copy_no", "kind", "path", "made_at"]


def next_number(connection: sa.Connection, column: sa.Column[int]) -> int:
    """Return one more than the highest number so far; clocks may jump, numbers do not."""
    return int(connection.execute(sa.select(sa.func.max(column))).scalar() or 0) + 1


def mark_of(connection: sa.Connection, golfer_id: str) -> str:
    """Return the random mark of a golfer, made when first asked for."""
    found = connection.execute(sa.select(MARKS.c.mark).where(MARKS.c.golfer_id == golfer_id)).scalar()
    if found is None:
        found = secrets.token_hex(8)
        connection.execute(MARKS.insert(), [{"golfer_id": golfer_id, "mark": found}])
    return str(found)


def golfer_of(connection: sa.Connection, mark: str) -> str | None:
    """Return the golfer of a mark, None where it has none any more."""
    return connection.execute(sa.select(MARKS.c.golfer_id).where(MARKS.c.mark == mark)).scalar()


def note(
    connection: sa.Connection, who: str, action: str, what: str, golfers: Iterable[str | None] = (None,)
) -> None:
    """Write one line of the audit trail for each golfer, or one for the whole club.

    Parameters
    ----------
    who : str
        ``command line``, or the number of the person signed in; never a name.
    action : str
        Such as seen, imported, logged, edited, exported, backed up, erased.
    what : str
        Table or page; never a value.
    golfers : iterable of str or None
        Whose data.
    """
    number = next_number(connection, AUDIT.c.audit_no)
    lines = [
        {
            "audit_no": number + place,
            "at": now(),
            "who": who,
            "action": action,
            "what": what,
            "mark": None if golfer is None else mark_of(connection, golfer),
        }
        for place, golfer in enumerate(golfers)
    ]
    if lines:
        connection.execute(AUDIT.insert(), lines)


def note_import(
    connection: sa.Connection, who: str, receipt: ImportReceipt, entered: Tables | None, what: str
) -> None:
    """Write down what was brought in, as ``what``, or what was entered by hand, golfer by golfer."""
    moved: dict[tuple[str, str], set[str]] = {}
    for one in receipt.replaced:
        moved.setdefault((one.table, str(one.key.get("golfer_id", ""))), set()).add(one.column)
    if entered is None:
        note(connection, who, "imported", what)
        for table, golfer in sorted(moved):
            note(connection, who, "replaced", table, [golfer or None])
        return
    held = {
        (name, str(golfer))
        for name, frame in entered.items()
        for golfer in frame["golfer_id"].dropna().unique()
    }
    for table, golfer in sorted(held | moved.keys()):
        columns = moved.get((table, golfer))
        goal = table == "golfers" and columns is not None and columns <= set(GOAL)
        action = "logged" if columns is None else "edited"
        note(connection, who, action, "goal" if goal else table, [golfer or None])


def saw(connection: sa.Connection, who: str, what: str, golfers: Iterable[str | None]) -> None:
    """Write one line for each golfer whose data were looked at; now and then drop the oldest such lines."""
    before = next_number(connection, AUDIT.c.audit_no)
    note(connection, who, SAW, what, golfers)
    after = next_number(connection, AUDIT.c.audit_no)
    if before // PRUNED_EVERY != after // PRUNED_EVERY:
        prune(connection, MOST_SEEN)


def prune(connection: sa.Connection, most: int) -> int:
    """Drop all but the newest lines that say who looked at what; return how many went."""
    seen = AUDIT.c.action == SAW
    query = sa.select(AUDIT.c.audit_no).where(seen).order_by(AUDIT.c.audit_no.desc()).offset(most).limit(1)
    last = connection.execute(query).scalar()
    if last is None:
        return 0
    return connection.execute(AUDIT.delete().where(seen, AUDIT.c.audit_no <= last)).rowcount


def trail(connection: sa.Connection, mark: str | None = None) -> pd.DataFrame:
    """Return the audit trail, oldest first, of one mark or of the whole club."""
    query = sa.select(*(AUDIT.c[name] for name in AUDIT_COLUMNS)).order_by(AUDIT.c.audit_no)
    if mark is not None:
        query = query.where(AUDIT.c.mark == mark)
    import pandas as pd

    return pd.DataFrame([tuple(row) for row in connection.execute(query)], columns=AUDIT_COLUMNS)


def erased(connection: sa.Connection) -> int:
    """Return how many people were erased so far; lines about changes are never dropped."""
    count = sa.select(sa.func.count()).select_from(AUDIT).where(AUDIT.c.action == ERASED)
    return int(connection.execute(count).scalar() or 0)


def add_copy(connection: sa.Connection, kind: str, path: str) -> None:
    """Note that data of the club went to a place outside: a backup, an export or a report."""
    held = sa.select(COPIES.c.copy_no).where(COPIES.c.kind == kind, COPIES.c.path == path)
    if connection.execute(held).first() is None:
        number = next_number(connection, COPIES.c.copy_no)
        row = {"copy_no": number, "kind": kind, "path": path, "made_at": now()}
        connection.execute(COPIES.insert(), [row])


def remove_copy(connection: sa.Connection, kind: str, path: str) -> None:
    """Forget a copy that was not made."""
    connection.execute(COPIES.delete().where(COPIES.c.kind == kind, COPIES.c.path == path))


def copies(connection: sa.Connection) -> pd.DataFrame:
    """Return the copies that are known, oldest first: copy_no, kind, path, made_at (UTC, ISO)."""
    query = sa.select(*(COPIES.c[name] for name in COPY_COLUMNS)).order_by(COPIES.c.copy_no)
    import pandas as pd

    return pd.DataFrame([tuple(row) for row in connection.execute(query)], columns=COPY_COLUMNS)

"""Who may sign in: name, role, whose records, and what is stored of the password; and who is signed in.

Names are personal data and stand in ``people`` alone. The audit trail and sessions know a person by a
random number. Passwords and session tokens are stored hashed, as bytes.
"""

from __future__ import annotations

import difflib
import secrets
import unicodedata
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa

from paryield.club import layout
from paryield.club.layout import METADATA, now
from paryield.errors import InputError
from paryield.units import counted

COACH, PLAYER, GUARDIAN = "coach", "player", "guardian"
MANAGER, THERAPIST, ADMINISTRATOR = "manager", "therapist", "administrator"
ROLES = (COACH, PLAYER, GUARDIAN, MANAGER, THERAPIST, ADMINISTRATOR)
OF_ONE = (PLAYER, GUARDIAN)
OF_NONE = (MANAGER, ADMINISTRATOR)

LONGEST_NAME = 100

MAJORITY = 18
"""Age at which a guardian's access ends (the age of majority in most countries; the club may end it
earlier by removing the person)."""

PEOPLE = sa.Table(
    "people",
    METADATA,
    sa.Column("person_id", sa.Text(), primary_key=True),
    sa.Column("name", sa.Text(), nullable=False),
    sa.Column("sign_in", sa.Text(), nullable=False, unique=True),
    sa.Column("role", sa.Text(), nullable=False),
    sa.Column("every_golfer", sa.Boolean(), nullable=False),
    sa.Column("password", sa.LargeBinary(), nullable=False),
    sa.Column("must_change", sa.Boolean(), nullable=False),
    sa.Column("password_until", sa.BigInteger()),
    sa.Column("added_at", sa.Text(), nullable=False),
)
"""``sign_in`` is the name as it is compared; ``password_until`` (seconds since 1970) ends a one-time
password."""

PEOPLE_GOLFERS = sa.Table(
    "people_golfers",
    METADATA,
    sa.Column("person_id", sa.Text(), sa.ForeignKey("people.person_id"), primary_key=True),
    sa.Column("golfer_id", sa.Text(), primary_key=True),
)
"""Whose records a person may see; removed with the golfer."""

SESSIONS = sa.Table(
    "sessions",
    METADATA,
    sa.Column("session_id", sa.Text(), primary_key=True),
    sa.Column("token", sa.LargeBinary(), nullable=False, unique=True),
    sa.Column("person_id", sa.Text(), sa.ForeignKey("people.person_id"), nullable=False),
    sa.Column("begun_at", sa.BigInteger(), nullable=False),
    sa.Column("seen_at", sa.BigInteger(), nullable=False),
)
"""``token`` is the SHA-256 of what the cookie holds; times are seconds since 1970."""


@dataclass(frozen=True)
class Person:
    """Somebody who may sign in.

    Parameters
    ----------
    person_id : str
        Random; under it the person stands in the audit trail.
    name : str
        What he signs in with; capitals and spaces around it do not matter.
    role : str
        One of :data:`ROLES`.
    golfers : tuple of str
        Ids of the golfers whose records he may see; with ``every_golfer`` all.
    must_change : bool
        The password is a one-time password.
    added_at : str
        UTC, ISO.
    """

    person_id: str
    name: str
    role: str
    golfers: tuple[str, ...]
    every_golfer: bool
    must_change: bool
    added_at: str

    def __post_init__(self) -> None:
        if self.role not in ROLES:
            raise ValueError(f"role must be one of {ROLES}, found {self.role!r}")
        if self.every_golfer and self.role in OF_ONE + OF_NONE:
            raise ValueError(f"a {self.role} does not reach every golfer")

    @property
    def who(self) -> str:
        """How the audit trail calls the person."""
        return f"person {self.person_id}"

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``people`` command."""
        golfers = "all" if self.every_golfer else list(self.golfers)
        return {
            "person_id": self.person_id,
            "name": self.name,
            "role": self.role,
            "golfers": golfers,
            "must_change": self.must_change,
            "added_at": self.added_at,
        }


def clean_name(name: str) -> str:
    """Return a name in one spelling.

    Raises
    ------
    InputError
        When it is blank, too long, or holds characters that are not shown.
    """
    shown = " ".join(unicodedata.normalize("NFC", name).split())
    hidden = any(unicodedata.category(letter)[0] == "C" for letter in shown)
    if not shown or len(shown) > LONGEST_NAME or hidden:
        found = "characters that are not shown" if hidden else f"{len(shown)} characters"
        raise InputError(
            f"this cannot be a person's name: it has {found}",
            where="name",
            remedy=f"give 1 to {LONGEST_NAME} letters",
        )
    return shown


def key_of(name: str) -> str:
    """Return a name as it is compared: capitals, width of letters and spaces do not matter."""
    plain = name.replace("\0", "").encode("utf-8", "ignore").decode()  # what no database holds
    return " ".join(unicodedata.normalize("NFKC", plain).casefold().split())


def read(connection: sa.Connection, *where: sa.ColumnElement[bool]) -> list[Person]:
    """Return people in the order of their names."""
    links: dict[str, list[str]] = {}
    for row in connection.execute(sa.select(PEOPLE_GOLFERS).order_by(PEOPLE_GOLFERS.c.golfer_id)):
        links.setdefault(row.person_id, []).append(row.golfer_id)
    rows = connection.execute(sa.select(PEOPLE).where(*where)).mappings().all()
    found = [
        Person(
            person_id=row["person_id"],
            name=row["name"],
            role=row["role"],
            golfers=tuple(links.get(row["person_id"], ())),
            every_golfer=bool(row["every_golfer"]),
            must_change=bool(row["must_change"]),
            added_at=row["added_at"],
        )
        for row in rows
    ]
    return sorted(found, key=lambda person: (person.name.casefold(), person.person_id))


def find(connection: sa.Connection, name: str, where: str) -> Person:
    """Return the person of a name or a random number.

    Raises
    ------
    InputError
        When there is none.
    """
    held = read(connection)
    for person in held:
        if person.person_id == name or key_of(person.name) == key_of(name):
            return person
    near = difflib.get_close_matches(name, [person.name for person in held], n=1, cutoff=0.5)
    remedy = f"the nearest is {near[0]}" if near else "paryield people CLUB list names them all"
    raise InputError(f"nobody here is called {name[:LONGEST_NAME]!r}", where=where, remedy=remedy)


def insert(
    connection: sa.Connection, name: str, role: str, golfers: tuple[str, ...], password: bytes, until: int
) -> Person:
    """Store a new person with a one-time password; what is wrong with the role is said by the caller."""
    person_id = secrets.token_hex(5)
    row = {
        "person_id": person_id,
        "name": name,
        "sign_in": key_of(name),
        "role": role,
        "every_golfer": not golfers and role not in OF_ONE + OF_NONE,
        "password": password,
        "must_change": True,
        "password_until": until,
        "added_at": now(),
    }
    connection.execute(PEOPLE.insert(), [row])
    if golfers:
        links = [{"person_id": person_id, "golfer_id": golfer} for golfer in golfers]
        connection.execute(PEOPLE_GOLFERS.insert(), links)
    return read(connection, PEOPLE.c.person_id == person_id)[0]


def remove(connection: sa.Connection, person_id: str) -> None:
    """Remove a person; whoever is signed in under the name is signed out."""
    for table in (SESSIONS, PEOPLE_GOLFERS, PEOPLE):
        connection.execute(table.delete().where(table.c.person_id == person_id))


def unlink(connection: sa.Connection, golfer_id: str) -> int:
    """Remove all ways to a golfer who goes: his own account and his guardians', and others' links to him.

    Returns
    -------
    int
        How many accounts and links went.
    """
    links = sa.select(PEOPLE_GOLFERS.c.person_id).where(PEOPLE_GOLFERS.c.golfer_id == golfer_id)
    linked = [str(one) for one in connection.execute(links).scalars()]
    for person in read(connection, PEOPLE.c.person_id.in_(linked)) if linked else ():
        if person.role in OF_ONE:
            remove(connection, person.person_id)
    connection.execute(PEOPLE_GOLFERS.delete().where(PEOPLE_GOLFERS.c.golfer_id == golfer_id))
    return len(linked)


def check_reach(connection: sa.Connection, role: str, golfers: tuple[str, ...], where: str) -> None:
    """Refuse a role that does not exist, or whose golfers are not as the role has them.

    Raises
    ------
    InputError
        With what the role needs.
    """
    if role not in ROLES:
        raise InputError(f"there is no role {role[:40]!r}", where=where, remedy=f"use {', '.join(ROLES)}")
    table = layout.CLUB_TABLES["golfers"]
    born = {row.golfer_id: row.birth_year for row in connection.execute(sa.select(table)).all()}
    unknown = [golfer for golfer in golfers if golfer not in born]
    if unknown:
        near = difflib.get_close_matches(unknown[0], list(born), n=1, cutoff=0.5)
        remedy = f"the nearest is {near[0]}" if near else f"the club holds {counted(len(born), 'golfer')}"
        raise InputError(f"there is no golfer {unknown[0]!r}", where=where, remedy=remedy)
    if role in OF_ONE and len(golfers) != 1:
        found = f"{counted(len(golfers), 'golfer')} are named"
        raise InputError(f"a {role} sees exactly one golfer; {found}", where=where, remedy="name one")
    if role in OF_NONE and golfers:
        raise InputError(f"a {role} sees no golfer's record", where=where, remedy="name no golfer")
    if role == GUARDIAN and of_age(born[golfers[0]], date.today()):
        raise InputError(
            f"{golfers[0]} is of age by the birth year on record",
            where=where,
            remedy="correct the birth year, or add the golfer as a player",
        )


def of_age(birth_year: Any, today: date) -> bool:
    """Tell whether a golfer is of age whatever his birthday; unknown is no."""
    if birth_year is None or birth_year != birth_year:
        return False
    return today.year - int(birth_year) > MAJORITY

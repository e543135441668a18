"""Who is signed in: random tokens, of which only the hash is stored, and which end by themselves."""

from __future__ import annotations

import hashlib
import secrets
import time
from dataclasses import dataclass

import sqlalchemy as sa

from paryield.club import people
from paryield.club.people import PEOPLE, SESSIONS, Person

IDLE_SECONDS, LONGEST_SECONDS = 30 * 60, 8 * 3600
"""A session ends half an hour after the last page, or after a working day (OWASP Session Management Cheat
Sheet, session expiration; from memory)."""

NOTED_SECONDS = 60
"""The moment of the last page is written this often at most."""


@dataclass(frozen=True)
class Session:
    """Somebody signed in: a handle that may be shown, the first and the last page (seconds since 1970)."""

    session_id: str
    person: Person
    begun_at: int
    seen_at: int


def clock() -> int:
    """Return seconds since 1970."""
    return int(time.time())


def stored_form(token: str) -> bytes:
    """Return what is stored of a token. It is random and long, so a plain hash does."""
    return hashlib.sha256(token.encode()).digest()


def begin(connection: sa.Connection, person_id: str) -> str:
    """Start a session under a new token, which is returned and stored nowhere; drop those that ended."""
    moment, token = clock(), secrets.token_urlsafe(32)
    ended = sa.or_(SESSIONS.c.seen_at < moment - IDLE_SECONDS, SESSIONS.c.begun_at < moment - LONGEST_SECONDS)
    connection.execute(SESSIONS.delete().where(ended))
    row = {
        "session_id": secrets.token_hex(8),
        "token": stored_form(token),
        "person_id": person_id,
        "begun_at": moment,
        "seen_at": moment,
    }
    connection.execute(SESSIONS.insert(), [row])
    return token


def find(connection: sa.Connection, token: str) -> Session | None:
    """Return the session of a token; None where there is none or it has ended."""
    row = connection.execute(sa.select(SESSIONS).where(SESSIONS.c.token == stored_form(token))).first()
    if row is None or ended(row.begun_at, row.seen_at):
        return None
    found = people.read(connection, PEOPLE.c.person_id == row.person_id)
    return Session(row.session_id, found[0], row.begun_at, row.seen_at) if found else None


def ended(begun_at: int, seen_at: int) -> bool:
    """Tell whether a session of these moments is over."""
    moment = clock()
    return moment - seen_at > IDLE_SECONDS or moment - begun_at > LONGEST_SECONDS


def of_person(connection: sa.Connection, person: Person) -> list[Session]:
    """Return the sessions of a person that go on, newest first."""
    query = sa.select(SESSIONS).where(SESSIONS.c.person_id == person.person_id)
    rows = connection.execute(query.order_by(SESSIONS.c.begun_at.desc(), SESSIONS.c.session_id)).all()
    return [
        Session(row.session_id, person, row.begun_at, row.seen_at)
        for row in rows
        if not ended(row.begun_at, row.seen_at)
    ]


def touch(connection: sa.Connection, session_id: str) -> None:
    """Write down that a page was asked for now."""
    moment = {"seen_at": clock()}
    connection.execute(SESSIONS.update().where(SESSIONS.c.session_id == session_id).values(moment))


def end(connection: sa.Connection, person_id: str, session_id: str | None = None) -> int:
    """End one session of a person, or all; return how many went on."""
    chosen = [SESSIONS.c.person_id == person_id]
    if session_id is not None:
        chosen.append(SESSIONS.c.session_id == session_id)
    return connection.execute(SESSIONS.delete().where(*chosen)).rowcount

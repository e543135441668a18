"""All that is PostgreSQL's own: one writer at a time, plain errors, and rows removed for good."""

from __future__ import annotations

from sqlalchemy import Connection, Engine, text

from paryield.errors import InputError, ParyieldError

DRIVER = "postgresql+psycopg"

WRITER_LOCK = 7_271_946
"""Key of the advisory lock that a writer holds until its transaction ends; any number of our own."""

WAIT_SECONDS = 30
"""How long a writer waits for the others; our choice."""

READ = {"isolation_level": "REPEATABLE READ"}
"""One reading sees one moment (postgresql.org, Transaction Isolation, 13.2.2)."""

AGAIN = "nothing was stored; run this again"
PLAIN: tuple[tuple[str, str, str], ...] = (
    ("55P03", "others are writing to the club", "wait, then run this again"),
    ("40", "another program changed the club at the same moment", AGAIN),
    ("23", "another program stored the same row at the same moment", AGAIN),
    ("53100", "the disk of the database is full; nothing was stored", "free some space, then run this again"),
    ("53", "the database has no room for one more connection", "wait, then run this again"),
    ("25006", "the database is read-only", "allow writing, or work on a copy"),
    ("42501", "the database does not allow this", "ask its administrator for the right to write"),
    ("57", "the database is shutting down or was stopped", "wait until it is back, then run this again"),
    ("XX001", "the database is damaged", "ask its administrator to put back the latest backup"),
)
"""Start of the SQLSTATE, what it means, what to do (postgresql.org, appendix A, Error Codes)."""


def is_postgres(connection: Connection) -> bool:
    """Tell whether the database is PostgreSQL."""
    return connection.dialect.name == "postgresql"


def lock(connection: Connection) -> None:
    """Wait until no other writer is at work and hold the others off until the transaction ends.

    Writers then see all that was stored before them, so none overwrites what it has not seen, and as
    there is one lock there is no deadlock. Readers never wait.
    """
    connection.execute(text(f"SET LOCAL lock_timeout = '{WAIT_SECONDS}s'"))
    connection.execute(text(f"SELECT pg_advisory_xact_lock({WRITER_LOCK})"))


def compact(engine: Engine) -> None:
    """Rewrite the tables without their dead rows."""
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(text("VACUUM FULL"))


def plain_error(state: str, where: str) -> ParyieldError | None:
    """Return the plain line of an SQLSTATE, None where it has none."""
    for start, message, remedy in PLAIN:
        if state.startswith(start):
            return InputError(message, where=where, remedy=remedy)
    return None

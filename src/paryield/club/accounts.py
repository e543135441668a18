"""What can be asked about the people of a club: added, reset, removed, signed in and out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa

from paryield.club import passwords, people, registers, sessions
from paryield.club.opened import OpenedClub
from paryield.club.people import PEOPLE, Person
from paryield.club.sessions import Session
from paryield.errors import InputError


@dataclass(frozen=True)
class Issued:
    """A person with the one-time password just made; it is shown once and stored nowhere."""

    person: Person
    password: str


class Accounts:
    """The people of an open club.

    Parameters
    ----------
    club : OpenedClub
        What is changed stands in its audit trail under ``club.who``.
    """

    def __init__(self, club: OpenedClub) -> None:
        self._club = club

    def people(self) -> list[Person]:
        """Return everybody who may sign in, by name."""
        with self._club._reading() as connection:
            return people.read(connection)

    def person(self, name: str) -> Person:
        """Return the person of a name or random number; InputError where there is none."""
        with self._club._reading() as connection:
            return people.find(connection, name, self._club.name)

    def add(self, name: str, role: str, golfers: Sequence[str] = ()) -> Issued:
        """Add a person, with a one-time password that must be changed at the first sign-in.

        Parameters
        ----------
        name : str
            What the person signs in with.
        role : str
            One of ``ROLES``.
        golfers : sequence of str
            A coach or therapist reaches these only, all without; a player or guardian needs exactly one.

        Raises
        ------
        InputError
            When the name is taken or cannot be one, or the golfers are not as the role has them.
        """
        shown, chosen = people.clean_name(name), tuple(dict.fromkeys(golfers))
        password = passwords.one_time()
        stored, until = passwords.hashed(password), sessions.clock() + passwords.ONE_TIME_SECONDS
        with self._club._writing() as connection:
            people.check_reach(connection, role, chosen, self._club.name)
            taken = sa.select(PEOPLE.c.person_id).where(PEOPLE.c.sign_in == people.key_of(shown))
            if connection.execute(taken).first() is not None:
                raise InputError(
                    f"somebody is called {shown!r} already",
                    where=self._club.name,
                    remedy="add something to the name, or remove that person first",
                )
            person = people.insert(connection, shown, role, chosen, stored, until)
            self._note(connection, "added", person)
        return Issued(person, password)

    def reset(self, name: str) -> Issued:
        """Give a person a new one-time password and sign him out everywhere."""
        password = passwords.one_time()
        values = {
            "password": passwords.hashed(password),
            "must_change": True,
            "password_until": sessions.clock() + passwords.ONE_TIME_SECONDS,
        }
        with self._club._writing() as connection:
            person = people.find(connection, name, self._club.name)
            connection.execute(PEOPLE.update().where(PEOPLE.c.person_id == person.person_id).values(values))
            sessions.end(connection, person.person_id)
            self._note(connection, "reset", person)
            return Issued(people.find(connection, person.person_id, self._club.name), password)

    def remove(self, name: str) -> Person:
        """Remove a person and sign him out everywhere; the audit trail keeps the random number."""
        with self._club._writing() as connection:
            person = people.find(connection, name, self._club.name)
            people.remove(connection, person.person_id)
            self._note(connection, "removed", person)
            return person

    def sign_in(self, name: str, password: str) -> str | None:
        """Return the token of a new session, or None; it takes as long for a name that nobody has."""
        query = sa.select(PEOPLE).where(PEOPLE.c.sign_in == people.key_of(name))
        with self._club._reading() as connection:
            row = connection.execute(query).mappings().first()
        right = passwords.matches(None if row is None else bytes(row["password"]), password)
        if row is None or not right:
            return None
        if row["password_until"] is not None and sessions.clock() > row["password_until"]:
            return None
        held = bytes(row["password"])
        fresh = passwords.hashed(password) if passwords.outdated(held) else held
        with self._club._writing() as connection:
            mine = PEOPLE.c.person_id == row["person_id"]
            now = connection.execute(sa.select(PEOPLE.c.password).where(mine)).scalar()
            if now is None or bytes(now) != held:
                return None
            if fresh != held:
                connection.execute(PEOPLE.update().where(mine).values({"password": fresh}))
            registers.note(connection, f"person {row['person_id']}", "signed in", "desk")
            return sessions.begin(connection, row["person_id"])

    def session(self, token: str) -> Session | None:
        """Return who is signed in under a token, None where nobody is (any more)."""
        with self._club._reading() as connection:
            found = sessions.find(connection, token)
        if found is not None and sessions.clock() - found.seen_at > sessions.NOTED_SECONDS:
            with self._club._writing() as connection:
                sessions.touch(connection, found.session_id)
        return found

    def sessions(self, person: Person) -> list[Session]:
        """Return a person's sessions that go on, newest first."""
        with self._club._reading() as connection:
            return sessions.of_person(connection, person)

    def sign_out(self, person: Person, session_id: str | None = None) -> int:
        """End one session of a person, or all of them; return how many ended."""
        with self._club._writing() as connection:
            what = "desk" if session_id is not None else "everywhere"
            count = sessions.end(connection, person.person_id, session_id)
            if count:
                registers.note(connection, person.who, "signed out", what)
            return count

    def change_password(self, person: Person, old: str, new: str) -> str:
        """Change a person's own password, end all his sessions, and return the token of a new one.

        Raises
        ------
        InputError
            When the old one is wrong or the new one is easy to guess; nothing is changed then.
        """
        mine = PEOPLE.c.person_id == person.person_id
        with self._club._reading() as connection:
            held = connection.execute(sa.select(PEOPLE.c.password).where(mine)).scalar()
        if not passwords.matches(None if held is None else bytes(held), old):
            raise InputError(
                "the present password is not right", where="Present password", remedy="write it again"
            )
        passwords.check_new(new, person.name, old)
        values = {"password": passwords.hashed(new), "must_change": False, "password_until": None}
        with self._club._writing() as connection:
            now = connection.execute(sa.select(PEOPLE.c.password).where(mine)).scalar()
            if now is None or bytes(now) != bytes(held or b""):
                raise InputError("the password was changed meanwhile", remedy="sign in again")
            connection.execute(PEOPLE.update().where(mine).values(values))
            sessions.end(connection, person.person_id)
            registers.note(connection, person.who, "changed", "password")
            return sessions.begin(connection, person.person_id)

    def _note(self, connection: sa.Connection, action: str, person: Person) -> None:
        registers.note(connection, self._club.who, action, person.who)

"""A club with one person of every role, and guests who ask for pages as them."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from paryield.club import Accounts, Club, layout, passwords, people, sums
from paryield.desk import make_app
from paryield.desk.security import COOKIE

PASSWORD = "seven owls under one roof"

PEOPLE: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "coach": ("Maud Ferrin", "coach", ()),
    "coach of two": ("Ivo Brandle", "coach", ("G01", "G02")),
    "player": ("Piet Solberg", "player", ("G01",)),
    "guardian": ("Ruth Ambleside", "guardian", ("G02",)),
    "manager": ("Selwyn Hart", "manager", ()),
    "therapist": ("Odile Marsh", "therapist", ()),
    "therapist of one": ("Fenn Arkwright", "therapist", ("G03",)),
    "administrator": ("Bela Norwood", "administrator", ()),
}
"""Name, role and golfers by a short name."""

OTHERS = "G06"
"""A golfer who belongs to none of those who have golfers of their own."""


class Guest:
    """Somebody at a browser: keeps cookies, follows nothing by itself, sends forms with their token."""

    def __init__(self, app: Any, base: str = "http://127.0.0.1") -> None:
        self.app = app
        self.client = TestClient(app, base_url=base, raise_server_exceptions=False, follow_redirects=False)

    @property
    def desk(self) -> Any:
        return self.app.state.desk

    def get(self, path: str, **more: Any) -> Any:
        return self.client.get(path, **more)

    def token(self) -> str:
        for path in ("/account", "/password", "/sign-in"):
            found = re.search(r'name="token" value="([0-9a-f]{64})"', self.get(path).text)
            if found is not None:
                return found.group(1)
        raise AssertionError("no page here holds a form")

    def post(self, path: str, data: dict[str, Any] | None = None, **more: Any) -> Any:
        return self.client.post(path, data={"token": self.token(), **(data or {})}, **more)

    def sign_in(self, name: str, password: str = PASSWORD, **more: str) -> Any:
        return self.post("/sign-in", {"name": name, "password": password, **more})

    def page_of(self, golfer_id: str) -> str:
        return str(self.desk.snapshot().ids[golfer_id])

    @property
    def cookie(self) -> str | None:
        return self.client.cookies.get(COOKIE)


def furnish(where: Path) -> None:
    """Add one person of every role; all have one password, hashed once."""
    golfers, stored = layout.CLUB_TABLES["golfers"], passwords.hashed(PASSWORD)
    with Club.open(where) as club, club._writing() as connection:
        junior = connection.execute(golfers.select().where(golfers.c.golfer_id == "G02")).mappings().one()
        born = sums.reworded(junior, {"birth_year": date.today().year - 14})
        sums.change(connection, golfers, junior, born)
        for name, role, own in PEOPLE.values():
            people.insert(connection, name, role, own, stored, 0)
        changed = {"must_change": False, "password_until": None}
        connection.execute(people.PEOPLE.update().values(changed))


class House:
    """A desk that asks for a sign-in, and its guests by the short names of ``PEOPLE``."""

    def __init__(self, where: Path) -> None:
        self.where = where
        with Club.open(where) as club:
            numbers = {person.name: person.person_id for person in Accounts(club).people()}
        self.ids = {short: numbers[name] for short, (name, _, _) in PEOPLE.items()}
        self.app = make_app(str(where), anyway=True, warm=False, sign_in=True)
        self._guests: dict[str, Guest] = {}

    def guest(self, short: str | None = None) -> Guest:
        """Return a guest who is signed in, or with None a fresh one who is not."""
        if short is None:
            return Guest(self.app)
        if short not in self._guests:
            guest = Guest(self.app)
            assert guest.sign_in(PEOPLE[short][0]).status_code == 303
            self._guests[short] = guest
        return self._guests[short]

    def close(self) -> None:
        self.app.state.desk.close()


@pytest.fixture(scope="session")
def furnished(fitted_club: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a club with its people; do not change it."""
    where = Path(shutil.copy(fitted_club, tmp_path_factory.mktemp("furnished") / "club.db"))
    furnish(where)
    return where


@pytest.fixture(scope="session")
def shared_house(
    furnished: Path, add_programme: Callable[..., None], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[House]:
    """A house in which no test stores anything: a programme of five, and one of two, which is hidden."""
    place = tmp_path_factory.mktemp("house")
    where = Path(shutil.copy(furnished, place / "club.db"))
    add_programme(
        where, place / "tables", {"spring": ("G01", "G02", "G03", "G04", "G05"), "tiny": ("G05", "G06")}
    )
    house = House(where)
    yield house
    house.close()


@pytest.fixture
def house(furnished: Path, tmp_path: Path) -> Iterator[House]:
    """A house that a test may change."""
    found = House(Path(shutil.copy(furnished, tmp_path / "house.db")))
    yield found
    found.close()

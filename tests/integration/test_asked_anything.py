"""Whatever is sent to the desk, it answers: no 5xx, no traceback, no hang, and its memory stays bounded."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import date
from itertools import cycle
from pathlib import Path

import pytest
from fastapi import FastAPI

from asking import Asked, ask
from paryield.club import Accounts, Club, layout, sums
from paryield.desk import make_app

MINUTES = float(os.environ.get("PARYIELD_TEST_MINUTES", "10"))
SERVER = """
import sys
from paryield.desk import serve
from paryield.desk.server import Listening

serve(sys.argv[1], 0, Listening(sign_in=sys.argv[2] == "people"), anyway=True, opened=print)
"""
PASSWORD = "seven owls under one roof"
PEOPLE = {
    "administrator": (),
    "coach": (),
    "player": ("G01",),
    "guardian": ("G02",),
    "manager": (),
    "therapist": ("G03",),
}
"""Golfers of one person by role."""


@pytest.fixture
def app(tiny_club: Path) -> Iterator[FastAPI]:
    """Return the desk on a club of its own, as one computer alone sees it: without sign-in."""
    found = make_app(str(tiny_club), anyway=True, warm=False)
    yield found
    found.state.desk.close()


def people_of(where: Path) -> Callable[[], str]:
    """Add one person of every role; return a function that signs them in, one after the other."""
    golfers = layout.CLUB_TABLES["golfers"]
    with Club.open(where) as club:
        with club._writing() as connection:
            junior = connection.execute(golfers.select().where(golfers.c.golfer_id == "G02")).mappings().one()
            born = sums.reworded(junior, {"birth_year": date.today().year - 14})
            sums.change(connection, golfers, junior, born)
        added = [Accounts(club).add(f"Bela {role}", role, own) for role, own in PEOPLE.items()]
        for issued in added:
            Accounts(club).change_password(issued.person, issued.password, PASSWORD)
    names = cycle(issued.person.name for issued in added)

    def session() -> str:
        with Club.open(where) as club:
            cookie = Accounts(club).sign_in(next(names), PASSWORD)
        assert cookie is not None
        return cookie

    return session


def resident(process: int) -> int:
    """Return the resident size of a process in MB."""
    text = Path(f"/proc/{process}/status").read_text()
    return next(int(line.split()[1]) // 1024 for line in text.splitlines() if line.startswith("VmRSS"))


@pytest.mark.slow
def test_a_few_requests_to_every_route(app: FastAPI) -> None:
    asked = Asked()
    ask(app, asked, 3, 20260601)
    assert {200, 400} <= set(asked.statuses)
    assert sum(asked.statuses.values()) >= 3 * 15


@pytest.mark.slow
def test_a_few_requests_of_every_role(tiny_club: Path) -> None:
    session = people_of(tiny_club)
    house = make_app(str(tiny_club), anyway=True, warm=False, sign_in=True)
    asked = Asked()
    for number in range(len(PEOPLE) + 1):
        ask(house, asked, 2, number, session)
    house.state.desk.close()
    print(f"\n{dict(asked.statuses)}")
    assert {200, 400, 403} <= set(asked.statuses)


@pytest.mark.slow
@pytest.mark.parametrize("who", ["owner", "people"])
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the resident size is read from /proc")
def test_minutes_of_requests_to_a_server_of_its_own(app: FastAPI, tiny_club: Path, who: str) -> None:
    """Half of the minutes as the owner of the computer, half as people of every role in turn."""
    session = people_of(tiny_club) if who == "people" else None
    asked, rounds = Asked(), 0
    command = [sys.executable, "-u", "-c", SERVER, str(tiny_club), who]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        address = process.stdout.readline().strip().rstrip("/")
        try:
            ask(app, asked, 2, 0, session, base_url=address)
            sizes = [resident(process.pid)]
            end = time.monotonic() + 30 * MINUTES
            while time.monotonic() < end:
                rounds += 1
                ask(app, asked, 10, rounds, session, base_url=address)
                sizes.append(resident(process.pid))
            assert process.poll() is None
        finally:
            process.terminate()
        said = process.stderr.read()
    print(
        f"\n{who}: {sum(asked.statuses.values())} requests in {MINUTES / 2:g} minutes: {dict(asked.statuses)}"
    )
    print(
        f"slowest {asked.slowest:.1f} s; resident MB: first {sizes[0]}, most {max(sizes)}, last {sizes[-1]}"
    )
    assert "Traceback" not in said
    assert max(sizes) < sizes[0] + 500

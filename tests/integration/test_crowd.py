"""Two thousand half-open connections to the desk: somebody who is signed in still gets his page at once."""

from __future__ import annotations

import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from crowding import crowded
from paryield.club import Accounts, Club
from paryield.desk.security import COOKIE

pytestmark = pytest.mark.club_file

MOST_SECONDS = 2.0
SERVER = """
import sys
from paryield.desk import serve
from paryield.desk.server import Listening

serve(sys.argv[1], 0, Listening(sign_in=True), opened=print)
"""
PASSWORD = "seven owls under one roof"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[tuple[str, str]]:
    """Serve a small club to people who sign in; give the address, and the cookie of somebody who has."""
    (tmp_path / "golfers.csv").write_text("golfer_id,display_name\nA1,Ottilie Fenwarth\n")
    (tmp_path / "rounds.csv").write_text("golfer_id,played_on,score_differential\nA1,2026-03-01,14.2\n")
    place = tmp_path / "club.db"
    with Club.open(place, create=True) as club:
        club.import_folder(tmp_path)
        issued = Accounts(club).add("Maud Ferrin", "coach")
        cookie = Accounts(club).change_password(issued.person, issued.password, PASSWORD)
    command = [sys.executable, "-u", "-c", SERVER, str(place)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            yield process.stdout.readline().strip().rstrip("/"), cookie
        finally:
            process.terminate()


def waited(address: str, cookie: str) -> float:
    """Ask for a page as somebody who is signed in, and return how long it took."""
    wanted = urllib.request.Request(f"{address}/account", headers={"Cookie": f"{COOKIE}={cookie}"})
    began = time.perf_counter()
    with urllib.request.urlopen(wanted, timeout=60) as answer:
        assert answer.status == 200
        assert "Maud Ferrin" in answer.read().decode()
    return time.perf_counter() - began


def longest(desk: tuple[str, str], seconds: float) -> tuple[float, float, int]:
    """Return the wait for a page without the crowd, the longest with it, and the pages asked for."""
    address, cookie = desk
    alone, waits = max(waited(address, cookie) for _ in range(3)), []
    with crowded(int(address.rsplit(":", 1)[1]), 2000, seconds + 120) as process:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            waits.append(waited(address, cookie))
            time.sleep(0.2)
        assert process.poll() is None
    print(f"\nalone {alone:.2f} s; among 2,000 half-open: {len(waits)} pages, longest {max(waits):.2f} s")
    return alone, max(waits), len(waits)


@pytest.mark.slow
def test_a_crowd_of_half_open_connections_keeps_nobody_waiting(desk: tuple[str, str]) -> None:
    alone, found, _ = longest(desk, 3.0)
    assert found < max(MOST_SECONDS, 12 * alone)  # a machine that is busy with other tests is slow without it


@pytest.mark.slow
def test_a_crowd_for_a_minute(desk: tuple[str, str]) -> None:
    _, found, pages = longest(desk, 60.0)
    assert pages >= 60
    assert found < MOST_SECONDS

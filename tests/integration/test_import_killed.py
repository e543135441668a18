"""Killing an import at any moment leaves the old club or the new one, whole."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from shutil import copyfile

import pytest

from paryield.club import Club

pytestmark = pytest.mark.club_file

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating\n"
ROWS = 2000

NURSERY = """
import os, sys, traceback
from datetime import date
import sqlalchemy as sa
from paryield.club import Club, sqlite

def tell(mark):
    os.write(1, mark)

def watch(conn, cursor, statement, *rest):
    if statement.startswith("INSERT INTO golfers"):
        tell(b"w")

for line in sys.stdin:
    club, folder = line.rstrip("\\n").split("\\t")
    child = os.fork()
    if child == 0:
        try:
            sa.event.listen(sa.Engine, "before_cursor_execute", watch)
            tell(b"s")
            Club.open(club, create=True).import_folder(folder, today=date(2026, 6, 1))
            tell(b"d")
            os._exit(0)
        except BaseException:
            traceback.print_exc()
            os._exit(1)
    os.write(1, b"%d\\n" % child)
    os.waitpid(child, 0)
    os.write(1, b"e")
"""


def rows(golfer: str, count: int, score: int) -> str:
    """Return rounds of one golfer, one a day."""
    first = date(2010, 1, 1)
    return "".join(f"{golfer},{first + timedelta(days=n)},{score},71.2,128\n" for n in range(count))


@dataclass(frozen=True)
class Setting:
    """A club before the import, the folder to import, and the process that forks importers."""

    old: Path
    folder: Path
    nursery: subprocess.Popen[bytes]
    seconds_before_writing: float
    seconds_writing: float

    def start(self, club: Path) -> int:
        """Start an import and return its process id as soon as it has begun."""
        assert self.nursery.stdin is not None
        self.nursery.stdin.write(f"{club}\t{self.folder}\n".encode())
        self.nursery.stdin.flush()
        number = b""
        while not number.endswith(b"\n"):
            mark = self.read()
            number += mark if mark.isdigit() or mark == b"\n" else b""
        return int(number)

    def read(self) -> bytes:
        """Wait for the next mark: s started, w writing, d done, e ended."""
        assert self.nursery.stdout is not None
        return os.read(self.nursery.stdout.fileno(), 1)

    def wait_for(self, marks: bytes) -> bytes:
        """Wait until one of the marks comes."""
        while (mark := self.read()) not in [bytes([m]) for m in marks]:
            assert mark, "the importer died"
        return mark


@pytest.fixture(scope="module")
def setting(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Setting]:
    base = tmp_path_factory.mktemp("killed")
    for name, golfers in (("first", {"A": 88}), ("second", {"B": 95, "C": 101})):
        (base / name).mkdir()
        (base / name / "golfers.csv").write_text("golfer_id\n" + "\n".join(golfers) + "\n")
        text = "".join(rows(golfer, ROWS // len(golfers), score) for golfer, score in golfers.items())
        (base / name / "rounds.csv").write_text(HEAD + text)
    with Club.open(base / "old.db", create=True) as club:
        club.import_folder(base / "first", today=TODAY)
    nursery = subprocess.Popen(
        [sys.executable, "-c", NURSERY], stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0
    )
    try:
        yield timed(Setting(base / "old.db", base / "second", nursery, 0.0, 0.0), base / "timed.db")
    finally:
        assert nursery.stdin is not None
        assert nursery.stdout is not None
        nursery.stdin.close()
        nursery.wait(10)
        nursery.stdout.close()


def timed(setting: Setting, club: Path) -> Setting:
    """Run one import to its end and note how long its two parts take."""
    copyfile(setting.old, club)
    began = time.perf_counter()
    setting.start(club)
    setting.wait_for(b"w")
    writing = time.perf_counter()
    setting.wait_for(b"d")
    done = time.perf_counter()
    setting.wait_for(b"e")
    assert content(club) == NEW
    return Setting(setting.old, setting.folder, setting.nursery, writing - began, done - writing)


def content(club: Path) -> tuple[int, ...]:
    """Return rounds, sum of scores, golfers, imports and files, by plain SQL on the repaired file."""
    with closing(sqlite3.connect(club)) as connection:
        assert connection.execute("pragma integrity_check").fetchone() == ("ok",)
        query = (
            "select count(*), sum(adjusted_gross_score), (select count(*) from golfers),"
            " (select count(*) from imports), (select count(*) from import_files) from rounds"
        )
        return tuple(connection.execute(query).fetchone())


OLD = (ROWS, 88 * ROWS, 1, 1, 2)
NEW = (2 * ROWS, 88 * ROWS + (95 + 101) * ROWS // 2, 3, 2, 4)
MADE = (ROWS, (95 + 101) * ROWS // 2, 2, 1, 2)


def kill_after(setting: Setting, club: Path, seconds: float, *, writing: bool) -> None:
    """Start an import and kill it so long after its start, or after its first written row."""
    process = setting.start(club)
    ended = False
    if writing:
        ended = setting.wait_for(b"we") == b"e"
    time.sleep(seconds)
    if not ended:
        with suppress(ProcessLookupError):
            os.kill(process, signal.SIGKILL)
        setting.wait_for(b"e")


def test_a_killed_import_leaves_the_old_club_or_the_new_one(setting: Setting, tmp_path: Path) -> None:
    chance = random.Random(20260601)
    found = []
    for number in range(12):
        club = tmp_path / f"club{number}.db"
        copyfile(setting.old, club)
        writing = number % 3 != 0
        span = setting.seconds_writing if writing else setting.seconds_before_writing
        kill_after(setting, club, chance.uniform(0, 1.2 * span), writing=writing)
        with Club.open(club) as opened:
            assert len(opened.runs()) == 0
        found.append(content(club))
    assert set(found) <= {OLD, NEW}
    assert OLD in found
    for number in range(3):
        with Club.open(tmp_path / f"club{number}.db") as again:
            again.import_folder(setting.folder, today=TODAY)
        assert content(tmp_path / f"club{number}.db") == NEW
        assert not (tmp_path / f"club{number}.db-journal").exists()


def test_a_killed_first_import_leaves_no_club_or_a_whole_one(setting: Setting, tmp_path: Path) -> None:
    chance = random.Random(11)
    outcomes = []
    for number in range(8):
        club = tmp_path / f"new{number}.db"
        span = 1.2 * setting.seconds_writing
        kill_after(setting, club, chance.uniform(0, span), writing=True)
        outcomes.append(content(club) if club.exists() else None)
    assert set(outcomes) <= {None, MADE}
    with Club.open(tmp_path / "new0.db", create=True) as again:
        again.import_folder(setting.folder, today=TODAY)
    assert content(tmp_path / "new0.db") == MADE

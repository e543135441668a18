"""Kills a job on a club at a random moment, again and again, and looks at what is left.

A nursery process imports the package once and forks one child a job, so that a kill costs milliseconds
and hits the work, not the start of Python.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from shutil import copyfile

NURSERY = """
import os, sys, traceback
from datetime import date
from pathlib import Path
from paryield.club import Club
import paryield.tables

DAY = date(2026, 6, 1)
ROUND = {"golfer_id": "A", "played_on": "2026-05-01", "adjusted_gross_score": "77", "course_rating": "71.2",
         "slope_rating": "128"}

def job(kind, club, extra):
    with Club.open(club) as opened:
        if kind == "import":
            opened.import_folder(extra, today=DAY)
        elif kind == "log":
            opened.log("rounds", ROUND, today=DAY)
        elif kind == "fit":
            opened.save_run(payload=bytes(range(256)) * 8000, facts={"golfers": ["A", "B"], "seed": 2})
        elif kind == "erase":
            opened.erase("A")
        elif kind == "backup":
            opened.backup(extra)

for line in sys.stdin:
    kind, club, extra = line.rstrip("\\n").split("\\t")
    child = os.fork()
    if child == 0:
        try:
            job(kind, club, extra)
            os._exit(0)
        except BaseException:
            traceback.print_exc()
            os._exit(1)
    os.write(1, b"%d\\n" % child)
    _, status = os.waitpid(child, 0)
    os.write(1, b"e" if os.WIFSIGNALED(status) else b"d" if status == 0 else b"x")
"""


@dataclass(frozen=True)
class Nursery:
    """The process that forks one child a job."""

    process: subprocess.Popen[bytes]

    def start(self, kind: str, club: Path, extra: Path) -> int:
        """Start a job and return its process id."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(f"{kind}\t{club}\t{extra}\n".encode())
        self.process.stdin.flush()
        return int(self.process.stdout.readline())

    def end(self) -> str:
        """Wait for the end of the job: e killed, d done, x failed."""
        assert self.process.stdout is not None
        return self.process.stdout.read(1).decode()


@contextmanager
def nursery() -> Iterator[Nursery]:
    """Start the process and end it."""
    process = subprocess.Popen(
        [sys.executable, "-c", NURSERY], stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0
    )
    try:
        yield Nursery(process)
    finally:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.close()
        process.wait(60)
        process.stdout.close()


def content(club: Path) -> tuple[object, ...]:
    """Return what a club holds by plain SQL, after SQLite repaired it: rows, runs, golfers, old rows."""
    with closing(sqlite3.connect(club)) as connection:
        assert connection.execute("pragma integrity_check").fetchone() == ("ok",)
        assert connection.execute("pragma foreign_key_check").fetchall() == []
        asked = (
            "select count(*), sum(adjusted_gross_score) from rounds",
            "select group_concat(golfer_id) from (select golfer_id from golfers order by 1)",
            "select count(*), sum(length(payload)), sum(stale) from runs",
            "select count(*) from imports",
        )
        return tuple(connection.execute(query).fetchone() for query in asked)


def kill_many(
    kind: str,
    count: int,
    old: Path,
    place: Path,
    extra: Callable[[int], Path],
    look: Callable[[Path, Path], None],
    seed: int,
) -> dict[str, int]:
    """Kill a job ``count`` times at moments spread over its length.

    Parameters
    ----------
    kind : str
        import, log, fit, erase or backup.
    old : Path
        Club before the job; each try works on a copy.
    extra : callable
        What the job of a number needs beside the club: a folder to import, a path for the backup.
    look : callable
        Receives club and extra after each kill; asserts what must hold there.

    Returns
    -------
    dict
        Count of the outcomes: ``killed`` with the old content, ``stored`` although killed, ``done`` first.
    """
    chance = random.Random(seed)
    found = {"killed": 0, "stored": 0, "done": 0}
    before = content(old)
    with nursery() as home:
        copyfile(old, place / "timed.db")
        began = time.perf_counter()
        home.start(kind, place / "timed.db", extra(-1))
        assert home.end() == "d"
        length = time.perf_counter() - began
        after = content(place / "timed.db")
        for number in range(count):
            club = Path(copyfile(old, place / f"club{number}.db"))
            process = home.start(kind, club, extra(number))
            time.sleep(chance.uniform(0, 1.1 * length))
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
            ended = home.end()
            assert ended in "ed", f"{kind} {number} failed"
            held = content(club)
            assert held in (before, after), f"{kind} {number}: {held}"
            new = held == after != before
            found["done" if ended == "d" else "stored" if new else "killed"] += 1
            look(club, extra(number))
            tidy(club)
    return found


def tidy(club: Path) -> None:
    """Remove what a try left, so that 200 of them fit on the disk."""
    for file in club.parent.iterdir():
        if file.is_file() and club.name in file.name:
            file.unlink()

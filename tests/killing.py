"""Kills a job on a club at a random moment, again and again, and looks at what is left.

A nursery process imports the package once and forks one child a job, so that a kill costs milliseconds
and hits the work, not the start of Python. The nursery itself sends the signal, so that no other process
stands between the moment drawn and the kill.
"""

from __future__ import annotations

import hashlib
import json
import random
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from shutil import copyfile
from typing import Any

NURSERY = """
import json, os, signal, sys, time, traceback, warnings
from datetime import date
from pathlib import Path
import sqlalchemy as sa
from paryield import private
from paryield.adopt import Memory, adopt_folder
from paryield.club import Club
import paryield.tables

warnings.simplefilter("ignore")
DAY = date(2026, 6, 1)
ROUND = {"golfer_id": "A", "played_on": "2026-05-01", "adjusted_gross_score": "77", "course_rating": "71.2",
         "slope_rating": "128"}
DRAWS = {}

def load(where):
    # The storing half of a fit and of a season, with draws that a real fit made.
    from paryield.forecast.current import current_fit
    from paryield.model import command
    from paryield.plan.season.layout import season_fit
    with Club.open(where) as club:
        DRAWS["fit"] = current_fit(club)[1]
        DRAWS["season"] = season_fit(DRAWS["fit"], club.tables())
    command.fit_tables = lambda *_, **__: DRAWS["fit"]

def refit(opened, _):
    from paryield.model import command
    command.fit(opened, 2)

def adopt(opened, extra):
    # A coach's own sheets to tables beside the club, with what was answered kept there and in the club.
    extra = Path(extra)
    memory, sheets = Memory(), extra.parent.parent / "sheets"
    for _ in range(9):
        found = adopt_folder(sheets, memory)
        answers = [(one, one.proposal) for one in found.questions if one.proposal is not None]
        if not answers:
            break
        memory.take(answers)
    found.write(extra)
    memory.people |= found.people.ids
    memory.write(extra.with_suffix(".json"))
    opened.remember(memory.answers, memory.people)

def block(opened, _):
    from paryield.plan.season import record
    record.start(opened, DRAWS["fit"], DRAWS["season"])

# A further job is one more line here, and its name in KINDS of the test.
JOBS = {
    "import": lambda opened, extra: opened.import_folder(extra, today=DAY),
    "log": lambda opened, _: opened.log("rounds", ROUND, today=DAY),
    "fit": refit,
    "erase": lambda opened, _: opened.erase("A"),
    "backup": lambda opened, extra: opened.backup(extra),
    "adopt": adopt,
    "block": block,
}

def job(kind, club, extra):
    with Club.open(club) as opened:
        JOBS[kind](opened, extra)

def child(kind, club, extra, mark):
    told = []
    def watch(conn, cursor, statement, *rest):
        if not told and statement.startswith(("INSERT", "UPDATE", "DELETE")):
            told.append(os.write(mark, b"w"))
    sa.event.listen(sa.Engine, "before_cursor_execute", watch)
    if kind == "adopt":  # its first bytes go into files beside the club
        written = private.write
        def telling(*words):
            if not told:
                told.append(os.write(mark, b"w"))
            written(*words)
        private.write = telling
    try:
        job(kind, club, extra)
        os._exit(0)
    except BaseException:
        traceback.print_exc()
        os._exit(1)

def run(kind, club, extra, writing, seconds):
    there, mark = os.pipe()
    began = time.perf_counter()
    process = os.fork()
    if process == 0:
        os.close(there)
        child(kind, club, extra, mark)
    os.close(mark)
    wrote = None
    if writing and os.read(there, 1):
        wrote = time.perf_counter() - began
    if seconds is not None:
        time.sleep(seconds)
        os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    os.close(there)
    ended = "killed" if os.WIFSIGNALED(status) else "done" if status == 0 else "failed"
    return {"ended": ended, "wrote": wrote, "seconds": time.perf_counter() - began}

for line in sys.stdin:
    kind, *words = json.loads(line)
    print(json.dumps(load(*words) if kind == "load" else run(kind, *words)), flush=True)
"""

WRITTEN = (
    "select import_no, source from imports",
    "select run_no, facts, payload, stale from runs",
    "select design_no, plan, facts from designs",
)
NOT_COMPARED = ("imports", "runs", "designs", "audit", "copies", "marks", "club_facts")
"""Tables with moments or random marks in them; of the first three the rest is compared."""


@dataclass(frozen=True)
class Nursery:
    """The process that forks one child a job, and kills it."""

    process: subprocess.Popen[str]

    def ask(self, *words: object) -> Any:
        """Send one job and wait for what became of it."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(words) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def run(
        self, kind: str, club: Path, extra: Path, *, writing: bool, seconds: float | None
    ) -> dict[str, Any]:
        """Run a job; kill it so long after its start, or after its first written row.

        Returns
        -------
        dict
            ended: killed, done or failed; wrote and seconds: when it began to write, and ended.
        """
        found: dict[str, Any] = self.ask(kind, str(club), str(extra), writing, seconds)
        return found


@contextmanager
def nursery() -> Iterator[Nursery]:
    """Start the process and end it."""
    process = subprocess.Popen(
        [sys.executable, "-c", NURSERY], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        yield Nursery(process)
    finally:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.close()
        process.wait(60)
        process.stdout.close()


def content(club: Path) -> dict[str, str]:
    """Return what a club holds by plain SQL, after SQLite repaired it: a fingerprint of each table."""
    with closing(sqlite3.connect(club)) as connection:
        assert connection.execute("pragma integrity_check").fetchone() == ("ok",)
        assert connection.execute("pragma foreign_key_check").fetchall() == []
        names = [row[0] for row in connection.execute("select name from sqlite_master where type = 'table'")]
        asked = {name: f"select * from {name} order by 1, 2" for name in names if name not in NOT_COMPARED}
        asked |= {query.split()[-1]: query for query in WRITTEN}
        found = {}
        for name, query in asked.items():
            rows = sorted(connection.execute(query).fetchall(), key=repr)
            found[name] = hashlib.sha256(repr(rows).encode()).hexdigest()
        return found


def kill_many(
    home: Nursery,
    kind: str,
    count: int,
    old: Path,
    place: Path,
    extra: Callable[[int], Path],
    look: Callable[[Path, Path], None],
    seed: int,
) -> dict[str, int]:
    """Kill a job ``count`` times: every second time at any moment, else at any moment of its writing.

    Parameters
    ----------
    home : Nursery
    kind : str
        import, log, fit, erase, backup, adopt or block.
    old : Path
        Club before the job; each try works on a copy.
    extra : callable
        What the job of a number needs beside the club: a folder to import, a path for the backup or for the
        tables of adopted sheets.
    look : callable
        Receives club and extra after each kill; asserts what must hold there.

    Returns
    -------
    dict
        Count of the outcomes: ``killed`` with the old content, ``stored`` although killed, and ``late``:
        done before the signal, which counts for nothing and is tried again; and ``writing``: those of
        both that were killed after the first row was written.
    """
    chance = random.Random(seed)
    found = {"killed": 0, "stored": 0, "late": 0, "writing": 0}
    before = content(old)
    timed = Path(copyfile(old, place / "timed.db"))
    length = home.run(kind, timed, extra(-1), writing=True, seconds=None)
    assert length["ended"] == "done"
    after = content(timed)
    spans = (length["seconds"], length["seconds"] - length["wrote"])
    tries = 0
    while found["killed"] + found["stored"] < count:
        tries += 1
        assert tries <= 4 * count, f"{kind}: the jobs end before they are killed: {found}"
        writing = tries % 2 == 0
        club = Path(copyfile(old, place / f"club{tries}.db"))
        ended = home.run(
            kind, club, extra(tries), writing=writing, seconds=chance.uniform(0, spans[writing])
        )["ended"]
        assert ended != "failed", f"{kind} {tries}"
        held = content(club)
        assert held in (before, after), f"{kind} {tries}: {held}"
        assert ended == "killed" or held == after
        new = held == after != before
        found["late" if ended == "done" else "stored" if new else "killed"] += 1
        found["writing"] += int(writing and ended == "killed")
        look(club, extra(tries))
        tidy(club)
    return found


def tidy(club: Path) -> None:
    """Remove what a try left, so that many of them fit on the disk."""
    for file in club.parent.iterdir():
        if file.is_file() and club.name in file.name:
            file.unlink()

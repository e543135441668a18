"""Several writers on one club at once: each logs rows of its own and counts up one row that all share."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass

WRITER = """
import json, sys, time
from datetime import date, timedelta
from paryield.club import Club
from paryield.errors import InputError

place, number, seconds = sys.argv[1], int(sys.argv[2]), float(sys.argv[3])
today = date(2026, 6, 1)
logged, counted, told, busy, slowest = 0, 0, 0, 0, 0.0
key = {"golfer_id": "A2", "practised_on": "2026-05-01", "category": "irons", "entry_no": "1"}
with Club.open(place) as club:
    end = time.monotonic() + seconds
    while time.monotonic() < end or not logged + busy:
        began = time.monotonic()
        day = date(2020, 1, 1) + timedelta(days=logged)
        cells = {"golfer_id": f"W{number}", "practised_on": day.isoformat(), "category": "chipping"}
        try:
            club.log("practice", {**cells, "minutes": "20"}, today=today)
            logged += 1
            seen = club.row("practice", key)
            minutes = float(seen.values["minutes"]) + 0.001
            try:
                club.edit("practice", {**key, "minutes": repr(round(minutes, 3))}, seen.seen, today=today)
                counted += 1
            except InputError as error:
                if "somebody else" not in error.message:
                    raise
                told += 1
        except InputError as error:
            if "another program is using" not in error.message and "others are writing" not in error.message:
                raise
            busy += 1
        slowest = max(slowest, time.monotonic() - began)
print(json.dumps([logged, counted, told, busy, slowest]))
"""


@dataclass(frozen=True)
class Written:
    """What the writers say: rows logged by each, edits that counted, edits refused, waits given up."""

    logged: list[int]
    counted: int
    told: int
    busy: int
    slowest_seconds: float


def write_at_once(place: str, count: int, seconds: float) -> Written:
    """Let so many processes write for so long; the club holds golfers A2, W0, W1, ... and the shared row."""
    command = [sys.executable, "-c", WRITER, place]
    processes = [
        subprocess.Popen([*command, str(number), str(seconds)], stdout=subprocess.PIPE, text=True)
        for number in range(count)
    ]
    said = []
    for process in processes:
        out, _ = process.communicate(timeout=seconds + 600)
        assert process.returncode == 0
        said.append(json.loads(out))
    return Written(
        [one[0] for one in said],
        sum(one[1] for one in said),
        sum(one[2] for one in said),
        sum(one[3] for one in said),
        max(one[4] for one in said),
    )

"""120 made-up clubs, written down before the first was fitted, and what became of their fits.

``uv run python tests/recovery/sound_fits.py FILE [MINUTES]`` fits those that FILE does not hold yet, in the
order of the list, and adds a line a club. Seconds are the processor's, of all threads, so that other work on
the machine does not count.
"""

from __future__ import annotations

import csv
import itertools
import sys
import time
from dataclasses import astuple, dataclass, fields, replace
from pathlib import Path

import numpy as np
import pandas as pd

from paryield.model.fit import fit_tables
from paryield.model.spec import MOST_STRETCHES, ModelSpec
from paryield.synth import ClubSpec, make_club
from paryield.tables import Tables

FIRST_SEED, ORDER_SEED, CLUBS = 771_000, 20_261_128, 120
KINDS = (
    "steady", "weak", "thin", "null", "enrol", "tied", "busy", "silent", "other", "harmful",
    "growing", "lessons", "unposted", "sent",
)  # fmt: skip
GOLFERS, WEEKS = (10, 20, 30, 40, 60, 80), (26, 52, 78)
KEPT = {
    "all": None,
    "greens and putts": ("greens_hit", "putts"),
    "scores": (),
}
"""Round stats that the club keeps."""
STATS = (
    "greens_hit", "fairways_hit", "fairways_possible", "putts", "three_putts", "up_and_downs_made",
    "up_and_downs_tried", "sand_saves_made", "sand_saves_tried", "penalty_strokes",
)  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """One club of the list."""

    seed: int
    case: str
    golfers: int
    weeks: int
    kept: str


@dataclass(frozen=True)
class Found:
    """What became of a club's fit; ``seconds`` of the processor, all threads together."""

    seed: int
    case: str
    golfers: int
    weeks: int
    kept: str
    ok: bool
    stretches: int
    draws: int
    seconds: float
    ess: float
    rhat: float
    why: str


def asked() -> list[Asked]:
    """Return the list: sizes by lengths by what is kept, kinds in turn, in an order drawn once."""
    grid = itertools.cycle(itertools.product(GOLFERS, WEEKS, KEPT))
    kinds = itertools.cycle(KINDS)
    clubs = [
        Asked(FIRST_SEED + number, next(kinds), golfers, weeks, kept)
        for number, (golfers, weeks, kept) in zip(range(CLUBS), grid, strict=False)
    ]
    return [clubs[place] for place in np.random.default_rng(ORDER_SEED).permutation(CLUBS)]


def tables_of(club: Asked) -> Tables:
    """Make the club and leave out the stats it does not keep."""
    tables = make_club(
        ClubSpec(golfers=club.golfers, weeks=club.weeks, seed=club.seed, case=club.case)
    ).tables
    kept = KEPT[club.kept]
    if kept is None:
        return tables
    rounds = tables.rounds.copy()
    for name in STATS:
        if name not in kept:
            rounds[name] = pd.Series(pd.NA, index=rounds.index, dtype=rounds[name].dtype)
    return replace(tables, rounds=rounds)


def fitted(club: Asked) -> Found:
    """Fit one club as the command does by default."""
    tables, begun = tables_of(club), time.process_time()
    facts = fit_tables(tables, ModelSpec(most_stretches=MOST_STRETCHES), cores=1).facts
    lines = facts["health"]["lines"]
    return Found(
        *astuple(club),
        ok=bool(facts["health"]["ok"]),
        stretches=facts["stretches"],
        draws=facts["draws"],
        seconds=round(time.process_time() - begun, 1),
        ess=round(min(min(line["ess_bulk"], line["ess_tail"]) for line in lines)),
        rhat=round(max(line["rhat"] for line in lines), 4),
        why=facts["why"],
    )


def done(file: Path) -> pd.DataFrame:
    """Read what was found so far."""
    if not file.exists():
        return pd.DataFrame(columns=[one.name for one in fields(Found)])
    return pd.read_csv(file, keep_default_na=False)


def run(file: Path, minutes: float = np.inf) -> None:
    """Fit what is not fitted yet; no club is begun after so many minutes."""
    end, seen = time.monotonic() + 60 * minutes, set(done(file)["seed"])
    for club in asked():
        if club.seed in seen:
            continue
        if time.monotonic() > end:
            return
        found = fitted(club)
        new = not file.exists()
        with file.open("a", newline="") as out:
            writer = csv.writer(out)
            if new:
                writer.writerow([one.name for one in fields(Found)])
            writer.writerow(astuple(found))
        print(found, flush=True)


if __name__ == "__main__":
    run(Path(sys.argv[1]), *(float(word) for word in sys.argv[2:3]))

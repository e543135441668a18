"""Sixty made-up rosters that end on days of their own, and how well 12 and 26 weeks ahead were foreseen.

``uv run python tests/recovery/rosters.py FILE`` fits those that FILE does not hold yet, in the order of the
list, and adds a line for each quantity, horizon and group of golfers. Kinds, seeds, days and sizes of what
practice gives follow from the seed alone, and were written down before the first roster was made.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from paryield.evaluate.made_up import score_club
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec, Priors
from paryield.synth import ClubSpec, MadeUpClub, make_club

FIRST_SEED, ROSTERS = 8301, 60
USUAL = ("steady", "weak", "thin", "busy")
STRESS = ("other", "silent", "growing", "lessons", "unposted", "harmful", "null")
SIZES = (0.5, 1.0, 2.0)
"""Factors on what practice gives, in turn over the usual kinds."""
AHEAD = (12, 26)
GOLFERS, WEEKS = 30, 60
LAST_DAY = date(2026, 7, 5)
USED = Priors()
EVERYBODY, STOPPED, JUNIORS = "all", "stopped", "juniors"


@dataclass(frozen=True)
class Roster:
    """One roster of the list."""

    seed: int
    kind: str
    size: float
    ends_on: date

    @property
    def spec(self) -> ClubSpec:
        """The club to make."""
        return ClubSpec(
            golfers=GOLFERS,
            weeks=WEEKS,
            seed=self.seed,
            case=self.kind,
            effect=self.size,
            ends_on=self.ends_on,
            future_weeks=AHEAD[-1] + 1,
            stats_share=0.5,
        )


def rosters() -> list[Roster]:
    """The sixty: 32 of the usual kinds, eight each, and 28 under stress, four each."""
    rng = np.random.default_rng(FIRST_SEED)
    kinds = [(kind, SIZES[turn % 3]) for turn in range(8) for kind in USUAL]
    kinds += [(kind, 1.0) for _ in range(4) for kind in STRESS]
    order = rng.permutation(len(kinds))
    days = rng.integers(0, 364, len(kinds))
    return [
        Roster(FIRST_SEED + place, *kinds[which], LAST_DAY - timedelta(days=int(day)))
        for place, (which, day) in enumerate(zip(order, days, strict=True))
    ]


def groups(club: MadeUpClub) -> dict[str, set[str]]:
    """Everybody, and those who stopped practising and writing, or who grow."""
    stress, ids = club.truth.roster.stress, np.array(club.truth.ids)
    found = {
        EVERYBODY: np.ones(len(ids), dtype=bool),
        STOPPED: stress.quits < club.truth.roster.now,
        JUNIORS: stress.junior,
    }
    return {name: set(ids[who]) for name, who in found.items() if who.any()}


def rows_of(roster: Roster, priors: Priors = USED) -> list[dict[str, object]]:
    """Make the roster, fit it, and hold its forecasts against the truth."""
    club = make_club(roster.spec)
    spec = ModelSpec(draws=250, tune=120, chains=2, seed=roster.seed, priors=priors)
    as_of = (roster.ends_on - date(1970, 1, 1)).days
    scores = score_club(club, fit_tables(club.tables, spec, as_of=as_of, cores=1), AHEAD)
    rows: list[dict[str, object]] = []
    for name, members in groups(club).items():
        mine = scores[scores["golfer_id"].isin(members)]
        for (weeks, quantity), part in mine.groupby(["weeks", "quantity"]):
            found = part[["cover50", "cover80", "cover95", "error"]].mean().round(4).to_dict()
            day = roster.ends_on + timedelta(weeks=int(weeks))
            rows.append(
                {"seed": roster.seed, "kind": roster.kind, "size": roster.size, "ends_on": roster.ends_on}
                | {"group": name, "weeks": weeks, "month": day.month, "quantity": quantity}
                | {"golfers": len(part), **found, "rmse": round(float((part["error"] ** 2).mean() ** 0.5), 4)}
            )
    return rows


def run(
    file: Path,
    listed: Sequence[Roster],
    rows: Callable[[Roster], list[dict[str, object]]] = rows_of,
) -> None:
    """Take the rosters of a list that FILE does not hold."""
    seen = set(pd.read_csv(file)["seed"]) if file.exists() else set()
    for roster in listed:
        if roster.seed not in seen:
            found = pd.DataFrame(rows(roster))
            found.to_csv(file, mode="a", header=not file.exists(), index=False, lineterminator="\n")
            print(roster, flush=True)


if __name__ == "__main__":
    run(Path(sys.argv[1]), rosters())

"""Clubs of two families, in which practice is worth much the same, and what one club learns from the others.

``uv run python tests/recovery/learnt_families.py FILE`` makes ten clubs of each family, each with a year of
blocks by lot and weekly tests, fits them and passes on what they learnt to thin clubs without a diary. It
adds a line to FILE for each thin club and each start: alone, from its own family, from the other one. A run
that was stopped goes on where it was; fits are kept.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pandas as pd
from season_year import fit_kept, named_best
from tested_years import tested_weekly, year_of_blocks

from paryield.evaluate.plans import plan_regret, thrown_away
from paryield.model.spec import ModelSpec
from paryield.posterior import Posterior
from paryield.posterior.learnt import Learnt, LearntPrior, combine, learnt_of
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.synth.skills import PARTS

FAMILIES = {
    "short": {
        "line": 1.4, "pace": 1.4, "chip": 1.5, "pitch": 1.5, "sand": 1.5,
        "tee_line": 0.6, "tee_speed": 0.6, "strike": 0.5, "distance": 0.5,
    },
    "long": {
        "line": 0.6, "pace": 0.6, "chip": 0.6, "pitch": 0.6, "sand": 0.7,
        "tee_line": 1.5, "tee_speed": 1.6, "strike": 1.2, "distance": 1.2,
    },
}  # fmt: skip
"""Factors on how much of each part of the game practice takes away. The shipped generator has 1 everywhere:
neither family is like it, nor like the model's prior, which knows no category from another. Factors on hours,
tried before, made no families: what is practised with more effect wears out sooner, and after a year the
returns of both were alike."""
APART = 0.2
"""Spread of them between clubs of one family, on the log scale: a fifth, in place of the generator's own."""
TEACHERS = {"short": range(7501, 7511), "long": range(7521, 7531)}
PUPILS = {"short": range(7541, 7547), "long": range(7551, 7557)}
"""Seeds of the clubs that teach and of those that learn; written down before the first of them was made. 7401
to 7456 were of the families that were none; 9301 to 9303 were made to see that these are, and not fitted."""
SPEC = ModelSpec(chains=2, draws=150, tune=120)
ALONE, OWN, OTHER = "alone", "own family", "other family"


@contextmanager
def of_family(family: str) -> Iterator[None]:
    """Let practice take away in this club what it takes away in clubs of the family."""
    factors = FAMILIES[family]
    parts = tuple(replace(part, ceiling=part.ceiling * factors[part.name]) for part in PARTS)
    with patch("paryield.synth.skills.PARTS", parts), patch("paryield.synth.skills.CLUB_SPREAD", APART):
        yield


def taught(family: str, seed: int) -> Learnt:
    """Return what a club of forty passes on after a year of blocks by lot and weekly tests."""
    spec = year_of_blocks(seed)
    with of_family(family), tested_weekly():
        club = make_club(spec)
    fit = fit_kept(club, f"family {family}", spec.ends_on, SPEC)
    hours = float(club.tables.practice["minutes"].fillna(0.0).sum()) / 60.0
    return learnt_of(fit, hours, f"club {seed}")


def pupil(family: str, seed: int) -> MadeUpClub:
    """Return a thin club of twelve: half a year, few rounds, no tests, usual habits."""
    with of_family(family):
        return make_club(ClubSpec(golfers=12, seed=seed, weeks=26, case="thin", late_share=0.0))


def row_of(family: str, seed: int, start: str, club: MadeUpClub, fit: Posterior) -> dict[str, object]:
    """Return what a pupil's plans throw away, what the category named best is worth, and the conflict."""
    with of_family(family):
        lost = thrown_away(plan_regret(club, fit)).set_index("rule")["thrown_away"]
        best = named_best(club, fit)
    told = fit.facts.get("learnt") or {}
    return {
        "family": family,
        "seed": seed,
        "start": start,
        "golfers": len(fit.golfers),
        **{f"lost_{str(rule).replace(' ', '_')}": round(float(value), 4) for rule, value in lost.items()},
        "best_named": round(best, 4),
        "usual_after": round(float(told.get("usual_after", np.nan)), 3),
        "conflict": bool(told.get("conflict", False)),
    }


def run(file: Path) -> None:
    """Teach, and let those learn that FILE does not hold yet."""
    seen = set()
    if file.exists():
        there = pd.read_csv(file)
        seen = set(zip(there["seed"], there["start"], strict=True))
    priors: dict[str, LearntPrior] = {}
    for family, seeds in TEACHERS.items():
        priors[family] = combine([taught(family, seed) for seed in seeds])
        print(
            family, dict(zip(priors[family].names, np.round(priors[family].mean, 2), strict=True)), flush=True
        )
    for family, seeds in PUPILS.items():
        other = next(name for name in FAMILIES if name != family)
        for seed in seeds:
            for start, prior in ((ALONE, None), (OWN, priors[family]), (OTHER, priors[other])):
                if (seed, start) in seen:
                    continue
                club = pupil(family, seed)
                spec = ModelSpec(chains=2, draws=500, tune=300, learnt=prior)
                fit = fit_kept(club, f"pupil {family} {start}", club.spec.ends_on, spec)
                row = row_of(family, seed, start, club, fit)
                pd.DataFrame([row]).to_csv(file, mode="a", header=not file.exists(), index=False)
                print(row, flush=True)


if __name__ == "__main__":
    run(Path(sys.argv[1]))

"""What is advised, and what is claimed as measured, on clubs made for nothing else.

The seeds were written down before the first run and are not to be tuned on; 401 to 404 (steady, steady, weak,
thin) were used up when the rule for keeping a week was settled, and 411 to 434 were looked at before version
0.6.0. 441 to 454 were looked at again when it turned out that an even split had been given more hours than
some golfers have; on those below drawing weeks toward an even split was seen not to help, and taken out:
whoever changes how weeks are advised takes fresh ones. By hand: uv run pytest -m slow
"""

from __future__ import annotations

from dataclasses import asdict

import pandas as pd
import pytest
from contrasts_found import contrasts_found
from long_fits import fitted

from paryield.evaluate.plans import kept, plan_regret, thrown_away
from paryield.model.spec import ModelSpec
from paryield.plan import returns_fit
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, MadeUpClub

pytestmark = pytest.mark.slow

USUAL = (("steady", 461), ("weak", 462), ("thin", 463), ("busy", 464), ("other", 465))
NULL = (466, 467, 468)
BLOCKS = (("steady", 471), ("other", 472), ("null", 473), ("null", 474))
GOLFERS = 40


def club_and_fit(case: str, seed: int) -> tuple[MadeUpClub, Posterior]:
    """A made-up club of 40 golfers and a year."""
    spec = ModelSpec(draws=300, tune=120, chains=2, seed=seed)
    return fitted(ClubSpec(golfers=GOLFERS, weeks=52, seed=seed, case=case, stats_share=0.5), spec)


def test_what_is_advised_loses_less_than_the_present_week() -> None:
    """Usual habits, where little is measured and most is a week to try: 4 hours for 16 weeks.

    So it does than an even split of the same hours, in the mean over clubs.
    """
    tables = []
    for case, seed in USUAL:
        club, fit = club_and_fit(case, seed)
        tables.append(plan_regret(club, fit).assign(case=case, seed=seed))
    table = pd.concat(tables)
    by_club = thrown_away(table, ["case", "seed"]).pivot(
        index=["case", "seed"], columns="rule", values="thrown_away"
    )
    print(by_club.round(3).to_string())
    print(table[table["rule"] == "advised"].groupby(["case", "seed"])["verdict"].value_counts().to_string())
    mean = by_club.mean()
    assert mean["advised"] < min(mean["present"], mean["even"])
    assert (by_club["advised"] < by_club["present"]).mean() >= 0.75


def test_where_practice_does_nothing_no_change_is_called_measured() -> None:
    """Told to change: at most 1 golfer in 20; categories that stand out: at most 1 in 20."""
    verdicts, words = [], []
    for seed in NULL:
        club, fit = club_and_fit("null", seed)
        verdicts.append(kept(club, fit))
        answers = returns_fit(fit).to_frame()
        words.append(answers[answers["category"] != "phantom"])
    told, found = pd.concat(verdicts), pd.concat(words)
    print(told["verdict"].value_counts().to_string())
    print(found["evidence"].value_counts().to_string(), found["verdict"].value_counts().to_string())
    assert float((told["verdict"] == "change").mean()) <= 0.05
    assert float((found["verdict"] == "stands out").mean()) <= 0.05


def blocks_club(case: str, seed: int) -> tuple[MadeUpClub, Posterior]:
    """A year of blocks in random order and tests every other week."""
    spec = ClubSpec(golfers=GOLFERS, weeks=52, seed=seed, case=case, blocks_share=1.0, assessments=True)
    return fitted(spec, ModelSpec(draws=300, tune=120, chains=2, seed=seed))


@pytest.mark.xfail(reason="ranges of what was measured are too narrow: see notebook 04", strict=False)
def test_what_blocks_by_lot_measured_is_so() -> None:
    """80 % ranges of contrasts hold; the truth is that of the club's mean returns, by running the generator
    forward twice."""
    rows = []
    for case, seed in BLOCKS:
        club, fit = blocks_club(case, seed)
        rows += [{"case": case, "seed": seed} | asdict(one) for one in contrasts_found(club, fit)]
        if case != "null":
            print(thrown_away(plan_regret(club, fit)).round(3).to_string())
    table = pd.DataFrame(rows)
    print(table.round(2).to_string())
    known = table[(table["case"] != "null") & (table["word"] != "assumed")]
    covered = (known["truth"] > known["low"]) & (known["truth"] < known["high"])
    assert covered.mean() >= 0.6


def test_blocks_by_lot_change_no_week_where_practice_does_nothing() -> None:
    """Told to change: at most 1 golfer in 20."""
    clubs = [(case, *blocks_club(case, seed)) for case, seed in BLOCKS]
    verdicts = pd.concat([kept(club, fit).assign(case=case) for case, club, fit in clubs])
    print(verdicts.groupby("case")["verdict"].value_counts().to_string())
    null = verdicts[verdicts["case"] == "null"]
    assert float((null["verdict"] == "change").mean()) <= 0.05

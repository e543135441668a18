"""Forecast intervals hold on clubs whose form is not the model's. By hand: uv run pytest -m slow"""

from __future__ import annotations

import pandas as pd
import pytest
from evidence import keep
from joblib import Parallel, delayed

from paryield.evaluate.made_up import score_club
from paryield.evaluate.scores import pooled
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club

pytestmark = pytest.mark.slow

CLUBS = [(case, seed) for seed in range(11, 16) for case in ("steady", "weak")]

KEPT = ("quantity", "weeks", "case", "seed", "n", "cover50", "cover80", "cover95", "bias", "rmse", "crps")


def one(case: str, seed: int) -> pd.DataFrame:
    """Scores of one made-up club of 60 golfers and 18 months, 12 weeks ahead."""
    club = make_club(ClubSpec(golfers=60, seed=seed, case=case))
    fit = fit_tables(club.tables, ModelSpec(draws=200, tune=150, chains=2, seed=seed), cores=1)
    return score_club(club, fit, (4, 12, 25)).assign(case=case, seed=seed)


def test_80_percent_intervals_hold_74_to_86_percent_after_12_weeks() -> None:
    """Pooled over 10 clubs: mean differential and handicap index."""
    table = pd.concat(Parallel(n_jobs=2)(delayed(one)(case, seed) for case, seed in CLUBS))
    command = "uv run pytest -m slow tests/recovery/test_coverage.py"
    order = table.sort_values(["quantity", "weeks", "case", "seed"])[list(KEPT)]
    keep("coverage", order.round(3), seeds="11 to 15 of each kind", command=command)
    scores = pooled(table, ["quantity", "weeks"])
    print(scores.round(3).to_string())
    for quantity in ("mean_differential", "handicap_index"):
        row = scores[(scores["quantity"] == quantity) & (scores["weeks"] == 12)].iloc[0]
        assert 0.74 <= row["cover80"] <= 0.86, quantity

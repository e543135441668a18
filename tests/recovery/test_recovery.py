"""Planted gains come back, and the answer is not the prior. By hand: uv run pytest -m slow tests/recovery"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from evidence import keep
from joblib import Parallel, delayed

from paryield.evaluate.recovery import recover
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec

pytestmark = pytest.mark.slow


def one(seed: int) -> pd.DataFrame:
    """Gains at 0.5, 1 and 2 times the prior median, 60 golfers, 18 months, practice in blocks."""
    spec = ModelSpec(draws=150, tune=150, chains=2, seed=seed)
    club = ClubSpec(golfers=60, weeks=78, seed=1000 + seed, rounds_per_month=4.0, stats_share=1.0)
    return recover(seed, spec, club)


def test_planted_gains_are_covered_and_recovered() -> None:
    """20 seeds x 6 categories: 80 % intervals hold 86-106 of 120 (two binomial errors), slope >= 0.5."""
    table = pd.concat(Parallel(n_jobs=2)(delayed(one)(seed) for seed in range(20)))
    print(table.groupby("truth")[["mean", "covered"]].mean())
    command = "uv run pytest -m slow tests/recovery/test_recovery.py"
    keep("planted_gains", table.round(3), seeds="0 to 19; clubs 1000 to 1019", command=command)
    slope = np.polyfit(table["truth"], table["mean"], 1)[0]
    print(f"covered {int(table['covered'].sum())} of {len(table)}, slope {slope:.2f}")
    assert 86 <= int(table["covered"].sum()) <= 106
    assert slope >= 0.5

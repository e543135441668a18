"""Golfers who do 60 % of their plans get forecasts that hold. By hand: uv run pytest -m slow"""

from __future__ import annotations

import pandas as pd
import pytest
from joblib import Parallel, delayed
from long_fits import fitted

from paryield.evaluate.made_up import score_plans
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec

pytestmark = pytest.mark.slow


def one(seed: int) -> pd.DataFrame:
    """60 golfers, 18 months, half a year of plans of which they do about 60 %."""
    spec = ModelSpec(draws=200, tune=150, chains=2, seed=seed)
    club, fit = fitted(ClubSpec(golfers=60, seed=seed, plan_weeks=26, adherence=0.6), spec)
    return score_plans(club, fit).assign(seed=seed)


def test_forecasts_of_plans_as_usually_done_hold_74_to_86_percent() -> None:
    """Pooled over 6 clubs, 12 weeks ahead; the share itself is held by its 80 % interval too."""
    table = pd.concat(Parallel(n_jobs=2)(delayed(one)(seed) for seed in range(31, 37)))
    print(table.groupby("kind")[["cover80", "error", "crps", "share_true", "share_q50"]].mean().round(3))
    usual = table[table["kind"] == "usual"]
    assert 0.74 <= usual["cover80"].mean() <= 0.86
    assert 0.70 <= usual["share_held"].mean() <= 0.90
    assert abs((usual["share_q50"] - usual["share_true"]).mean()) < 0.05

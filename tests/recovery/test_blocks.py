"""A block tells what it was expected to tell, and more than one by lot. By hand: uv run pytest -m slow"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from joblib import Parallel, delayed

from paryield.evaluate.blocks import block_trial
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club

pytestmark = pytest.mark.slow

SEEDS = range(16)
WEEKS = 26


def test_a_staggered_block_closes_the_question_by_what_was_predicted() -> None:
    """One club of 40 golfers who play often; 16 draws of the fit as truth, fitted again after 26 weeks."""
    club = make_club(ClubSpec(golfers=40, weeks=52, seed=21, rounds_per_month=6.0))
    spec = ModelSpec(draws=250, tune=150, chains=2, seed=1)
    fit = fit_tables(club.tables, spec)
    rows = Parallel(n_jobs=2)(
        delayed(block_trial)(fit, club.tables, spec, WEEKS, seed, best=best)
        for seed in SEEDS
        for best in (True, False)
    )
    table = pd.DataFrame(rows).assign(best=[best for _ in SEEDS for best in (True, False)])
    print(table.groupby("best")[["before", "predicted", "after"]].mean().round(3).to_string())
    advised, by_lot = table[table["best"]], table[~table["best"]]
    miss = advised["after"] - advised["predicted"]
    error = np.hypot(miss.std() / np.sqrt(len(miss)), advised["error"].mean())
    print(f"missed by {miss.mean():.3f} bits, Monte Carlo error {error:.3f}")
    assert abs(miss.mean()) <= 3 * error
    assert advised["after"].mean() < by_lot["after"].mean()

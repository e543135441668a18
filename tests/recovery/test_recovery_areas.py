"""Less detail: as unbiased, as calibrated, and wider.

By hand: uv run pytest -m slow tests/recovery/test_recovery_areas.py -s
"""

from __future__ import annotations

import pandas as pd
import pytest
from joblib import Parallel, delayed

from paryield.evaluate.areas import DETAIL, detailed_club, fit_detail, table_by_detail
from paryield.model.spec import ModelSpec

pytestmark = pytest.mark.slow

SEEDS = range(31, 41)


def test_areas_are_unbiased_and_calibrated_at_each_level_of_detail() -> None:
    """10 clubs x 3 levels: |mean bias| < 0.1 stroke, 80 % intervals hold 74-86 %, ever wider.

    Half of each club's golfers keep the shots of every round; the other half is scored. By area the clubs'
    own shares scatter: there the bias must lie within three of its errors, taken over clubs.
    """
    specs = {seed: ModelSpec(draws=150, tune=150, chains=2, seed=seed) for seed in SEEDS}
    jobs = (
        delayed(fit_detail)(seed, level, specs[seed], detailed_club(seed, golfers=30))
        for seed in SEEDS
        for level in DETAIL
    )
    scores = pd.concat(Parallel(n_jobs=2)(jobs), ignore_index=True)
    table, areas = table_by_detail(scores), table_by_detail(scores, ("detail", "area"))
    print(table.round(3).to_string(index=False))
    print(areas.round(3).to_string(index=False))
    assert table["bias"].abs().max() < 0.1
    assert (areas["bias"].abs() < 3.0 * areas["bias_se"]).all()
    assert table["cover80"].between(0.74, 0.86).all()
    assert table["width80"].is_monotonic_increasing

"""Errors by golfer against statsmodels, and verdicts by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from paryield.evaluate.scores import BEATEN, BETTER, LEVEL, clustered_error, skill


def test_clustered_error_is_that_of_statsmodels() -> None:
    """Second route: OLS on a constant with cluster-robust covariance; statsmodels multiplies by
    (n - 1) / (n - k) with k = 1, which is 1 here."""
    rng = np.random.default_rng(3)
    clusters = rng.integers(0, 12, 200)
    values = rng.normal(size=12)[clusters] + rng.normal(size=200)
    fit = sm.OLS(values, np.ones(200)).fit(cov_type="cluster", cov_kwds={"groups": clusters})
    assert clustered_error(values, clusters) == pytest.approx(float(fit.bse[0]), rel=1e-12)


def test_one_golfer_has_no_error() -> None:
    assert np.isnan(clustered_error(np.array([1.0, 2.0]), np.array(["a", "a"])))


def scores(ours: list[float], theirs: list[float]) -> pd.DataFrame:
    rows = []
    for method, values in (("no_change", theirs), ("paryield", ours)):
        for place, crps in enumerate(values):
            rows.append(
                {"origin": 1, "golfer_id": f"g{place}", "event": "e", "weeks": 4, "quantity": "q"}
                | {"method": method, "crps": crps, "error": crps - 1.0, "rank": place / 10 + 0.05}
                | {"cover50": 1.0, "cover80": float(place < 2), "cover95": 1.0}
            )
    return pd.DataFrame(rows)


def test_verdicts_and_sums_by_hand() -> None:
    found = skill(scores([1.0, 1.1, 0.9, 1.0], [2.0, 2.2, 2.1, 1.9]))
    ours, plain = found
    assert [ours["method"], plain["method"]] == ["paryield", "no_change"]
    assert "verdict" not in ours
    assert plain["verdict"] == BEATEN
    assert plain["ours_better_by"] == pytest.approx(1.05)
    assert ours["crps"] == pytest.approx(1.0)
    assert ours["cover80"] == 0.5
    assert ours["rmse"] == pytest.approx(np.sqrt((0 + 0.01 + 0.01 + 0) / 4))
    assert ours["pit"] == [0.25, 0.25, 0.25, 0.25, 0, 0, 0, 0, 0, 0]
    assert skill(scores([2.0, 2.2, 2.1, 1.9], [1.0, 1.1, 0.9, 1.0]))[1]["verdict"] == BETTER
    assert skill(scores([1.0, 3.0, 1.0, 3.0], [2.0, 1.8, 2.2, 2.1]))[1]["verdict"] == LEVEL

"""Scores against published values and the closed form; errors against statsmodels; verdicts by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from paryield.evaluate.scores import (
    BEATEN,
    BETTER,
    LEVEL,
    LEVELS,
    clustered_error,
    crps_draws,
    crps_normal,
    held,
    pooled,
    score_draws,
    skill,
)


@pytest.mark.parametrize(
    ("z", "expected", "digits"),
    [(-3.0, 2.43657473, 8), (0.0, 0.2336950, 7), (1.0, 0.6024414, 7)],
)
def test_crps_of_a_normal_is_the_published_value(z: float, expected: float, digits: int) -> None:
    """z = -3: tests of the R package scoringRules (rdrr.io/cran/scoringRules, verified); z = 0 and 1
    computed from the formula of Gneiting & Raftery 2007."""
    assert crps_normal(0.0, 1.0, z) == pytest.approx(expected, abs=10.0**-digits)
    assert crps_normal(0.0, 2.5, 2.5 * z) == pytest.approx(2.5 * expected, abs=1e-6)


def test_crps_of_draws_approaches_the_closed_form() -> None:
    draws = np.random.default_rng(1).normal(size=200_000)
    assert crps_draws(draws, 1.0) == pytest.approx(0.6024414, abs=0.004)


def test_crps_of_draws_equals_all_pairs() -> None:
    draws = np.random.default_rng(2).normal(size=50)
    pairs = np.abs(draws[:, None] - draws[None, :]).mean()
    assert crps_draws(draws, 0.3) == pytest.approx(np.abs(draws - 0.3).mean() - pairs / 2)


def test_intervals_hold_what_they_should() -> None:
    draws = np.linspace(-1.0, 1.0, 2001)
    inside, outside = score_draws(draws, 0.6), score_draws(draws, 0.96)
    assert (inside["cover50"], inside["cover80"], inside["cover95"]) == (0.0, 1.0, 1.0)
    assert (outside["cover80"], outside["cover95"]) == (0.0, 0.0)
    table = pooled(pd.DataFrame([inside, outside]).assign(kind="x"), ["kind"])
    assert table.loc[0, "n"] == 2
    assert table.loc[0, "cover80"] == 0.5
    assert table.loc[0, "rmse"] == pytest.approx(np.sqrt((0.6**2 + 0.96**2) / 2))


def test_a_forecast_in_steps_is_held_as_often_as_it_says() -> None:
    """Truths drawn from the forecast itself: an index that hardly moves, and one by tenths."""
    rng = np.random.default_rng(1)
    still = rng.choice([9.9, 10.0, 10.1], size=400, p=[0.2, 0.5, 0.3])
    for draws in (still, np.round(rng.normal(10.0, 0.2, 400), 1), rng.normal(10.0, 0.2, 400)):
        for name, level in LEVELS.items():
            values, counts = np.unique(draws, return_counts=True)
            each = [score_draws(draws, float(value))[name] for value in values]
            assert np.average(each, weights=counts) == pytest.approx(level, abs=1e-9)


def test_a_truth_on_the_end_of_a_range_counts_in_part() -> None:
    """Draws 20, 50 and 30 of 100 on three values: of the 30 highest 5 lie in the middle half."""
    draws = np.array([9.9] * 20 + [10.0] * 50 + [10.1] * 30)
    assert held(draws, 10.1, 0.5) == pytest.approx(5 / 30)
    assert held(draws, 10.0, 0.5) == pytest.approx(45 / 50)
    assert held(draws, 9.9, 0.5) == 0.0
    assert held(draws, 10.05, 0.5) == 1.0
    assert held(draws, 10.2, 0.95) == 0.0


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

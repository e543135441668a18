"""Scores against published values and the closed form."""

import numpy as np
import pandas as pd
import pytest

from paryield.evaluate.scores import LEVELS, crps_draws, crps_normal, held, pooled, score_draws


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

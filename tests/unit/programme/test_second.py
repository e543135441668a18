"""The plain second route against closed forms, brute force and planted effects."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.programme.design import grouped_fit, window_cover
from paryield.programme.second import compare_groups, cover, luck_sd, staggered, whitened


def test_without_a_level_before_it_is_the_difference_of_means():
    """Welch's error times sqrt(n / (n - 2)) x the (n - 1) / n of each group: HC1 by hand."""
    y, group = np.array([1.0, 2.0, 6.0, 4.0, 8.0]), np.array([0, 0, 0, 1, 1])
    found = compare_groups(y, group)
    assert found.value == pytest.approx(6.0 - 3.0)
    by_hand = np.sqrt((np.var(y[:3]) / 3 + np.var(y[3:]) / 2) * 5 / 3)
    assert found.error == pytest.approx(by_hand)


def test_many_clubs_at_once_equal_one_at_a_time():
    rng = np.random.default_rng(1)
    before, treated = rng.normal(size=(3, 30)), np.repeat([1.0, 0.0], 15)
    after = 0.6 * before - 1.0 * treated + rng.normal(size=(3, 30))
    value, error = grouped_fit(before, after, treated)
    for club in range(3):
        one = compare_groups(after[club], treated, before[club])
        assert (value[club], error[club]) == (pytest.approx(one.value), pytest.approx(one.error))


def test_covariance_of_window_means_against_simulated_form():
    rng = np.random.default_rng(2)
    before, after = np.array([-30.0, -10.0]), np.array([5.0, 40.0, 90.0])
    days = np.concatenate([before, after])
    form = 0.81 * np.exp(-np.abs(days[:, None] - days[None, :]) / 60.0)
    rounds = rng.multivariate_normal(np.zeros(5), form, 200_000) + 3.0 * rng.normal(size=(200_000, 5))
    means = np.stack([rounds[:, :2].mean(axis=1), rounds[:, 2:].mean(axis=1)])
    np.testing.assert_allclose(window_cover(before, after, 0.9, 60.0, 3.0), np.cov(means), atol=0.05)


def panel(effect: float, noise: float, seed: int = 3) -> tuple[pd.DataFrame, np.ndarray]:
    """Twelve golfers, eight of whom join at different times; season common to all."""
    rng = np.random.default_rng(seed)
    rows, exposure = [], []
    for golfer in range(12):
        start = 150 + 20 * golfer if golfer < 8 else 10**6
        for day in range(golfer % 7, 540, 9):
            share = float(np.clip((day - start) / 84, 0, 1))
            # A calendar month is one level, so the season is made constant within it.
            month = (np.datetime64(day, "D").astype("datetime64[M]").astype(int)) % 12
            score = 10 + golfer + 0.8 * np.cos(month) + effect * share + noise * rng.normal()
            rows.append({"who": f"G{golfer}", "day": day, "score": score})
            exposure.append(share)
    return pd.DataFrame(rows), np.array(exposure)


def test_a_planted_effect_comes_back_nearly_without_luck():
    """Golfers' levels are drawn in a little, so the match is not exact."""
    rounds, exposure = panel(-1.5, 0.0)
    found = staggered(rounds, exposure, golfer="who", day="day", score="score")
    assert found is not None
    assert found.value == pytest.approx(-1.5, abs=0.1)


def test_intervals_hold_a_planted_effect_about_nine_times_in_ten():
    """60 seeds; 90 % +- three binomial errors is 78 to 100 %."""
    inside = 0
    for seed in range(60):
        rounds, exposure = panel(-0.5, 3.0, seed)
        found = staggered(rounds, exposure, golfer="who", day="day", score="score")
        assert found is not None
        low, high = found.interval()
        inside += low <= -0.5 <= high
    assert 47 <= inside <= 60


def test_everyone_joining_at_once_cannot_be_told_from_the_calendar():
    rounds, _ = panel(0.0, 1.0)
    at_once = (rounds["day"] >= 273).to_numpy(float)
    assert staggered(rounds, at_once, golfer="who", day="day", score="score") is None
    assert staggered(rounds, np.zeros(len(rounds)), golfer="who", day="day", score="score") is None


def test_whitened_rounds_give_generalised_least_squares():
    rng = np.random.default_rng(5)
    who, days = np.repeat([0, 1], 6), np.sort(rng.uniform(0, 300, 12))
    design, y = rng.normal(size=(12, 2)), rng.normal(size=12)
    x_turned, y_turned = whitened(design, y, who, days)
    luck = max(luck_sd(y, who, days), 0.5)
    inverse = np.zeros((12, 12))
    for golfer in (0, 1):
        rows = np.flatnonzero(who == golfer)
        inverse[np.ix_(rows, rows)] = np.linalg.inv(cover(days[rows], luck))
    by_hand = np.linalg.solve(design.T @ inverse @ design, design.T @ inverse @ y)
    np.testing.assert_allclose(np.linalg.lstsq(x_turned, y_turned, rcond=None)[0], by_hand, rtol=1e-8)


def test_luck_is_half_the_mean_squared_step():
    scores = np.array([1.0, 3.0] * 10)
    assert luck_sd(scores, np.zeros(20, int), np.arange(20.0)) == pytest.approx(np.sqrt(2.0))

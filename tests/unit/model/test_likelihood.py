"""The likelihood with golfers integrated out, against brute force and against tensors."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytensor
import pytensor.tensor as pt
from scipy.stats import multivariate_normal

from paryield.model.build import marginal_log_likelihood, presence
from paryield.model.design import Observations
from paryield.model.effects import golfer_posterior
from paryield.model.rows import effect_path, golfer_rows, in_strokes, information
from paryield.model.simulate import simulate_rounds


def design_matrix(p: dict[str, Any], data: Observations, golfer: int) -> tuple[np.ndarray, ...]:
    """Rows of one golfer's standardised effects, by pushing unit effects through the path one at a time."""
    rows = golfer_rows(p, data, np)
    columns = []
    for effect in range(data.effects):
        unit = np.zeros((len(data.golfers), data.effects))
        unit[golfer, effect] = 1.0
        path = effect_path(in_strokes(unit, p, data, np), p, data, rows, np)
        columns.append(np.concatenate([(load * path).sum(axis=2).ravel() for load in rows.loads]))
    seen = np.concatenate([(has * data.belongs[:, [golfer]]).ravel() for has in presence(data)]) > 0
    residual = np.concatenate([res.ravel() for res in rows.residual])[seen]
    sd = np.concatenate([sd.ravel() for sd in rows.sd])[seen]
    return np.array(columns).T[seen], residual, sd


def brute_force(p: dict[str, Any], data: Observations) -> float:
    """Dense multivariate normal of every golfer's rounds: the second route."""
    total = 0.0
    for golfer in range(len(data.golfers)):
        rows, residual, sd = design_matrix(p, data, golfer)
        total += multivariate_normal(cov=rows @ rows.T + np.diag(sd**2)).logpdf(residual)
    return total


def tensors(p: dict[str, Any]) -> dict[str, Any]:
    return {name: pt.as_tensor(np.asarray(value, dtype=float)) for name, value in p.items()}


def test_integrated_likelihood_equals_the_dense_normal(values: dict[str, Any], drawn: Observations) -> None:
    rows = golfer_rows(tensors(values), drawn, pt)
    found = marginal_log_likelihood(tensors(values), drawn, rows).eval(mode="JAX")
    np.testing.assert_allclose(float(found), brute_force(values, drawn), rtol=1e-9)


def test_numpy_and_tensors_give_the_same_rows(values: dict[str, Any], drawn: Observations) -> None:
    plain = golfer_rows(values, drawn, np)
    symbolic = golfer_rows(tensors(values), drawn, pt)
    expected = information(values, drawn, plain, np)
    found = pytensor.function([], information(tensors(values), drawn, symbolic, pt), mode="JAX")()
    for here, there in zip(found, expected, strict=True):
        np.testing.assert_allclose(np.asarray(here), there, rtol=1e-9, atol=1e-9)


def test_golfers_posterior_equals_generalised_least_squares(
    values: dict[str, Any], drawn: Observations
) -> None:
    mean, factor = golfer_posterior(values, drawn)
    rows, residual, sd = design_matrix(values, drawn, 1)
    cover = np.linalg.inv(np.eye(drawn.effects) + rows.T @ (rows / sd[:, None] ** 2))
    np.testing.assert_allclose(np.linalg.inv(factor[1] @ factor[1].T), cover, rtol=1e-7, atol=1e-9)
    np.testing.assert_allclose(mean[1], cover @ rows.T @ (residual / sd**2), rtol=1e-7, atol=1e-9)


def test_golfers_are_recovered_with_the_stated_spread(values: dict[str, Any], design: Observations) -> None:
    """Standardised errors of drawn golfers are standard normal: mean within 4, spread within 4 errors."""
    errors = []
    for seed in range(60):
        data, effects = simulate_rounds(values, design, np.random.default_rng(seed))
        mean, factor = golfer_posterior(values, data)
        errors.append(np.einsum("nij,nj->ni", factor.transpose(0, 2, 1), effects - mean))
    table = np.array(errors)
    assert abs(table.mean()) < 4 / np.sqrt(table.size)
    assert abs(table.std() - 1.0) < 4 / np.sqrt(2 * table.size)


def test_gradient_of_the_integrated_likelihood_equals_finite_differences(
    values: dict[str, Any], drawn: Observations
) -> None:
    names = ["trend", "level_mean", "sd_wander", "sd_drift", "start_shift", "greens_slope", "putts_sd"]
    point = {name: pt.dscalar(name) for name in names}
    symbols = {**tensors(values), **point}
    density = marginal_log_likelihood(symbols, drawn, golfer_rows(symbols, drawn, pt))
    inputs = list(point.values())
    slopes = pytensor.function(inputs, pytensor.grad(density, inputs), mode="JAX")
    height = pytensor.function(inputs, density, mode="JAX")
    here = [float(values[name]) for name in names]
    for place, slope in enumerate(np.asarray(value) for value in slopes(*here)):
        step = 1e-5
        up, down = list(here), list(here)
        up[place] += step
        down[place] -= step
        numeric = (float(height(*up)) - float(height(*down))) / (2 * step)
        np.testing.assert_allclose(slope, numeric, rtol=1e-4, atol=1e-4)

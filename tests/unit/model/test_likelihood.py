"""The likelihood with golfers integrated out, against brute force and against tensors."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytensor
import pytensor.tensor as pt
import pytest
from scipy.stats import multivariate_normal

from paryield.model.build import build_model, marginal_log_likelihood
from paryield.model.conditional import Population
from paryield.model.density import Density
from paryield.model.design import Observations
from paryield.model.effects import golfer_posterior, natural_units, prior_cover
from paryield.model.rows import effect_path, golfer_rows, prior_precision
from paryield.model.simulate import simulate_rounds
from paryield.model.spec import ModelSpec


def design_matrix(p: dict[str, Any], data: Observations, golfer: int) -> tuple[np.ndarray, ...]:
    """Rows of one golfer's effects, by pushing unit effects through the path one at a time."""
    rows = golfer_rows(p, data, np)
    columns = []
    for effect in range(data.effects):
        unit = np.zeros((len(data.golfers), data.effects))
        unit[golfer, effect] = 1.0
        path = effect_path(unit, data, rows, p["share"])
        columns.append(np.concatenate([(load * path).sum(axis=1) for load in rows.loads.values()]))
    seen = np.concatenate([data.seen[kind] * (data.owner == golfer) for kind in rows.loads]) > 0
    residual = np.concatenate(list(rows.residual.values()))[seen]
    sd = np.concatenate(list(rows.sd.values()))[seen]
    return np.array(columns).T[seen], residual, sd


def brute_force(p: dict[str, Any], data: Observations) -> float:
    """Dense multivariate normal of every golfer's measurements: the second route."""
    total = 0.0
    cover = prior_cover(p, data)
    for golfer in range(len(data.golfers)):
        rows, residual, sd = design_matrix(p, data, golfer)
        total += multivariate_normal(cov=rows @ cover @ rows.T + np.diag(sd**2)).logpdf(residual)
    return total


def tensors(p: dict[str, Any]) -> dict[str, Any]:
    return {name: pt.as_tensor(np.asarray(value, dtype=float)) for name, value in p.items()}


def test_integrated_likelihood_equals_the_dense_normal(values: dict[str, Any], drawn: Observations) -> None:
    rows = golfer_rows(tensors(values), drawn, pt)
    found = marginal_log_likelihood(tensors(values), drawn, rows).eval(mode="FAST_COMPILE")
    np.testing.assert_allclose(float(found), brute_force(values, drawn), rtol=1e-9)


def test_numpy_and_tensors_give_the_same_rows(values: dict[str, Any], drawn: Observations) -> None:
    plain = golfer_rows(values, drawn, np)
    symbolic = golfer_rows(tensors(values), drawn, pt)
    for part in ("loads", "residual", "sd"):
        expected, graph = getattr(plain, part), getattr(symbolic, part)
        found = pytensor.function([], [pt.as_tensor(one) for one in graph.values()], mode="FAST_COMPILE")()
        for here, kind in zip(found, expected, strict=True):
            np.testing.assert_allclose(np.asarray(here), expected[kind], rtol=1e-9, atol=1e-9)


def test_the_sampled_density_equals_the_model_and_moves_along_its_gradient(
    drawn: Observations,
) -> None:
    spec = ModelSpec(most_knots=5, knot_days=50)
    fast, model = Density(drawn, spec), build_model(drawn, spec)
    compiled = model.compile_fn(model.logp(sum=False), mode="FAST_COMPILE")
    ends = np.cumsum([int(np.prod(shape, dtype=int)) for shape in fast.shapes])[:-1]
    rng = np.random.default_rng(3)
    for _ in range(3):
        x = fast.start + 0.3 * rng.normal(size=fast.size)
        parts = [part.reshape(shape) for part, shape in zip(np.split(x, ends), fast.shapes, strict=True)]
        expected = sum(np.sum(part) for part in compiled(dict(zip(fast.variables, parts, strict=True))))
        value, gradient = fast(x)
        np.testing.assert_allclose(value, expected, rtol=1e-10)
        step = 1e-5 * rng.normal(size=fast.size)
        numeric = fast(x + step)[0] - fast(x - step)[0]
        np.testing.assert_allclose(2 * gradient @ step, numeric, rtol=1e-4, atol=1e-7)


def test_the_scale_of_each_value_is_the_width_of_its_prior(drawn: Observations) -> None:
    """A normal prior's own sd is the width; that of wide or bounded values is at most one."""
    spec = ModelSpec(most_knots=5, knot_days=50)
    density = Density(drawn, spec)
    ends = np.cumsum([int(np.prod(shape, dtype=int)) for shape in density.shapes])[:-1]
    width = dict(zip(density.variables, np.split(density.width, ends), strict=True))
    assert width["putts_short_game"] == pytest.approx(spec.priors.putts_short_game_sd, rel=1e-4)
    assert width["up_and_downs_intercept"] == pytest.approx(spec.priors.up_and_downs_intercept_sd, rel=1e-4)
    assert width["putts_intercept"] == pytest.approx(1.0)
    assert width["share_simplex__"].shape == (3,)
    assert np.all((density.width > 0) & (density.width <= 1))


def test_prior_precision_is_the_inverse_of_the_prior_covariance(
    values: dict[str, Any], drawn: Observations
) -> None:
    precision, log_det = prior_precision(values, drawn, np)
    cover = prior_cover(values, drawn)
    np.testing.assert_allclose(precision @ cover, np.eye(drawn.effects), atol=1e-8)
    np.testing.assert_allclose(log_det, -np.linalg.slogdet(cover)[1], rtol=1e-9)


def test_golfers_posterior_equals_generalised_least_squares(
    values: dict[str, Any], drawn: Observations
) -> None:
    mean, found = golfer_posterior(values, drawn)
    rows, residual, sd = design_matrix(values, drawn, 1)
    cover = np.linalg.inv(np.linalg.inv(prior_cover(values, drawn)) + rows.T @ (rows / sd[:, None] ** 2))
    np.testing.assert_allclose(found[1], cover, rtol=1e-7, atol=1e-9)
    np.testing.assert_allclose(mean[1], cover @ rows.T @ (residual / sd**2), rtol=1e-7, atol=1e-9)


def repeated(values: dict[str, Any], count: int) -> dict[str, Any]:
    """The same population values as so many draws."""
    return {name: np.repeat(np.asarray(value)[None], count, axis=0) for name, value in values.items()}


def test_drawn_golfers_have_the_posterior_mean_and_covariance(
    values: dict[str, Any], drawn: Observations
) -> None:
    mean, cover = golfer_posterior(values, drawn)
    population = Population(repeated(values, 4000), ModelSpec(), drawn.knots)
    expected = natural_units(values, drawn, mean)
    for golfer in range(len(mean)):
        found = population.given(drawn, golfer, 1).values
        for name, places in {"level": slice(0, 4), "drift": slice(4, 8), "wander": slice(10, -3)}.items():
            each = np.sqrt(np.diag(cover[golfer])[places])
            error = np.abs(found[name].mean(axis=0) - expected[name][golfer])
            assert np.all(error < 5 * each / np.sqrt(4000))
            np.testing.assert_allclose(found[name].std(axis=0), each, rtol=0.06)
        assert found["noise_total"][0] == pytest.approx(expected["noise_total"][golfer])
        level = np.cov(found["level"].T) / np.sqrt(np.outer(*[np.diag(cover[golfer])[:4]] * 2))
        same = cover[golfer][:4, :4] / np.sqrt(np.outer(*[np.diag(cover[golfer])[:4]] * 2))
        np.testing.assert_allclose(level, same, atol=0.09)


def test_the_evidence_of_each_golfer_adds_up_to_the_integrated_likelihood(
    values: dict[str, Any], drawn: Observations
) -> None:
    """The reference is the symbolic form that the sampler is held against."""
    population = Population(repeated(values, 2), ModelSpec(), drawn.knots)
    found = sum(population.given(drawn, place, 1).evidence[0] for place in range(len(drawn.golfers)))
    symbols = tensors(values)
    density = marginal_log_likelihood(symbols, drawn, golfer_rows(symbols, drawn, pt))
    assert found == pytest.approx(float(density.eval()), rel=1e-9)


def test_golfers_are_recovered_with_the_stated_spread(values: dict[str, Any], design: Observations) -> None:
    """Standardised errors of drawn golfers are standard normal: mean within 4, spread within 4 errors."""
    errors = []
    for seed in range(60):
        data, effects = simulate_rounds(values, design, np.random.default_rng(seed))
        mean, cover = golfer_posterior(values, data)
        half = np.linalg.cholesky(np.linalg.inv(cover))
        errors.append(np.einsum("nij,nj->ni", half.transpose(0, 2, 1), effects - mean))
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
    slopes = pytensor.function(inputs, pytensor.grad(density, inputs), mode="FAST_COMPILE")
    height = pytensor.function(inputs, density, mode="FAST_COMPILE")
    here = [float(values[name]) for name in names]
    for place, slope in enumerate(np.asarray(value) for value in slopes(*here)):
        step = 1e-5
        up, down = list(here), list(here)
        up[place] += step
        down[place] -= step
        numeric = (float(height(*up)) - float(height(*down))) / (2 * step)
        np.testing.assert_allclose(slope, numeric, rtol=1e-4, atol=1e-4)

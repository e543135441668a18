"""Sampling on the scale of the curvature is the same posterior in other coordinates."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import halfnorm, lognorm

from paryield.model.build import build_model
from paryield.model.density import Density
from paryield.model.design import Observations
from paryield.model.prior import STRAIGHT
from paryield.model.scaled import FLATTEST, START, Scaled, compiled_for_nutpie, curvature, find_mode, scaled
from paryield.model.spec import ModelSpec


@pytest.fixture(scope="module")
def spec() -> ModelSpec:
    return ModelSpec(most_knots=5, knot_days=50)


def test_density_and_gradient_are_those_of_the_plain_form(drawn: Observations, spec: ModelSpec) -> None:
    plain = Density(drawn, spec)
    found = scaled(plain)
    rng = np.random.default_rng(1)
    for _ in range(3):
        z = rng.normal(size=found.size)
        value, slope = found(z)
        expected, gradient = plain(found.unscaled(z))
        assert value == pytest.approx(expected, rel=1e-12)
        np.testing.assert_allclose(np.linalg.solve(found.factor.T, slope), gradient, rtol=1e-6, atol=1e-6)
        step = 1e-5 * rng.normal(size=found.size)
        np.testing.assert_allclose(2 * slope @ step, found(z + step)[0] - found(z - step)[0], rtol=1e-4)
        assert found.values(z)["trend"] == pytest.approx(plain.values(found.unscaled(z))["trend"])


def test_values_do_not_depend_on_how_many_points_are_asked_for(drawn: Observations, spec: ModelSpec) -> None:
    found = scaled(Density(drawn, spec))
    points = np.random.default_rng(2).normal(size=(2, 5, found.size))
    together = found.density.values(points)
    for chain, draw in np.ndindex(2, 5):
        for name, value in found.density.values(points[chain, draw]).items():
            np.testing.assert_allclose(together[name][chain, draw], value, rtol=1e-12, atol=1e-14)


def test_at_the_mode_the_slope_is_nothing_and_the_curvature_one(drawn: Observations, spec: ModelSpec) -> None:
    found = scaled(Density(drawn, spec))
    assert np.abs(found(np.zeros(found.size))[1]).max() < 0.05
    bends, step = [], 1e-3
    for place in range(found.size):
        move = np.zeros(found.size)
        move[place] = step
        bends.append((found(-move)[1] - found(move)[1]) / (2 * step))
    values = np.linalg.eigvalsh(curvature(found.density, found.mode))
    np.testing.assert_allclose(np.array(bends), np.diag(values / np.maximum(values, FLATTEST)), atol=0.03)
    assert np.sum(values < FLATTEST) <= 1


class Normal:
    """A normal density whose mean and covariance are known, with the parts that scaling reads."""

    def __init__(self, mean: np.ndarray, cover: np.ndarray) -> None:
        self.mean, self.precision, self.size = mean, np.linalg.inv(cover), len(mean)
        self.start, self.width = np.zeros(len(mean)), np.full(len(mean), 0.5)

    def workspace(self) -> None:
        return None

    def __call__(self, x: np.ndarray, _memory: None = None) -> tuple[float, np.ndarray]:
        slope = -self.precision @ (x - self.mean)
        return float(0.5 * (x - self.mean) @ slope), slope


def test_a_normal_density_is_found_exactly() -> None:
    """Closed form: mode, curvature and factor of a normal are its mean, precision and covariance."""
    mean, cover = np.array([0.3, -1.0, 2.0]), np.array([[2.0, 0.6, 0.0], [0.6, 1.0, -0.4], [0.0, -0.4, 0.5]])
    known = Normal(mean, cover)
    np.testing.assert_allclose(find_mode(known), mean, atol=1e-2)  # type: ignore[arg-type]
    np.testing.assert_allclose(curvature(known, mean), 0.25 * np.linalg.inv(cover), rtol=1e-6)  # type: ignore[arg-type]
    found = scaled(known)  # type: ignore[arg-type]
    np.testing.assert_allclose(found.factor @ found.factor.T, cover, rtol=1e-6, atol=1e-9)


def test_where_the_density_is_flat_or_not_finite_the_prior_gives_the_scale() -> None:
    flat = Normal(np.zeros(2), np.diag([1.0, 1e9]))
    assert np.linalg.norm(scaled(flat).factor, axis=1).max() == pytest.approx(0.5 / np.sqrt(0.05))  # type: ignore[arg-type]
    broken = Normal(np.zeros(2), np.eye(2))
    broken.precision[0, 0] = np.nan
    found: Scaled = scaled(broken)  # type: ignore[arg-type]
    np.testing.assert_array_equal(found.factor, 0.5 * np.eye(2))


def test_chains_start_apart_and_near_the_mode(drawn: Observations, spec: ModelSpec) -> None:
    found = scaled(Density(drawn, spec))
    starts = np.array([compiled_for_nutpie(found)._make_initial_points(seed) for seed in range(40)])
    assert np.abs(starts).max() <= START
    assert starts.std(axis=0).min() > 0.7
    assert not np.array_equal(starts[0], starts[1])


def test_spreads_keep_their_priors(drawn: Observations, spec: ModelSpec) -> None:
    """Log density of each spread's coordinate, against SciPy's half-normal and log-normal with the slope of
    softplus, or of the exponential, by hand."""
    model = build_model(drawn, spec)
    priors = spec.priors
    cases = {
        "sd_drift": halfnorm(scale=priors.drift_sd),
        "sd_response": halfnorm(scale=priors.response_spread),
        "sd_wander": lognorm(s=priors.wander_sd_log, scale=priors.wander_sd),
        "sd_area": lognorm(s=priors.area_sd_log, scale=priors.area_sd),
    }
    for name, law in cases.items():
        scale = law.kwds["scale"] / STRAIGHT
        half = name in ("sd_drift", "sd_response")
        sampled = model[f"{name}_unit" if half else name]
        value = model.rvs_to_values[sampled]
        (density,) = model.logp(vars=[sampled], sum=False)
        for at in (-2.0, 0.5, 4.0):
            found = density.eval({value: np.full((4,) if name == "sd_area" else (), at)}, mode="FAST_COMPILE")
            spread = scale * np.logaddexp(0.0, at) if half else np.exp(at)
            slope = scale / (1.0 + np.exp(-at)) if half else np.exp(at)
            np.testing.assert_allclose(np.ravel(found), law.logpdf(spread) + np.log(slope), rtol=1e-6)

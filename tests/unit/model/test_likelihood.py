"""The likelihood with golfers integrated out: against brute force, on tensors, on JAX, and compiled."""

from __future__ import annotations

from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import pytensor
import pytensor.tensor as pt
import pytest
from scipy.linalg import block_diag
from scipy.stats import multivariate_normal, norm

from paryield.model.build import build_model
from paryield.model.conditional import Population
from paryield.model.density import Density
from paryield.model.design import Observations
from paryield.model.golfers import (
    effect_path,
    golfer_posterior,
    in_turn,
    log_likelihood,
    natural_units,
    prior_cover,
    prior_precision,
)
from paryield.model.likelihood import measures, path, said
from paryield.model.population import FIXED, constants_of
from paryield.model.sheet import KINDS, Sheet, sheet_of
from paryield.model.simulate import simulate_rounds
from paryield.model.spec import ModelSpec
from paryield.model.terms.term import Values

SPEC = ModelSpec(most_knots=5, knot_days=50)


def design_matrix(p: Values, data: Observations, golfer: int) -> tuple[np.ndarray, ...]:
    """Rows of one golfer's effects, of his mismatch in each kind of test and of his form at them, by pushing
    units through the path one at a time."""
    sheet = sheet_of(data)
    whole = path(p, sheet, sheet.occasions, np)
    found = [
        (group, one)
        for place, group in enumerate(sheet.groups)
        for one in measures(p, sheet, sheet.occasions, whole, place, np)
    ]
    mine = [sheet.owner[group.first : group.last] == golfer for group, _ in found]
    columns = []
    for effect in range(data.effects):
        unit = np.zeros((len(data.golfers), data.effects))
        unit[golfer, effect] = 1.0
        own = effect_path(unit, whole.weights, sheet)
        moved = [(one.load * own[:, group.first : group.last]).sum(axis=0) for group, one in found]
        columns.append(np.concatenate([part[seen] for part, seen in zip(moved, mine, strict=True)]))
    for kind in range(data.kinds_of_test):
        moved = [
            one.mismatch * np.full(group.count, float(one.kind == "test" and group.alike == kind))
            for group, one in found
        ]
        columns.append(np.concatenate([part[seen] for part, seen in zip(moved, mine, strict=True)]))
    for spell in range(data.spells):
        during = [data.spell[sheet.rows[group.first : group.last]] == spell for group, _ in found]
        moved = [one.form * (one.kind == "test") * here for (_, one), here in zip(found, during, strict=True)]
        columns.append(np.concatenate([part[seen] for part, seen in zip(moved, mine, strict=True)]))
    residual = [one.residual[seen] for (_, one), seen in zip(found, mine, strict=True)]
    sd = [
        np.broadcast_to(one.variance**0.5, seen.shape)[seen]
        for (_, one), seen in zip(found, mine, strict=True)
    ]
    return np.array(columns).T, np.concatenate(residual), np.concatenate(sd)


def own_cover(p: Values, data: Observations) -> np.ndarray:
    """Prior covariance of a golfer's effects, of his mismatch in each kind of test and of his form."""
    return block_diag(prior_cover(p, data), np.eye(data.latents))


def brute_force(p: Values, data: Observations) -> float:
    """Dense multivariate normal of every golfer's measurements: the second route."""
    total = 0.0
    cover = own_cover(p, data)
    for golfer in range(len(data.golfers)):
        rows, residual, sd = design_matrix(p, data, golfer)
        total += multivariate_normal(cov=rows @ cover @ rows.T + np.diag(sd**2)).logpdf(residual)
    return total


def tensors(p: Values) -> Values:
    return p.each(lambda value: pt.as_tensor(np.asarray(value, dtype=float)))


def test_integrated_likelihood_equals_the_dense_normal(values: Values, drawn: Observations) -> None:
    expected = brute_force(values, drawn)
    assert log_likelihood(values, drawn, sheet_of(drawn)) == pytest.approx(expected, rel=1e-9)


def test_numpy_and_tensors_give_the_same_rows(values: Values, drawn: Observations) -> None:
    sheet = sheet_of(drawn)
    plain = said(values, sheet, sheet.occasions, np)
    symbolic = said(tensors(values), sheet, sheet.occasions, pt)
    outputs = [*symbolic.weights, *symbolic.loads, *symbolic.errors, symbolic.each]
    found = pytensor.function([], [pt.as_tensor(one) for one in outputs], mode="FAST_COMPILE")()
    for here, expected in zip(found, [*plain.weights, *plain.loads, *plain.errors, plain.each], strict=True):
        np.testing.assert_allclose(here, expected, rtol=1e-9, atol=1e-9)


def test_a_leading_axis_of_draws_gives_each_draw_its_own(values: Values, drawn: Observations) -> None:
    other = values | {"trend": values["trend"] + 1.0, "sd_wander": 2.0 * values["sd_wander"]}
    both = values | {name: np.stack([values[name], other[name]]) for name in values if name not in FIXED}
    sheet = sheet_of(drawn)
    expected = [log_likelihood(one, drawn, sheet) for one in (values, other)]
    np.testing.assert_allclose(log_likelihood(both, drawn, sheet), expected, rtol=1e-10)


def by_machine(p: Values, data: Observations, sheet: Sheet, moving: dict[str, Any]) -> Any:
    """Value and derivatives of the likelihood by JAX."""

    def value(changed: dict[str, Any]) -> Any:
        return log_likelihood(p | changed, data, sheet, jnp)

    return jax.jit(jax.value_and_grad(value))(moving)


@pytest.mark.slow
def test_the_compiled_gradient_equals_that_of_a_machine(values: Values, drawn: Observations) -> None:
    """Every derivative written by hand, on every kind of row, against JAX over the same equations."""
    density, sheet = Density(drawn, SPEC), sheet_of(drawn)
    x = density.start + 0.2 * np.random.default_rng(3).normal(size=density.size)
    value, gradient = density(x)
    p = constants_of(SPEC.priors) | density.values(x)
    moving = {name: jnp.asarray(one) for name, one in p.items() if name not in FIXED}
    expected, slopes = by_machine(p, drawn, sheet, moving)
    prior, pulled = density.prior(x, slopes)
    assert value == pytest.approx(float(expected) + prior, rel=1e-9)
    np.testing.assert_allclose(gradient, pulled, rtol=1e-9, atol=1e-9 * np.abs(pulled).max())


def test_the_sampled_density_is_prior_and_likelihood_and_moves_along_its_gradient(
    values: Values, drawn: Observations
) -> None:
    density, sheet, rng = Density(drawn, SPEC), sheet_of(drawn), np.random.default_rng(3)
    fixed = constants_of(SPEC.priors)
    for _ in range(2):
        x = density.start + 0.3 * rng.normal(size=density.size)
        p = density.values(x)
        prior, _ = density.prior(x, p.each(np.zeros_like))
        value, gradient = density(x)
        assert value == pytest.approx(prior + log_likelihood(fixed | p, drawn, sheet), rel=1e-10)
        for _ in range(3):
            step = 1e-5 * rng.normal(size=density.size)
            numeric = density(x + step)[0] - density(x - step)[0]
            np.testing.assert_allclose(2 * gradient @ step, numeric, rtol=1e-4, atol=1e-7)


@pytest.mark.slow
def test_the_sampled_density_equals_the_model(drawn: Observations) -> None:
    fast, model = Density(drawn, SPEC), build_model(drawn, SPEC)
    compiled = model.compile_fn(model.logp(sum=False), mode="FAST_COMPILE")
    ends = np.cumsum([int(np.prod(shape, dtype=int)) for shape in fast.shapes])[:-1]
    x = fast.start + 0.3 * np.random.default_rng(3).normal(size=fast.size)
    parts = [part.reshape(shape) for part, shape in zip(np.split(x, ends), fast.shapes, strict=True)]
    expected = sum(np.sum(part) for part in compiled(dict(zip(fast.variables, parts, strict=True))))
    np.testing.assert_allclose(fast(x)[0], expected, rtol=1e-10)


def test_observed_measurements_are_the_same_model(values: Values, drawn: Observations) -> None:
    """log p(y) = log p(y | b) + log p(b) - log p(b | y) at any effects and mismatches b."""
    sheet = sheet_of(drawn)
    mean = golfer_posterior(values, drawn)[0][:, : drawn.effects]
    effects = mean + 0.3 * np.random.default_rng(8).normal(size=mean.shape)
    both = [design_matrix(values, drawn, golfer) for golfer in range(len(mean))]
    before = own_cover(values, drawn)
    cover = [np.linalg.inv(np.linalg.inv(before) + (x.T / sd**2) @ x) for x, _, sd in both]
    mean = [one @ (x.T / sd**2) @ residual for one, (x, residual, sd) in zip(cover, both, strict=True)]
    apart = 0.3 * np.random.default_rng(9).normal(size=(len(mean), drawn.latents))
    total = 0.0

    def seen(_kind: str, centre: np.ndarray, sd: np.ndarray, observed: np.ndarray) -> np.ndarray:
        nonlocal total
        total += norm(centre, sd).logpdf(observed).sum()
        return observed

    in_turn(values, effects, sheet, seen, apart)
    prior = multivariate_normal(cov=before, allow_singular=False)
    for golfer, own in enumerate(np.concatenate([effects, apart], axis=1)):
        total += prior.logpdf(own)
        total -= multivariate_normal(mean[golfer], cover[golfer]).logpdf(own)
    assert total == pytest.approx(log_likelihood(values, drawn, sheet), rel=1e-8)


def test_the_reference_observes_every_kind(drawn: Observations) -> None:
    model = build_model(drawn, SPEC, golfers=True)
    kinds = {kind for group in sheet_of(drawn).groups for kind in group.kinds}
    assert kinds == set(KINDS)
    sizes = {f"{kind}_seen": int(drawn.seen[kind].sum()) for kind in kinds}
    assert {variable.name: variable.type.shape[0] for variable in model.observed_RVs} == sizes


def test_the_scale_of_each_value_is_the_width_of_its_prior(drawn: Observations) -> None:
    """A normal prior's own sd is the width; that of wide or bounded values is at most one."""
    density, priors = Density(drawn, SPEC), SPEC.priors
    ends = np.cumsum([int(np.prod(shape, dtype=int)) for shape in density.shapes])[:-1]
    width = dict(zip(density.variables, np.split(density.width, ends), strict=True))
    assert width["putts_short_game"] == pytest.approx(priors.putts_short_game_sd, rel=1e-4)
    assert width["up_and_downs_intercept"] == pytest.approx(priors.up_and_downs_intercept_sd, rel=1e-4)
    assert width["putts_intercept"] == pytest.approx(1.0)
    assert width["share_simplex__"].shape == (3,)
    assert np.all((density.width > 0) & (density.width <= 1))


def test_prior_precision_is_the_inverse_of_the_prior_covariance(values: Values, drawn: Observations) -> None:
    precision, log_det = prior_precision(values, drawn)
    cover = prior_cover(values, drawn)
    np.testing.assert_allclose(precision @ cover, np.eye(drawn.effects), atol=1e-8)
    np.testing.assert_allclose(log_det, -np.linalg.slogdet(cover)[1], rtol=1e-9)


def test_golfers_posterior_equals_generalised_least_squares(values: Values, drawn: Observations) -> None:
    mean, found = golfer_posterior(values, drawn)
    rows, residual, sd = design_matrix(values, drawn, 1)
    cover = np.linalg.inv(np.linalg.inv(own_cover(values, drawn)) + rows.T @ (rows / sd[:, None] ** 2))
    assert drawn.kinds_of_test > 2
    np.testing.assert_allclose(found[1], cover, rtol=1e-7, atol=1e-9)
    np.testing.assert_allclose(mean[1], cover @ rows.T @ (residual / sd**2), rtol=1e-7, atol=1e-9)


def repeated(values: Values, count: int) -> Values:
    """The same population values as so many draws."""
    return values.each(lambda value: np.repeat(np.asarray(value)[None], count, axis=0))


def test_drawn_golfers_have_the_posterior_mean_and_covariance(values: Values, drawn: Observations) -> None:
    mean, cover = golfer_posterior(values, drawn)
    population = Population(repeated(values, 4000), ModelSpec(), drawn.knots)
    expected = natural_units(values, drawn, mean)
    for golfer in range(len(mean)):
        found = population.given(drawn, golfer, 1).values
        for name, places in {"level": slice(0, 4), "drift": slice(4, 8), "wander": slice(10, 15)}.items():
            each = np.sqrt(np.diag(cover[golfer])[places])
            error = np.abs(found[name].mean(axis=0) - expected[name][golfer])
            assert np.all(error < 5 * each / np.sqrt(4000))
            np.testing.assert_allclose(found[name].std(axis=0), each, rtol=0.06)
        assert found["noise_total"][0] == pytest.approx(expected["noise_total"][golfer])
        level = np.cov(found["level"].T) / np.sqrt(np.outer(*[np.diag(cover[golfer])[:4]] * 2))
        same = cover[golfer][:4, :4] / np.sqrt(np.outer(*[np.diag(cover[golfer])[:4]] * 2))
        np.testing.assert_allclose(level, same, atol=0.09)


def test_the_evidence_of_each_golfer_adds_up_to_the_integrated_likelihood(
    values: Values, drawn: Observations
) -> None:
    population = Population(repeated(values, 2), ModelSpec(), drawn.knots)
    found = sum(population.given(drawn, place, 1).evidence[0] for place in range(len(drawn.golfers)))
    assert found == pytest.approx(log_likelihood(values, drawn, sheet_of(drawn)), rel=1e-9)


def test_golfers_are_recovered_with_the_stated_spread(values: Values, design: Observations) -> None:
    """Standardised errors of drawn golfers are standard normal: mean within 4, spread within 4 errors."""
    errors = []
    for seed in range(60):
        data, effects = simulate_rounds(values, design, np.random.default_rng(seed))
        mean, cover = golfer_posterior(values, data)
        own = data.effects
        half = np.linalg.cholesky(np.linalg.inv(cover[:, :own, :own]))
        errors.append(np.einsum("nij,nj->ni", half.transpose(0, 2, 1), effects - mean[:, :own]))
    table = np.array(errors)
    assert abs(table.mean()) < 4 / np.sqrt(table.size)
    assert abs(table.std() - 1.0) < 4 / np.sqrt(2 * table.size)

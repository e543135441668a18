"""The tree of a fit for ArviZ: predictive moments in closed form, densities that add up, what users call."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import arviz as az
import matplotlib as mpl
import matplotlib.pyplot as plt
import numpy as np
import pytest
import xarray as xr
from scipy.stats import multivariate_normal

from paryield.club import Club
from paryield.errors import InputError
from paryield.model.arviz_tree import arviz_tree
from paryield.model.design import Observations, build_observations
from paryield.model.golfers import (
    drawn_after,
    drawn_before,
    effect_path,
    golfer_posterior,
    log_density,
    log_likelihood,
    prior_cover,
)
from paryield.model.likelihood import measures, path
from paryield.model.population import constants_of, of_draws
from paryield.model.sheet import sheet_of
from paryield.model.simulate import measured_again
from paryield.model.spec import stored_spec
from paryield.model.terms.term import Values
from paryield.posterior.current import stored_fit

DRAWS = 4000


def repeated(values: Values, count: int) -> Values:
    return values.each(lambda value: np.repeat(np.asarray(value)[None], count, axis=0))


def scores_by_hand(p: Values, data: Observations) -> tuple[np.ndarray, ...]:
    """Of a club with scores alone: how each moves with its golfer's effects, its mean at none, its spread."""
    sheet = sheet_of(data)
    whole = path(p, sheet, sheet.occasions, np)
    found = [
        (group, measures(p, sheet, sheet.occasions, whole, at, np)[0])
        for at, group in enumerate(sheet.groups)
    ]
    rows = np.zeros((len(sheet.rows), data.effects))
    for effect in range(data.effects):
        unit = np.zeros((len(data.golfers), data.effects))
        unit[:, effect] = 1.0
        own = effect_path(unit, whole.weights, sheet)
        moved = [(one.load * own[:, group.first : group.last]).sum(axis=0) for group, one in found]
        rows[:, effect] = np.concatenate(moved)
    seen = data.value["differential"][sheet.rows]
    residual = np.concatenate([one.residual for _, one in found])
    spread = np.concatenate([np.broadcast_to(one.variance**0.5, one.residual.shape) for _, one in found])
    return rows, seen - residual, spread


@pytest.mark.parametrize("given", ["rows", "nothing"])
def test_predictive_scores_have_the_moments_of_the_normal_law(
    values: Values, drawn: Observations, given: str
) -> None:
    """Mean ``X m``, variance ``X C X' + sd^2``: C and m of generalised least squares, or of the prior."""
    only = {kind: seen * (kind == "differential") for kind, seen in drawn.seen.items()}
    data = replace(drawn, seen=only, documented=np.zeros(len(drawn.owner)))
    sheet, rng = sheet_of(data), np.random.default_rng(7)
    p = repeated(values, DRAWS)
    own = drawn_after(p, data, sheet, rng) if given == "rows" else drawn_before(p, data, rng)
    found = measured_again(p, sheet, own, rng)["differential"]
    x, middle, sd = scores_by_hand(values, data)
    cover = prior_cover(values, data)
    for golfer in range(len(data.golfers)):
        mine = sheet.owner == golfer
        after, m = cover, np.zeros(data.effects)
        if given == "rows":
            weighed = x[mine].T / sd[mine] ** 2
            after = np.linalg.inv(np.linalg.inv(cover) + weighed @ x[mine])
            m = after @ weighed @ (data.value["differential"][sheet.rows] - middle)[mine]
        mean = middle[mine] + x[mine] @ m
        variance = np.einsum("md,de,me->m", x[mine], after, x[mine]) + sd[mine] ** 2
        off = (found[:, mine].mean(axis=0) - mean) / np.sqrt(variance / DRAWS)
        assert np.abs(off).max() < 5.0
        np.testing.assert_allclose(found[:, mine].var(axis=0), variance, rtol=0.12)


def test_densities_of_occasions_add_up_to_the_likelihood(values: Values, drawn: Observations) -> None:
    """log p(y) = log p(y | b) + log p(b) - log p(b | y) at any effects and mismatches b."""
    sheet, p = sheet_of(drawn), repeated(values, 3)
    own = drawn_after(p, drawn, sheet, np.random.default_rng(2))
    each = log_density(p, sheet, own)
    assert each.shape == (3, len(sheet.rows))
    before = np.eye(own.shape[-1])
    before[: drawn.effects, : drawn.effects] = prior_cover(values, drawn)
    mean, cover = golfer_posterior(values, drawn)
    for draw in range(3):
        total = each[draw].sum()
        for golfer, b in enumerate(own[draw]):
            total += multivariate_normal(cov=before).logpdf(b)
            total -= multivariate_normal(mean[golfer], cover[golfer]).logpdf(b)
        assert total == pytest.approx(log_likelihood(values, drawn, sheet), rel=1e-8)


def test_a_measurement_moves_the_density_of_its_own_occasion_alone(
    values: Values, drawn: Observations
) -> None:
    sheet, p = sheet_of(drawn), repeated(values, 1)
    own = np.zeros((1, len(drawn.golfers), drawn.effects + drawn.latents))
    row = int(np.flatnonzero(drawn.seen["greens"] > 0)[3])
    changed = drawn.value["greens"].copy()
    changed[row] += 0.3
    other = sheet_of(replace(drawn, value=drawn.value | {"greens": changed}))
    moved = (log_density(p, other, own) != log_density(p, sheet, own))[0]
    assert sheet.rows[moved].tolist() == [row]


@pytest.fixture(scope="module")
def tree(fitted_club: Path) -> xr.DataTree:
    with Club.open(fitted_club) as club:
        return arviz_tree(club, prior_draws=200)


@pytest.fixture
def figures() -> Iterator[None]:
    with mpl.rc_context({"backend": "agg"}), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # so few draws cannot be told apart from too few
        yield
    plt.close("all")


def test_the_tree_holds_what_was_observed_and_draws_of_it(tree: xr.DataTree, fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        rounds = club.tables().rounds.sort_values(["golfer_id", "played_on"])
    observed = tree["observed_data"].to_dataset()
    assert set(observed["differential_golfer"].values) == set(rounds["golfer_id"])
    for group, chains, draws in (("posterior_predictive", 2, 60), ("prior_predictive", 1, 200)):
        drawn = tree[group].to_dataset()
        assert set(drawn.data_vars) == set(observed.data_vars) >= {"differential", "greens", "putts"}
        for kind, values in drawn.items():
            assert values.shape == (chains, draws, observed[kind].size)
            xr.testing.assert_equal(values[f"{kind}_day"], observed[f"{kind}_day"])
    assert tree["log_likelihood"]["occasion"].shape[:2] == (2, 60)
    both = tree["prior"].to_dataset().data_vars
    assert set(both) == set(tree["posterior"].to_dataset().data_vars)


def test_prior_draws_are_those_of_the_prior(tree: xr.DataTree, fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        priors = stored_spec(stored_fit(club)[1].facts["spec"]).priors
    trend = tree["prior"]["trend"].values.ravel()
    assert abs(trend.mean() - priors.trend_mean) < 4 * priors.trend_sd / np.sqrt(200)
    assert trend.std() == pytest.approx(priors.trend_sd, rel=0.2)


def test_records_of_golfers_add_up_to_the_likelihood_of_each_draw(fitted_club: Path) -> None:
    """Stored draws are rounded to single precision, hence the tolerance."""
    with Club.open(fitted_club) as club:
        run, tables = stored_fit(club)[1], club.tables()
        found = arviz_tree(club, by="golfer", prior_draws=1)["log_likelihood"]["record"]
    spec = stored_spec(run.facts["spec"])
    data = build_observations(tables, spec, run.as_of)
    p = constants_of(spec.priors) | of_draws(run.population())
    expected = log_likelihood(p, data, sheet_of(data))
    np.testing.assert_allclose(found.sum("golfer").values.ravel(), expected, atol=2e-3)


@pytest.mark.usefixtures("figures")
def test_leaving_one_out_runs(tree: xr.DataTree) -> None:
    """The expected density of what was left out lies below that of what was seen, by ``p`` parameters."""
    found = az.loo(tree, pointwise=True)
    each = tree["log_likelihood"]["occasion"]
    seen = float(np.log(np.exp(each).mean(("chain", "draw"))).sum())
    assert found.n_data_points == each.sizes["occasion_at"]
    assert 0.0 < found.p < 80.0
    assert found.elpd == pytest.approx(seen - found.p)


@pytest.mark.usefixtures("figures")
def test_what_a_user_calls_runs(tree: xr.DataTree) -> None:
    table = az.summary(tree, var_names=["trend", "gain"])
    assert {"trend", "gain[chipping]"} <= set(table.index)
    assert {"r_hat", "ess_bulk"} <= set(table.columns)
    az.plot_trace(tree, var_names=["trend"])
    az.plot_rank(tree, var_names=["trend"])
    az.plot_ppc_dist(tree, var_names=["differential"])
    az.plot_ppc_dist(tree, group="prior_predictive", var_names=["differential"])
    az.plot_prior_posterior(tree, var_names=["trend"])
    assert len(plt.get_fignums()) == 5


def test_rows_that_changed_since_are_not_held_against_the_fit(tiny_club: Path, tmp_path: Path) -> None:
    (tmp_path / "more").mkdir()
    row = "golfer_id,played_on,score_differential\nG01,2026-07-12,18.2\n"
    (tmp_path / "more" / "rounds.csv").write_text(row, encoding="utf-8")
    with Club.open(tiny_club) as club:
        club.import_folder(tmp_path / "more", today=date(2026, 7, 20))
        with pytest.raises(InputError, match="rows that the fit saw have changed since"):
            arviz_tree(club)


def test_the_lines_of_the_readme_can_be_imported() -> None:
    text = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
    found: dict[str, object] = {}
    exec("\n".join(re.findall(r"^from paryield.*$", text, re.M)), found)
    assert found["arviz_tree"] is arviz_tree
    assert all(f"{name}(club" in text for name in ("arviz_tree", "forecast", "returns"))

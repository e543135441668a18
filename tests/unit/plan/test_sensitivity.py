"""Other priors without another fit: densities by differences, weights against a normal, counts of changes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import dblquad

from paryield.club import Club
from paryield.forecast.current import current_fit
from paryield.forecast.weights import moved, picked, smoothed
from paryield.model.expectations import GainPrior
from paryield.model.spec import ModelSpec
from paryield.plan.checks import log_prior, power_sensitivity, sensitivity
from paryield.posterior import Posterior

PRIORS = ModelSpec().to_dict()["priors"]
SHIPPED = ModelSpec().priors
MEDIAN, COMMON, OWN = SHIPPED.gain_median, SHIPPED.gain_common_width, SHIPPED.gain_category_width


@pytest.fixture(scope="module")
def posterior(fitted_club: Path) -> Posterior:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1]


@pytest.mark.parametrize("gain", [0.02, 0.2, 0.6, 2.0])
def test_density_of_one_gain_is_the_slope_of_its_distribution(gain: float) -> None:
    prior, step = GainPrior(MEDIAN, COMMON, OWN), 1e-4 * gain
    slope = (prior.below(gain + step) - prior.below(gain - step)) / (2 * step)
    found = np.exp(log_prior(np.array([[gain]]), PRIORS, ["chipping"]))[0]  # type: ignore[arg-type]
    assert found == pytest.approx(slope, rel=1e-5)


def test_density_of_two_gains_gives_the_chance_of_a_box() -> None:
    """Second route: share of 400,000 drawn pairs in a box."""
    rng = np.random.default_rng(2)
    zero = np.log(np.e - 1)
    shared = np.logaddexp(0, zero + COMMON * rng.normal(size=400_000))
    one, two = (MEDIAN * shared * np.logaddexp(0, zero + OWN * rng.normal(size=400_000)) for _ in range(2))
    drawn = np.mean((one > 0.2) & (one < 0.5) & (two > 0.1) & (two < 0.4))

    def density(y: float, x: float) -> float:
        return float(np.exp(log_prior(np.array([[x, y]]), PRIORS, ["a", "b"]))[0])  # type: ignore[arg-type]

    chance = dblquad(density, 0.2, 0.5, 0.1, 0.4, epsabs=1e-5)[0]
    assert chance == pytest.approx(drawn, abs=0.003)


def test_weights_turn_one_normal_into_another() -> None:
    """Closed form: draws of N(0, 1) weighted to N(0.5, 1) have mean 0.5 and sd 1."""
    draws = np.random.default_rng(3).normal(size=20_000)
    weights, k = smoothed(0.5 * draws - 0.125)
    assert k < 0.5
    assert weights @ draws == pytest.approx(0.5, abs=0.03)
    chosen = draws[picked(weights)]
    assert chosen.mean() == pytest.approx(0.5, abs=0.03)
    assert chosen.std() == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize(("count", "power"), [(4000, 0.3), (4000, 0.9), (997, 2.5), (30, 0.5)])
def test_smoothed_weights_are_those_of_arviz(count: int, power: float) -> None:
    from arviz_stats.base import array_stats  # type: ignore[attr-defined]

    logs = power * np.random.default_rng(count).normal(size=count) ** 2
    weights, k = smoothed(logs)
    theirs, their_k = array_stats.psislw(-logs)
    assert k == pytest.approx(float(their_k), rel=1e-9)
    assert weights == pytest.approx(np.exp(theirs), rel=1e-9)


def test_distance_of_weighted_draws_is_that_of_arviz() -> None:
    from arviz_stats.base import array_stats  # type: ignore[attr-defined]

    draws = np.random.default_rng(5).gamma(2.0, size=(4, 250))
    lower, upper = (smoothed(power * np.log(draws.ravel()))[0].reshape(draws.shape) for power in (-0.2, 0.25))
    theirs = float(array_stats.power_scale_sense(draws, lower, upper, 0.8, 1.25))
    ours = [moved(draws.ravel(), w.ravel()) / abs(np.log2(a)) for w, a in ((lower, 0.8), (upper, 1.25))]
    assert np.mean(ours) == pytest.approx(theirs, rel=1e-9)


def test_a_far_prior_is_not_reached() -> None:
    draws = np.random.default_rng(4).normal(size=2000)
    assert smoothed(6.0 * draws)[1] > 0.7


def test_the_prior_of_the_fit_itself_changes_nothing(posterior: Posterior) -> None:
    found = sensitivity(posterior)
    assert found is not None
    usual = next(one for one in found["sets"] if one["name"] == "usual")
    assert usual["told"]
    assert (usual["best_changes"], usual["verdict_changes"]) == (0, 0)
    names = ["cautious", "usual", "open", "held more loosely", "held more firmly"]
    assert [one["name"] for one in found["sets"]] == names
    for one in found["sets"]:
        assert one["told"] == (one["pareto_k"] <= 0.7)
        assert (one["best_changes"] is None) == (not one["told"])


def test_power_scaling_agrees_with_the_librarys_own_way_from_data(posterior: Posterior) -> None:
    """Second route: the library's psense on a tree with the log prior as a group."""
    import arviz_stats
    import xarray as xr

    found = power_sensitivity(posterior)
    density = log_prior(posterior.draws("gain"), posterior.facts["spec"]["priors"], posterior.categories)
    gain = posterior.tree["posterior"]["gain"]
    shaped = xr.DataArray(density.reshape(gain.shape[:2]), dims=("chain", "draw"), name="gains")
    tree = xr.DataTree.from_dict(
        {"posterior": gain.to_dataset(name="gain"), "log_prior": shaped.to_dataset()}
    )
    theirs = arviz_stats.psense(tree, var_names=["gain"], alphas=(0.8, 1.25))["gain"]
    for name, value in found.items():
        assert value == pytest.approx(float(theirs.sel(category=name)), rel=0.02, abs=1e-4)


def test_without_a_diary_there_is_nothing_to_say(posterior: Posterior) -> None:
    facts = {**posterior.facts, "categories": []}
    assert sensitivity(replace(posterior, facts=facts)) is None

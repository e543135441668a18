"""Strokes left by a week kept up: the quick sums are those of the forecast."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.forecast import golfer_draws, steady_path
from paryield.forecast.current import current_fit
from paryield.plan.outcome import make_outcome
from paryield.posterior import Posterior
from paryield.posterior.thin import thinned


@pytest.fixture(scope="module")
def posterior(fitted_club: Path) -> Posterior:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1]


def names_of(posterior: Posterior) -> list[str]:
    return [name for name in posterior.categories if name != "phantom"]


def test_gain_is_the_difference_of_two_forecasts(posterior: Posterior) -> None:
    """Second route: the forecast's own path under either week, phantom hours 0."""
    golfer, names = posterior.golfers[1], names_of(posterior)
    outcome = make_outcome(posterior, golfer, names, 12)
    rng = np.random.default_rng(4)
    here, there = rng.uniform(0, 2, (2, len(names)))
    own, day = golfer_draws(posterior, golfer), np.array([84.0])
    wide = np.zeros((2, len(posterior.categories)))
    wide[:, [posterior.categories.index(name) for name in names]] = here, there
    expected = steady_path(own, day, wide[1])[:, 0] - steady_path(own, day, wide[0])[:, 0]
    np.testing.assert_allclose(outcome.gain(here[None], there)[:, 0], expected, atol=1e-9)


def test_each_draw_may_have_candidates_of_its_own(posterior: Posterior) -> None:
    names = names_of(posterior)
    outcome = make_outcome(posterior, posterior.golfers[0], names, 8)
    hours = np.random.default_rng(1).uniform(0, 1, (5, len(names)))
    own = np.broadcast_to(hours, (outcome.samples, *hours.shape))
    np.testing.assert_allclose(outcome.lost(own), outcome.lost(hours), rtol=1e-12)


def test_a_week_without_practice_counts_for_nothing(posterior: Posterior) -> None:
    """Only the last week is practised: the same as 1 week from now, had the stock faded for 11 weeks."""
    names = names_of(posterior)
    shape = np.zeros((12, len(names)))
    none = make_outcome(posterior, posterior.golfers[0], names, 12, shape)
    full = make_outcome(posterior, posterior.golfers[0], names, 12)
    hours = np.ones((1, len(names)))
    idle = full.lost(0.0 * hours)
    np.testing.assert_allclose(none.lost(hours), idle, atol=1e-9)
    shape[-1] = 1.0
    last = make_outcome(posterior, posterior.golfers[0], names, 12, shape)
    one = make_outcome(posterior, posterior.golfers[0], names, 1)
    np.testing.assert_allclose(last.per_hour[:, last.place], one.per_hour[:, one.place], atol=1e-9)


def test_even_shares_change_nothing(posterior: Posterior) -> None:
    names = names_of(posterior)
    plain = make_outcome(posterior, posterior.golfers[2], names, 12)
    shape = np.ones((12, len(names)))
    shape[0, 0] = 1.0 - 1e-12
    shaped = make_outcome(posterior, posterior.golfers[2], names, 12, shape)
    np.testing.assert_allclose(shaped.per_hour, plain.per_hour, rtol=1e-9)


def test_a_category_unknown_to_the_fit_gains_nothing(posterior: Posterior) -> None:
    names = [*names_of(posterior), "mobility"]
    outcome = make_outcome(posterior, posterior.golfers[0], names, 12)
    more = np.zeros((1, len(names)))
    more[0, -1] = 5.0
    assert np.abs(outcome.gain(more, np.zeros(len(names)))).max() == 0.0


def test_thinning_keeps_every_chain(posterior: Posterior) -> None:
    few = thinned(posterior, 20)
    assert few.samples == 20
    assert set(few.tree["posterior"].sizes) >= {"chain"}
    assert few.tree["posterior"].sizes["chain"] == posterior.tree["posterior"].sizes["chain"]
    assert thinned(posterior, 10_000) is posterior

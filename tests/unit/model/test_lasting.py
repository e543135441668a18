"""A part of practice lasts: forgotten fast at first and slowly later, half of it after the published time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from paryield.dose.stock import HALF_LIFE_NODES, stock_on
from paryield.model.design import build_observations
from paryield.model.golfers import log_likelihood
from paryield.model.population import PopulationValues
from paryield.model.sheet import sheet_of
from paryield.model.simulate import draw_population, simulate_rounds, with_gains
from paryield.model.spec import ModelSpec, Priors
from paryield.model.terms.practice import LASTING_TIMES, lasting_share, stock_weights
from paryield.synth import ClubSpec, make_club


@pytest.mark.parametrize("share", [0.02, 0.2, 0.45])
@pytest.mark.parametrize("multiple", [0.5, 0.82, 1.6])
def test_stocks_between_the_tabulated_ones_are_the_sum_of_two_that_fade(
    share: float, multiple: float
) -> None:
    """Second route: each hour day by day, ``(1 - s) 2^(-d / fast) + s 2^(-d / slow)``."""
    rng = np.random.default_rng(7)
    hours, published = (rng.random((700, 1)) < 0.3) * rng.uniform(0.3, 2.0, (700, 1)), 120.0
    hours[400:] = 0.0
    days = np.array([100, 390, 450, 699])
    nodes = [stock_on(hours, np.array([published * node]), days)[:, 0] for node in HALF_LIFE_NODES]
    logit = np.log(share / 0.5 / (1.0 - share / 0.5))
    p = PopulationValues({"log_half_life": np.log([multiple]), "lasting_logit": np.float64(logit)})
    found = sum(weight[0] * stock for weight, stock in zip(stock_weights(p), nodes, strict=True))
    ago = (days[:, None] - np.arange(700)).clip(0)
    left = (1 - share) * 2.0 ** (-ago / (published * multiple))
    left += share * 2.0 ** (-ago / (published * LASTING_TIMES))
    plainly = (np.where(days[:, None] > np.arange(700), left, 0.0) * hours[:, 0]).sum(axis=1)
    # Stocks are tabulated at four half-lives; between them they are off by a hundredth of the fullest.
    np.testing.assert_allclose(found, plainly, atol=0.015 * plainly.max())


def test_half_of_an_hour_is_left_after_the_published_time() -> None:
    """Tatel & Ackerman 2025 (see the categories): the prior's middle keeps the published half-life."""
    priors = Priors()
    share = lasting_share(priors.lasting_mean)
    fast = np.exp(priors.half_life_log_mean)
    assert share == pytest.approx(0.2, abs=0.005)
    assert (1 - share) * 2 ** (-1 / fast) + share * 2 ** (-1 / LASTING_TIMES) == pytest.approx(0.5, abs=0.005)
    low, high = (lasting_share(priors.lasting_mean + z * priors.lasting_sd) for z in (-1.2816, 1.2816))
    assert (low, high) == pytest.approx((0.08, 0.35), abs=0.01)


def test_a_fit_of_before_knows_one_half_life() -> None:
    old = PopulationValues({"log_half_life": np.zeros((3, 2)), "log_bend": np.zeros((3, 2))})
    none = old | {"lasting_logit": np.full(3, -40.0)}
    np.testing.assert_allclose(np.array(stock_weights(old)), np.array(stock_weights(none)), atol=1e-12)


def test_a_long_rest_tells_what_lasts() -> None:
    """Drawn with nearly nothing that lasts and with nearly half: each record is likelier under its own."""
    spec = ModelSpec(most_knots=5, knot_days=90)
    made = make_club(ClubSpec(golfers=16, weeks=104, seed=35, rounds_per_month=6.0))
    practice = made.tables.practice
    middle = practice["practised_on"].sort_values().iloc[len(practice) // 2]
    rested = practice[practice["practised_on"] <= middle].reset_index(drop=True)
    rested["minutes"] = rested["minutes"] * 6
    golfers = made.tables.golfers.copy()
    golfers["diary_complete"] = pd.array([True] * len(golfers), dtype="boolean")
    data = build_observations(replace(made.tables, practice=rested, golfers=golfers), spec)
    values = draw_population(data, spec, seed=8)
    values |= {"sd_wander": np.float64(0.1), "sd_response": np.float64(0.05)}
    count = len(data.categories)
    values |= {"log_half_life": np.full(count, -0.9), "log_bend": np.full(count, 0.5)}
    values = with_gains(values, data, spec, np.full(count, 1.5))
    few, much = (values | {"lasting_logit": np.float64(logit)} for logit in (-4.0, 2.5))
    for truth, other in ((few, much), (much, few)):
        drawn = simulate_rounds(truth, data, np.random.default_rng(3))[0]
        mine, others = (log_likelihood(one, drawn, sheet_of(drawn)) for one in (truth, other))
        assert mine > others + 3.0

"""How soon a category's returns wear out: learnt where hours go far beyond, open where they do not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from likeliest import likeliest

from paryield.club import Club
from paryield.forecast import golfer_draws
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import gap_left, stock_ahead
from paryield.model.density import Density
from paryield.model.design import Observations, build_observations
from paryield.model.simulate import draw_population, simulate_rounds, with_gains
from paryield.model.spec import ModelSpec
from paryield.model.terms.term import Values
from paryield.plan.worth import return_draws
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, make_club
from paryield.tables.categories import PHANTOM

SPEC = ModelSpec(most_knots=5, knot_days=60)


@pytest.fixture(scope="module")
def fit(fitted_club: Path) -> Posterior:
    with Club.open(fitted_club) as opened:
        return current_fit(opened)[1]


@pytest.fixture(scope="module")
def club() -> tuple[Observations, Values]:
    """24 golfers who practise twelve times what made-up golfers do, in blocks, and all gain a lot."""
    made = make_club(ClubSpec(golfers=24, weeks=60, seed=31, assessments=True, blocks_share=1.0))
    practice = made.tables.practice
    made.tables.practice["minutes"] = practice["minutes"] * 12
    data = build_observations(made.tables, SPEC)
    values = draw_population(data, SPEC, seed=8)
    values |= {"sd_response": np.float64(0.05), "noise_scale": np.float64(0.2), "sd_wander": np.float64(0.1)}
    return data, values


def test_a_record_that_goes_far_beyond_the_bend_tells_which_it_is(club: tuple[Observations, Values]) -> None:
    """The same record drawn with bends of 12 and of 200 hours: every category is found lower in the first."""
    data, values = club
    count, found = len(data.categories), []
    for bend in (12.0, 200.0):
        planted = values | {"log_bend": np.full(count, np.log(bend / SPEC.bend_hours))}
        planted = with_gains(planted, data, SPEC, np.full(count, 1.5))
        drawn = simulate_rounds(planted, data, np.random.default_rng(3))[0]
        found.append(likeliest(drawn, Density(drawn, SPEC), SPEC)["log_bend"])
    real = [place for place, one in enumerate(data.categories) if one.name != PHANTOM]
    apart = (found[1] - found[0])[real]
    assert (apart > 0.0).all()
    assert apart.mean() > 0.5


def test_what_is_held_possible_is_as_wide_as_stated(fit: Posterior) -> None:
    """The noise floor's category, which nobody practised, keeps its prior: 17 to 150 hours."""
    bends = SPEC.bend_hours * np.exp(fit.draws("log_bend")[:, fit.categories.index(PHANTOM)])
    low, high = np.quantile(bends, [0.1, 0.9])
    assert 12.0 < low < 24.0
    assert 105.0 < high < 210.0


def test_draws_that_bend_sooner_return_less_to_many_hours(fit: Posterior) -> None:
    """Of one golfer: the share of a few hours' return that ten times the hours keep rises with the bend."""
    his, place = golfer_draws(fit, fit.golfers[0]), real_place(fit)
    hours = np.zeros(len(fit.categories))
    few, many = (return_draws(his, hours, 12, extra)[:, place] for extra in (0.5, 5.0))
    assert np.corrcoef(many / few, fit.draws("log_bend")[:, place])[0, 1] > 0.7


def test_what_a_golfer_closes_is_that_of_his_hours_by_the_plain_formula(
    fit: Posterior,
) -> None:
    """Second route: from draws of gain and bend, ``S / (1 + S / c)`` of hours, the first 30 alike."""
    his, place = golfer_draws(fit, fit.golfers[0]), real_place(fit)
    priors, spec = fit.facts["spec"]["priors"], fit.facts["spec"]
    bend = spec["bend_hours"] * np.exp(fit.draws("log_bend")[:, place])
    serves = fit.constant("serves")[place]
    gap = serves @ (
        np.array(priors["share"]) / sum(priors["share"]) * spec["reference_level"] - spec["floor"]
    )
    hours = 8.0 * np.eye(len(fit.categories))[place]
    counted = stock_ahead(his, np.array([84.0]), hours)
    only = np.where(np.arange(len(hours)) == place, counted, his.start[:, None, :])
    now, then = (one * bend / spec["bend_hours"] for one in (counted[:, 0, place], his.start[:, place]))
    done = (now / (1 + now / bend) - then / (1 + then / bend)) * (1 + 30 / bend) / (1 + 30 / 50.0)
    rate = fit.draws("gain")[:, place] / gap / 20.0
    np.testing.assert_allclose(gap_left(his, only)[:, 0], np.exp(-(rate * done)[:, None] * serves), rtol=1e-5)


def real_place(fit: Posterior) -> int:
    """Place of the first real category of a fit."""
    return next(at for at, name in enumerate(fit.categories) if name != PHANTOM)

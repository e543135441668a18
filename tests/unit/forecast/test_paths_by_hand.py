"""Paths of one golfer whose draws are written down here: every sum and sign by hand or by a second route."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.forecast import area_now, golfer_draws, habit_hours
from paryield.forecast.areas import form_by_area
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import (
    GolferDraws,
    _left_and_turn,
    drift_path,
    form_path,
    gap_left,
    practised,
    shared_path,
    start_held,
    steady_path,
    stock_ahead,
)
from paryield.forecast.rounds import Pace
from paryield.forecast.split import change_ahead
from paryield.model.spec import Priors
from paryield.plan.trial import Schedule, Trial, _to_come, make_trial, round_information
from paryield.posterior import Posterior

DAYS = np.array([30.0, 90.0])
HALF_LIFE = 60.0


def one(value: float) -> np.ndarray:
    return np.array([value])


def golfer() -> GolferDraws:
    """One draw, one category of half-life 60 days that serves the first and the last area."""
    node = np.array([1.0, 0.0, 0.0, 0.0])[:, None, None]
    population = {"trend": one(0.4), "sd_wander": one(0.9), "wander_days": one(100.0), "sd_drift": one(0.3)}
    return GolferDraws(
        level=np.array([[6.0, 5.0, 4.0, 3.0]]),
        drift=np.array([[0.5, -0.2, 0.0, 0.4]]),
        response=one(0.25),
        form=one(-0.7),
        noise=one(3.0),
        rate_area=np.array([[[0.2, 0.0, 0.0, 0.1]]]),
        share=np.array([[0.4, 0.3, 0.2, 0.1]]),
        weights=node,
        stock=30.0 * node,
        start=np.array([[16.0]]),
        steady=np.array([[20.0]]),
        steady_now=8.0 * node,
        start_extra=one(0.3),
        node_half_life=np.full((4, 1), HALF_LIFE),
        gap=np.array([7.0, 6.0, 5.0, 4.0]),
        recent=one(1.5),
        elapsed_days=300.0,
        joined=0.0,
        drift_now=0.8,
        floor=-1.25,
        bend_hours=50.0,
        as_of=20_000,
        priors=dict(Priors()),
        kept={},
        population=population,
    )


def bent(stock: np.ndarray) -> np.ndarray:
    return stock / (1.0 + stock / 50.0)


def test_strokes_from_level_and_practice() -> None:
    his = golfer()
    stock = stock_ahead(his, DAYS, one(0.0))
    np.testing.assert_allclose(stock[0, :, 0], 30.0 * 0.5 ** (DAYS / HALF_LIFE))
    change = (bent(stock[0]) - bent(one(16.0))) / 20.0
    left = np.exp(-change * np.array([0.2, 0.0, 0.0, 0.1]))
    held = 8.0 * 0.5 ** (DAYS / HALF_LIFE)[:, None]
    slope = held / (1.0 + stock[0] / 50.0) ** 2 - 20.0 / (1.0 + 16.0 / 50.0) ** 2
    turn = -left * slope / 20.0 * np.array([0.2, 0.0, 0.0, 0.1])
    expected = -1.25 + (his.level + 1.25) * left + (0.25 * (left - 1.0) + 0.3 * turn) * his.gap
    np.testing.assert_allclose(practised(his, stock, DAYS)[0], expected)


def test_a_fuller_start_turns_the_gap_as_differences_say() -> None:
    his, step = golfer(), 1e-6
    stock, held = stock_ahead(his, DAYS, one(1.0)), start_held(his, DAYS)
    before = gap_left(his, stock)
    after = gap_left(replace(his, start=his.start + step * his.steady), stock + step * held)
    turned = _left_and_turn(his, stock, held)[1]
    np.testing.assert_allclose(turned, (after - before) / step, atol=1e-6)


def test_form_keeps_a_share_of_itself_and_draws_the_rest() -> None:
    found = form_path(golfer(), DAYS, np.array([[1.0, -2.0]]))[0]
    first, second = np.exp(-0.3), np.exp(-0.6)
    expected = -0.7 * first + 0.9 * np.sqrt(1.0 - first**2)
    np.testing.assert_allclose(found, [expected, expected * second - 2.0 * 0.9 * np.sqrt(1.0 - second**2)])


def test_drift_walks_on_from_day_to_day() -> None:
    found = drift_path(golfer(), DAYS, np.array([[1.0, -2.0]]))[0]
    a_day = 0.3 * np.pi / np.sqrt(8.0) * np.sqrt(4.0 / 300.0)
    np.testing.assert_allclose(found, a_day * np.array([np.sqrt(30.0), np.sqrt(30.0) - 2.0 * np.sqrt(60.0)]))


def test_the_steady_path_is_practice_drift_and_the_terms() -> None:
    his = golfer()
    hours = one(1.2)
    lost = practised(his, stock_ahead(his, DAYS, hours), DAYS).sum(axis=2)
    ahead = 0.5 * (1.0 - np.exp(-DAYS / 365.25 / 0.5))
    trend = -0.4 * (300.0 / 365.25 + ahead)
    np.testing.assert_allclose(shared_path(his, DAYS)[0], trend)
    np.testing.assert_allclose(steady_path(his, DAYS, hours)[0], lost[0] + 0.8 * 0.7 + trend)


def test_what_form_does_ahead_is_what_the_steady_path_leaves() -> None:
    his, hours, mean = golfer(), one(1.2), np.array([[15.0, 16.0]])
    found = change_ahead(his, DAYS, hours, mean)
    np.testing.assert_allclose(found["form"], mean - steady_path(his, DAYS, hours) + 0.7)
    today = steady_path(his, np.zeros(1), hours)
    np.testing.assert_allclose(sum(found.values()), mean - (today - 0.7))


def test_form_and_drift_to_come_have_the_covariance_of_their_paths() -> None:
    """Second route: 200,000 paths; areas share form by their shares, and drift on their own."""
    his, count = golfer(), 200_000
    rng = np.random.default_rng(3)
    many = replace(
        his, level=np.tile(his.level, (count, 1)), form=np.zeros(count), share=np.tile(his.share, (count, 1))
    )
    form = form_path(many, DAYS, rng.normal(size=(count, 2)))
    each = [drift_path(many, DAYS, rng.normal(size=(count, 2))) / 2.0 for _ in range(4)]
    paths = form[:, :, None] * his.share + np.stack(each, axis=2)
    found = _to_come(his, DAYS)
    assert found.shape == (8, 8)
    np.testing.assert_allclose(np.cov(paths.reshape(count, -1).T), found, atol=0.004)


def test_a_block_costs_what_the_present_week_would_have_saved() -> None:
    his = golfer()
    trial = Trial(his, np.array([3.5, 10.5]), np.zeros((1, 2, 4)), np.zeros((8, 8)), np.eye(8), 4.0)
    end = np.array([14.0])
    less, present = (practised(his, stock_ahead(his, end, one(h)), end).sum() for h in (0.5, 2.0))
    cost = trial.cost(Schedule(("",), np.array([[0.5]])), one(2.0))
    np.testing.assert_allclose(cost, [less - present])
    assert cost[0] > 0.0


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> Posterior:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1]


def test_strokes_by_area_now_are_the_sum_of_their_parts(fitted: Posterior) -> None:
    name = fitted.golfers[1]
    his, today = golfer_draws(fitted, name), np.zeros(1)
    stock = stock_ahead(his, today, habit_hours(fitted, name))
    expected = practised(his, stock, today)[:, 0] + his.drift * his.drift_now
    expected = expected + his.share * (shared_path(his, today) + his.form[:, None])
    expected = expected + form_by_area(fitted, fitted.seed_of(name), his)
    np.testing.assert_allclose(area_now(fitted, name), expected, atol=1e-9)


def test_a_block_of_three_weeks_set_up_by_hand(fitted: Posterior) -> None:
    """Two rounds a week, in the middle of each; form of today fades, drift stays, terms go on."""
    name = fitted.golfers[1]
    his = golfer_draws(fitted, name)
    trial = make_trial(fitted, name, 3, Pace(2.0 * 52.18 / 12.0, None, np.ones(12)))
    np.testing.assert_allclose(trial.days, [3.5, 10.5, 17.5])
    assert trial.rounds == pytest.approx(6.0)
    each = round_information(fitted, fitted.golfer_number(name))
    scale = 1e-6 * np.abs(each).max()
    np.testing.assert_allclose(trial.root @ trial.root.T, np.kron(np.eye(3), 2.0 * each), atol=scale)
    shared = shared_path(his, trial.days)
    for week, day in enumerate((3.5, 10.5, 17.5)):
        common = shared[:, week] + his.form * np.exp(-day / his.population["wander_days"])
        expected = common[:, None] * his.share + his.drift * his.drift_now
        np.testing.assert_allclose(trial.beside[:, week], expected)

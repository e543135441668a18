"""Compiled days ahead against the same lines in NumPy, and against themselves asked otherwise."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from paryield.club import Club
from paryield.dose.stock import HOURS_UNIT, bend_slope, bent, lost_strokes
from paryield.forecast import GolferDraws, golfer_draws
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import (
    columns_ahead,
    form_path,
    lost_ahead,
    practised,
    shared_path,
    start_held,
    stock_ahead,
    stock_line,
)
from paryield.model.terms import shared_strokes

FLOATS = npt.NDArray[np.float64]
DAYS: FLOATS = np.array([0.0, 1.0, 30.0, 84.0, 250.0])


@pytest.fixture(scope="module")
def golfer(fitted_club: Path) -> GolferDraws:
    with Club.open(fitted_club) as club:
        posterior = current_fit(club)[1]
    return golfer_draws(posterior, posterior.golfers[0])


@pytest.fixture(scope="module")
def hours(golfer: GolferDraws) -> FLOATS:
    return np.linspace(0.2, 1.5, golfer.weights.shape[2])


def by_numpy(golfer: GolferDraws, stock: FLOATS, held: FLOATS) -> FLOATS:
    """Strokes lost by area (S, T, K), the equations of DEVELOPERS.md written out with arrays."""
    bend = golfer.bend_hours
    more = (bent(stock, bend) - bent(golfer.start, bend)[:, None, :]) / HOURS_UNIT
    left = np.exp(-(more @ golfer.rate_area))
    begun = golfer.steady * bend_slope(golfer.start, bend)
    slope = (held * bend_slope(stock, bend) - begun[:, None, :]) / HOURS_UNIT
    turn = -left * (slope @ golfer.rate_area)
    lost: FLOATS = lost_strokes(golfer.level[:, None, :], golfer.floor, left)
    lost = lost + golfer.response[:, None, None] * golfer.gap * (left - 1.0)
    return lost + golfer.start_extra[:, None, None] * golfer.gap * turn


def test_stock_and_strokes_are_those_of_numpy(golfer: GolferDraws, hours: FLOATS) -> None:
    fading = 2.0 ** (-DAYS[None, :, None] / golfer.node_half_life[:, None, :])
    keep = 2.0 ** (-1.0 / golfer.node_half_life)[:, None, :]
    fresh = keep * (1.0 - fading) / (7.0 * (1.0 - keep))
    left = np.einsum("hsj,htj->stj", golfer.weights * golfer.stock, fading)
    more = np.einsum("hsj,htj->stj", golfer.weights, fresh)
    held = np.einsum("hsj,htj->stj", golfer.weights * golfer.steady_now, fading)
    stock = np.maximum(left + hours * more, 0.0)
    np.testing.assert_allclose(stock_line(golfer, DAYS), [left, more], rtol=1e-12)
    np.testing.assert_allclose(start_held(golfer, DAYS), held, rtol=1e-12)
    np.testing.assert_allclose(stock_ahead(golfer, DAYS, hours), stock, rtol=1e-12)
    lost = by_numpy(golfer, stock, held)
    np.testing.assert_allclose(practised(golfer, stock, DAYS), lost, rtol=1e-10)
    np.testing.assert_allclose(lost_ahead(golfer, DAYS, hours), lost.sum(axis=2), rtol=1e-10)


def test_all_other_terms_in_one_pass_are_those_of_one_after_the_other(golfer: GolferDraws) -> None:
    """To the last digit; the terms of the fit have one column and several."""
    columns = columns_ahead(golfer, DAYS)
    assert {len(own) for own in columns.values()} == {1, 2, 3}
    np.testing.assert_array_equal(shared_path(golfer, DAYS), shared_strokes(golfer.population, columns))


def test_form_is_carried_on_from_each_day_to_the_next(golfer: GolferDraws) -> None:
    shocks = np.random.default_rng(2).normal(size=(golfer.samples, 4))
    days, now = np.array([2.0, 4.0, 11.0, 13.0]), golfer.form
    found = form_path(golfer, days, shocks)
    for place, gap in enumerate((2.0, 2.0, 7.0, 2.0)):
        keep = np.exp(-gap / golfer.population["wander_days"])
        now = keep * now + golfer.population["sd_wander"] * np.sqrt(1.0 - keep**2) * shocks[:, place]
        np.testing.assert_allclose(found[:, place], now, rtol=1e-12)


def test_hours_of_each_draw_are_taken_draw_by_draw(golfer: GolferDraws, hours: FLOATS) -> None:
    by_draw = np.linspace(0.0, 2.0, golfer.samples)[:, None] * hours
    found = lost_ahead(golfer, DAYS, by_draw)
    for place in (0, golfer.samples - 1):
        np.testing.assert_array_equal(found[place], lost_ahead(golfer, DAYS, by_draw[place])[place])


def test_a_day_does_not_change_with_what_else_is_asked(golfer: GolferDraws, hours: FLOATS) -> None:
    whole = lost_ahead(golfer, DAYS, hours)
    stock = stock_ahead(golfer, DAYS, hours)
    for place in range(len(DAYS)):
        one = DAYS[place : place + 1]
        np.testing.assert_array_equal(lost_ahead(golfer, one, hours)[:, 0], whole[:, place])
        alone = practised(golfer, stock[:, place : place + 1], one)
        np.testing.assert_array_equal(alone, practised(golfer, stock, DAYS)[:, place : place + 1])

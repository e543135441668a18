"""Strokes left by a week kept up: the quick sums are those of the forecast."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.forecast import golfer_draws, steady_path
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import practised
from paryield.forecast.refreshed import refreshed
from paryield.plan import plan_tables
from paryield.plan.outcome import CAUTION, make_outcome
from paryield.plan.solver import QUARTER, best_split, mean_gain
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.tables.frames import as_table


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


def test_weeks_side_by_side_are_those_of_one_after_the_other(posterior: Posterior) -> None:
    """Second route, to the last digit: the stock of each week, strokes by area, their sum."""
    names = names_of(posterior)
    outcome = make_outcome(posterior, posterior.golfers[0], names, 12)
    rng = np.random.default_rng(3)
    for hours in (rng.uniform(0, 2, (9, len(names))), rng.uniform(0, 2, (outcome.samples, 4, len(names)))):
        wide = np.zeros((*hours.shape[:-1], len(posterior.categories)))
        wide[..., outcome.place] = hours
        stock = np.maximum(outcome.held[:, None] + outcome.per_hour[:, None] * wide, 0.0)
        plain = practised(outcome.golfer, stock, np.array([84.0]), outcome.start).sum(axis=2)
        np.testing.assert_array_equal(outcome.lost(hours), plain)


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


def test_a_split_is_sought_as_if_returns_bent_sooner_and_told_with_the_fits_own(fitted_club: Path) -> None:
    """The week found is the best under the sooner bend, another one than under the fit's own for some.

    What it is said to save is worked out with the fit's own.
    """
    with Club.open(fitted_club) as club:
        fit, tables = current_fit(club)[1], club.tables()
    moved = []
    for golfer in fit.golfers:
        found = plan_tables(fit, tables, golfers=[golfer], hours=4.0, free=True).advice[golfer]
        search, begin = found.search, (found.now - found.room.fixed) / QUARTER
        sooner, own = search.bent_sooner(), search.golfer.bend_hours
        assert (sooner.golfer.bend_hours, search.golfer.bend_hours) == (CAUTION * own, own)
        weeks = [
            found.room.hours(best_split(mean_gain(one, found.now), found.room, begin, concave=True)[0])
            for one in (sooner, search)
        ]
        np.testing.assert_array_equal(found.best, weeks[0])
        told = found.outcome.gain(found.best[None, :], found.now)[:, 0]
        np.testing.assert_array_equal(found.gain, told)
        moved.append(float(np.abs(weeks[0] - weeks[1]).sum()))
    assert max(moved) >= QUARTER


def test_a_newcomer_without_hours_or_diary_gets_a_week_of_the_clubs_hours(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        fit, tables = current_fit(club)[1], club.tables()
    rows = pd.DataFrame({"golfer_id": ["N1"], "display_name": ["Perpetua Quill"], "start_index": [14.2]})
    golfers = pd.concat([tables.golfers, as_table("golfers", rows)], ignore_index=True)
    with_him = replace(tables, golfers=golfers)
    live = refreshed(fit, with_him)
    done = live.constant("recent").sum(axis=1)
    expected = QUARTER * round(float(np.median(done[done > 0])) / QUARTER)
    (record,) = plan_tables(live, with_him, golfers=["N1"]).records
    assert record["hours"] == pytest.approx(expected)
    assert expected > 0.5
    assert any("median of the club" in line for line in record["notes"])
    assert sum(row["hours_advised"] for row in record["weeks_plan"]) == pytest.approx(expected, abs=QUARTER)

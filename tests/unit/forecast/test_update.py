"""New rounds without a fit: closed forms for level and form, a Kalman filter, and time taken."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import golfer_draws
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import GolferDraws, shared_path, steady_path, stock_ahead
from paryield.forecast.update import NewRounds, hours_since, rounds_since, stock_after, take_up, update_golfer
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables

SAMPLES = 20_000


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def plain(golfer: GolferDraws, seed: int, *, level_sd: float, form_sd: float, walk: float) -> GolferDraws:
    """A golfer without practice, season, trend or course: level ~ N(12, level_sd), form known to be 0.5."""
    rng = np.random.default_rng(seed)
    none = np.zeros(SAMPLES)
    level = np.zeros((SAMPLES, 4))
    level[:, 0] = 12.0 + level_sd * rng.normal(size=SAMPLES)
    categories = golfer.rate_area.shape[1]
    nodes = len(golfer.node_half_life)
    empty = np.zeros((nodes, SAMPLES, categories))
    population = dict.fromkeys(golfer.population, none)
    population |= {
        "wander_days": np.full(SAMPLES, 100.0),
        "sd_wander": np.full(SAMPLES, form_sd),
        "sd_drift": np.full(SAMPLES, walk),
        "course_effect": np.zeros((SAMPLES, 1)),
    }
    return replace(
        golfer,
        level=level,
        drift=np.zeros((SAMPLES, 4)),
        response=none,
        form=np.full(SAMPLES, 0.5 if form_sd else 0.0),
        noise=np.full(SAMPLES, 3.0),
        rate_area=np.zeros((SAMPLES, categories, 4)),
        share=np.full((SAMPLES, 4), 0.25),
        weights=empty + 0.25,
        stock=empty,
        start=np.zeros((SAMPLES, categories)),
        steady=np.zeros((SAMPLES, categories)),
        steady_now=empty,
        start_extra=none,
        programmes=none,
        joining_form=none,
        elapsed_days=365.0,
        joined=0.0,
        population=population,
    )


def rounds(days: list[float], scores: list[float]) -> NewRounds:
    count = len(days)
    return NewRounds(np.array(days), np.array(scores), np.zeros(count, dtype=np.int64), np.zeros(count))


def test_level_after_new_rounds_is_the_conjugate_normal(fitted: tuple[Posterior, Tables]) -> None:
    """Closed form: precision 1/1.5^2 + 4/3^2, mean weighted by precisions."""
    golfer = plain(golfer_draws(fitted[0], fitted[0].golfers[0]), 1, level_sd=1.5, form_sd=0.0, walk=0.0)
    scores = [10.0, 9.0, 11.5, 8.0]
    idle = np.zeros((20, golfer.rate_area.shape[1]))
    found = take_up(golfer, rounds([3.0, 7.0, 9.0, 20.0], scores), idle, golfer.recent, np.zeros(SAMPLES))
    precision = 1 / 1.5**2 + 4 / 9.0
    mean = (12.0 / 1.5**2 + sum(scores) / 9.0) / precision
    level = found.golfer.level[:, 0]
    error = 4 / np.sqrt(found.worth * precision)
    assert level.mean() == pytest.approx(mean, abs=error)
    assert level.std() == pytest.approx(precision**-0.5, rel=0.04)
    assert found.pareto_k < 0.5
    assert found.trusted


def test_form_on_joining_a_programme_fades_on_through_an_update(fitted: tuple[Posterior, Tables]) -> None:
    """What is left after 60 days is what the old forecast had for the 60th day."""
    golfer = plain(golfer_draws(fitted[0], fitted[0].golfers[0]), 1, level_sd=1.5, form_sd=0.0, walk=0.0)
    golfer = replace(golfer, joining_form=np.full(SAMPLES, 0.8))
    idle = np.zeros((60, golfer.rate_area.shape[1]))
    found = take_up(golfer, rounds([3.0], [12.0]), idle, golfer.recent, np.zeros(SAMPLES)).golfer
    then, later = shared_path(golfer, np.array([60.0, 90.0])), shared_path(found, np.array([0.0, 30.0]))
    np.testing.assert_allclose(then[0], [0.8 / np.e, 0.8 / np.e**1.5])
    np.testing.assert_allclose(later[0], then[0])


def test_form_and_drift_are_those_of_a_kalman_filter(fitted: tuple[Posterior, Tables]) -> None:
    """Second route: a filter run round by round over form (AR 1) and drift (random walk)."""
    golfer = plain(golfer_draws(fitted[0], fitted[0].golfers[0]), 2, level_sd=0.0, form_sd=1.2, walk=0.6)
    days, scores, end = [5.0, 6.0, 40.0], [15.0, 9.0, 14.0], 60
    idle = np.zeros((end, golfer.rate_area.shape[1]))
    found = take_up(golfer, rounds(days, scores), idle, golfer.recent, np.zeros(SAMPLES)).golfer
    mean, cover = np.array([0.5, 0.0]), np.zeros((2, 2))
    walk, now = (0.6 * np.pi / np.sqrt(8)) ** 2 * 4 / 365.0, 0.0
    for day, score in [*zip(days, scores, strict=True), (float(end), None)]:
        keep = np.exp(-(day - now) / 100.0)
        move = np.diag([keep, 1.0])
        mean = move @ mean
        cover = move @ cover @ move.T + np.diag([1.2**2 * (1 - keep**2), walk * (day - now)])
        now = day
        if score is not None:
            spread = cover.sum() + 9.0
            gain = cover.sum(axis=1) / spread
            mean = mean + gain * (score - 12.0 - mean.sum())
            cover = cover - np.outer(gain, gain) * spread
    state = np.stack([found.form, found.drift.sum(axis=1)])
    np.testing.assert_allclose(state.mean(axis=1), mean, atol=4 * np.sqrt(cover.max() / SAMPLES))
    np.testing.assert_allclose(np.cov(state), cover, atol=0.03)


def test_rounds_that_no_draw_foresaw_are_not_trusted(fitted: tuple[Posterior, Tables]) -> None:
    golfer = plain(golfer_draws(fitted[0], fitted[0].golfers[0]), 3, level_sd=1.0, form_sd=0.0, walk=0.0)
    far = rounds([float(day) for day in range(1, 13)], [3.0] * 12)
    idle = np.zeros((14, golfer.rate_area.shape[1]))
    assert not take_up(golfer, far, idle, golfer.recent, np.zeros(SAMPLES)).trusted


def test_stock_goes_on_as_under_constant_hours(fitted: tuple[Posterior, Tables]) -> None:
    """After N equal days the stock is that of the closed form for N days ahead."""
    golfer = golfer_draws(fitted[0], fitted[0].golfers[0])
    weekly = np.linspace(0.5, 2.0, len(golfer.recent))
    hours = np.tile(weekly / 7.0, (30, 1))
    nodes = stock_after(golfer, hours, np.array([31.0]))
    found = sum(w[:, None, :] * n for w, n in zip(golfer.weights, nodes, strict=True))
    np.testing.assert_allclose(found, stock_ahead(golfer, np.array([30.0]), weekly), rtol=1e-9)


def longer(tables: Tables, golfer: str, day: pd.Timestamp) -> Tables:
    frames = dict(tables.items())
    rounds_ = pd.DataFrame(
        {"golfer_id": golfer, "played_on": day + pd.to_timedelta([3, 9, 14], unit="D"), "round_no": 1}
    ).assign(score_differential=[12.0, 15.0, 13.5])
    entries = pd.DataFrame(
        {"golfer_id": [golfer], "practised_on": [day + pd.Timedelta(days=2)], "minutes": [60.0]}
    ).assign(category=tables.practice["category"].iloc[0], entry_no=1)
    frames["rounds"] = pd.concat([tables.rounds, rounds_])
    frames["practice"] = pd.concat([tables.practice, entries])
    return make_tables(frames, categories=tables.categories, settings=tables.settings)


def test_an_update_reads_what_came_since_and_takes_under_two_seconds(
    fitted: tuple[Posterior, Tables],
) -> None:
    posterior, tables = fitted
    golfer = posterior.golfers[0]
    day = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    more = longer(tables, golfer, day)
    begun = time.process_time()
    found = update_golfer(posterior, more, golfer)
    assert time.process_time() - begun < 2.0
    assert found.rounds == 3
    assert found.golfer.as_of == posterior.as_of + 14
    since = rounds_since(posterior, more, golfer)
    np.testing.assert_array_equal(since.days, [3.0, 9.0, 14.0])
    np.testing.assert_array_equal(since.differential, [12.0, 15.0, 13.5])
    hours, _ = hours_since(posterior, more, golfer, posterior.as_of + 14)
    place = posterior.categories.index(str(tables.practice["category"].iloc[0]))
    assert hours[1, place] == pytest.approx(1.0)
    assert (hours[:, posterior.categories.index("phantom")] == 0.0).all()


def test_without_new_rows_nothing_changes(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    golfer = posterior.golfers[1]
    found, before = update_golfer(posterior, tables, golfer), golfer_draws(posterior, golfer)
    days, hours = np.array([84.0]), before.recent
    assert found.rounds == 0
    np.testing.assert_allclose(
        np.sort(steady_path(found.golfer, days, hours), axis=0),
        np.sort(steady_path(before, days, hours), axis=0),
        rtol=1e-5,
    )
    np.testing.assert_allclose(np.sort(found.golfer.form), np.sort(before.form), atol=1e-4)


def test_an_unknown_golfer_is_refused(fitted: tuple[Posterior, Tables]) -> None:
    with pytest.raises(InputError, match="knows no golfer") as caught:
        update_golfer(*fitted, "nobody")
    assert "refresh" in caught.value.remedy

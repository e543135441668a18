"""Blocks: limits held, costs by the forecast's own route, and what they tell by nested Monte Carlo."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import golfer_draws, steady_path
from paryield.forecast.current import current_fit
from paryield.forecast.rounds import Pace
from paryield.plan.block import block_fit, expected_bits, weigh
from paryield.plan.options import Week, compared, golfer_question, learnt, present_week, schedules
from paryield.plan.trial import Schedule, make_trial, round_information
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables

OFTEN = Pace(30.0, None, np.ones(12))


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def week(**changed: object) -> Week:
    names = ("chipping", "irons", "driver", "strength", "phantom")
    base = Week(
        names, np.array([1.0, 2.0, 1.0, 1.0, 0.0]), np.full(5, np.inf), np.array([1, 1, 1, 0, 0], bool)
    )
    return replace(base, **changed)  # type: ignore[arg-type]


def test_every_block_keeps_total_ceilings_and_what_is_locked() -> None:
    tight = week(most=np.array([np.inf, 2.5, 0.0, np.inf, np.inf]), hours=np.array([1.0, 2.0, 0.0, 1.0, 0.0]))
    for one in (week(), tight):
        found = schedules(one, np.array([0.5, 0.2, 0.2, 0.1, 0.0]))
        assert len(found) > 6
        for schedule in found:
            assert (schedule.hours.sum(axis=1) <= one.hours.sum() + 1e-9).all()
            assert (schedule.hours <= one.most + 1e-9).all()
            assert (schedule.hours >= 0).all()
            np.testing.assert_allclose(
                schedule.hours[:, ~one.movable], np.tile(one.hours[~one.movable], (len(schedule.hours), 1))
            )
            assert np.abs(schedule.hours - one.hours).max() > 1e-6


def test_hours_move_as_asked() -> None:
    np.testing.assert_allclose(week().towards("chipping", 0.5), [2.5, 1.0, 0.5, 1.0, 0.0])
    np.testing.assert_allclose(week().towards("chipping", 1.0), [4.0, 0.0, 0.0, 1.0, 0.0])
    np.testing.assert_allclose(week().without("chipping"), [0.0, 8 / 3, 4 / 3, 1.0, 0.0])
    capped = week(most=np.array([np.inf, 2.2, np.inf, np.inf, np.inf]))
    np.testing.assert_allclose(capped.without("chipping"), [0.0, 2.2, 1.8, 1.0, 0.0])


def test_present_week_is_cut_to_limits_of_the_time_and_to_the_ceiling(
    fitted: tuple[Posterior, Tables],
) -> None:
    posterior, tables = fitted
    golfer, name = posterior.golfers[0], "irons"
    free = present_week(posterior, tables, golfer, 8)
    day = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    rows = [
        {"starts_on": day + pd.Timedelta(days=20), "ends_on": None, "most_minutes_per_week": 6.0},
        {"starts_on": day - pd.Timedelta(days=90), "ends_on": day, "most_minutes_per_week": 0.0},
    ]
    limits = pd.DataFrame([row | {"golfer_id": golfer, "category": name} for row in rows])
    frames = dict(tables.items()) | {"limits": limits}
    frames["golfers"] = tables.golfers.assign(most_weekly_hours=1.0)
    found = present_week(posterior, make_tables(frames), golfer, 8)
    place = found.names.index(name)
    assert found.most[place] == pytest.approx(0.1)
    assert found.hours[place] <= 0.1
    assert found.hours.sum() == pytest.approx(min(1.0, np.minimum(free.hours, found.most).sum()))


def test_cost_is_the_difference_of_two_forecasts(fitted: tuple[Posterior, Tables]) -> None:
    posterior = fitted[0]
    golfer = posterior.golfers[1]
    trial = make_trial(posterior, golfer, 8, OFTEN)
    own = golfer_draws(posterior, golfer)
    more = own.recent.copy()
    more[0] += 2.0
    found = trial.cost(Schedule(("",), more[None, :]), own.recent)
    end = np.array([56.0])
    expected = (steady_path(own, end, more) - steady_path(own, end, own.recent))[:, 0]
    np.testing.assert_allclose(found, expected, atol=1e-9)


def test_two_equal_phases_are_one_and_a_change_is_run_day_by_day(fitted: tuple[Posterior, Tables]) -> None:
    posterior = fitted[0]
    golfer = posterior.golfers[1]
    trial = make_trial(posterior, golfer, 8, OFTEN)
    hours = np.array([trial.golfer.recent, np.linspace(0.0, 2.0, len(posterior.categories))])
    days = np.array([10.0, 28.0, 50.0])
    same = trial.stock(Schedule(("", ""), hours[[0, 0]]), days)
    np.testing.assert_allclose(same, trial.stock(Schedule(("",), hours[[0]]), days))
    found = trial.stock(Schedule(("", ""), hours), days)[:, 2]
    total = np.zeros_like(found)
    for node in range(len(trial.golfer.node_half_life)):
        keep = 2.0 ** (-1.0 / trial.golfer.node_half_life[node])
        held = trial.golfer.stock[node].copy()
        for day in range(50):
            held = (held + hours[int(day >= 28)] / 7.0) * keep
        total += trial.golfer.weights[node] * held
    np.testing.assert_allclose(found, np.maximum(total, 0.0), rtol=1e-9)


def test_a_round_measures_as_simulated_rounds_do(fitted: tuple[Posterior, Tables]) -> None:
    """Greens, putts and score drawn from their stated luck; information is L' C^-1 L with C as drawn."""
    posterior = fitted[0]
    priors = posterior.facts["spec"]["priors"]
    share = posterior.draws("share").mean(axis=0)
    noise = np.sqrt(np.mean(posterior.draws("noise_total")[:, 0] ** 2))
    rng = np.random.default_rng(1)
    hit = rng.binomial(18, 0.35, size=400_000)
    angle = np.arcsin(np.sqrt((hit + 0.375) / 18.75))
    greens = priors["greens_sd"] * (angle - angle.mean())
    own = priors["putts_sd"] * rng.normal(size=400_000)
    putts = priors["putts_per_green"] * greens + own
    day = -priors["greens_day"] * greens + priors["putts_day"] * own
    score = day + np.sqrt(max(noise**2 - day.var(), 0.25 * noise**2)) * rng.normal(size=400_000)
    tee = priors["greens_tee_weight"]
    slope = priors["greens_per_stroke"] / (share[1] + tee * share[0])
    short = priors["putts_short_game"]
    loads = np.array([[-tee * slope, -slope, 0, 0], [0, 0, short, 1], [1, 1, 1, 1]])
    full = loads.T @ np.linalg.inv(np.cov([greens, putts, score])) @ loads
    found = round_information(posterior, 0)
    seen = posterior.constant("rounds_seen")
    assert posterior.constant("rounds_shots").sum() == 0
    both = np.minimum(posterior.constant("rounds_greens"), posterior.constant("rounds_putts"))
    kept = (both[0] + 5 * both.sum() / seen.sum()) / (seen[0] + 5)
    expected = kept * full + (1 - kept) * np.ones((4, 4)) / noise**2
    np.testing.assert_allclose(found, expected, rtol=0.1, atol=0.01 * np.abs(expected).max())


def test_a_golfers_block_is_the_cheapest_of_those_that_tell_nearly_most(
    fitted: tuple[Posterior, Tables],
) -> None:
    posterior, tables = fitted
    golfer = posterior.golfers[0]
    trial = make_trial(posterior, golfer, 12, OFTEN)
    question = golfer_question(posterior, golfer)
    options = weigh(trial, question, present_week(posterior, tables, golfer, 12), 3)
    record = block_fit(posterior, tables, golfer=golfer).records[0]
    assert options[0].information.after <= options[-1].information.after
    assert record["information"] == pytest.approx(record["entropy_now"] - record["entropy_after"])
    now = sum(row["hours_now"] for row in record["weeks_plan"] if row["from_week"] == 1)
    then = sum(row["hours_block"] for row in record["weeks_plan"] if row["from_week"] == 1)
    assert then <= now + 0.05
    assert record["cautions"]
    same = expected_bits(posterior, golfer, options[0].schedule.hours[0], 12, OFTEN)
    if len(options[0].schedule.hours) == 1:
        assert same.after == pytest.approx(options[0].information.after, abs=0.2)


@pytest.mark.parametrize(
    ("asked", "piece"),
    [
        ({"golfer": "nobody"}, "the fit knows no golfer 'nobody'"),
        ({"golfer": "G01", "weeks": 1}, "a block of 1 weeks"),
        ({"weeks": 2}, "an emphasis of 2 weeks"),
    ],
)
def test_what_cannot_be_weighed_is_said(fitted: tuple[Posterior, Tables], asked: dict, piece: str) -> None:
    with pytest.raises(InputError, match=piece):
        block_fit(*fitted, **asked)


def test_the_same_fit_has_learnt_nothing(fitted: tuple[Posterior, Tables], fitted_club: Path) -> None:
    posterior = fitted[0]
    for golfer in (None, posterior.golfers[0]):
        for record in compared(posterior, posterior, golfer, (1, 2)):
            assert record["chance_best_before"] == record["chance_best_after"]
            assert record["entropy_before"] == record["entropy_after"]
    with Club.open(fitted_club) as club, pytest.raises(InputError, match="run 1 is not earlier"):
        learnt(club, 1, anyway=True)

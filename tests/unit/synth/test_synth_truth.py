"""The truth comes from running the club forward, twice for a difference."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pandas as pd
import pytest

from paryield.errors import InputError
from paryield.scoring import handicap_record
from paryield.synth import ClubSpec, index_ahead, make_club
from paryield.synth.skills import AREA_SHARES, FAST_SHARE, learnt, retained
from paryield.tables import as_table

SPEC = ClubSpec(golfers=12, weeks=40, seed=7)
CLUB = make_club(SPEC)
TRUTH = CLUB.truth
AHEAD = pd.date_range(SPEC.ends_on + timedelta(days=1), periods=20, freq="7D")


def test_no_extra_hours_no_gain():
    for category in SPEC.categories:
        assert TRUTH.gain("G01", category, extra_hours_per_week=0.0) == 0.0


def test_practice_gives_nothing_in_the_null_case():
    null = make_club(replace(SPEC, case="null")).truth
    assert all(null.gain(golfer_id, "irons", 12, 5.0) == 0.0 for golfer_id in null.ids)
    assert null.population_gain("chipping") == 0.0


def test_more_hours_give_more_and_each_further_hour_gives_less():
    for golfer_id in TRUTH.ids:
        for category in SPEC.categories:
            gains = [TRUTH.gain(golfer_id, category, 12, hours) for hours in (1.0, 2.0, 3.0)]
            assert 0.0 < gains[0] < gains[1] < gains[2]
            assert gains[1] - gains[0] < gains[0]
            assert gains[2] - gains[1] < gains[1] - gains[0]


def test_a_gain_is_the_difference_of_two_plans():
    plan = {"irons": 1.0, "chipping": 0.5}
    more = {"irons": 1.0, "chipping": 1.5}
    on = [SPEC.ends_on + timedelta(days=84)]
    with_plan, with_more = (TRUTH.mean_differential("G05", on, hours)[0] for hours in (plan, more))
    assert TRUTH.gain("G05", "chipping", 12, 1.0, plan) == pytest.approx(with_plan - with_more, abs=1e-12)


def test_a_plan_changes_nothing_before_it_starts():
    dates = pd.date_range(SPEC.starts_on, SPEC.ends_on)
    habit = TRUTH.mean_differential("G02", dates)
    np.testing.assert_array_equal(habit, TRUTH.mean_differential("G02", dates, {"irons": 8.0}))
    later = TRUTH.mean_differential("G02", AHEAD[1:], dict.fromkeys(SPEC.categories, 3.0))
    assert (later < TRUTH.mean_differential("G02", AHEAD[1:])).all()


def test_giving_up_practice_loses_strokes():
    for golfer_id in TRUTH.ids:
        idle = TRUTH.mean_differential(golfer_id, AHEAD, {})
        practising = TRUTH.mean_differential(golfer_id, AHEAD, dict.fromkeys(SPEC.categories, 1.0))
        assert (idle[2:] > practising[2:]).all()


def test_whole_record_at_once_agrees_with_living_it_week_by_week():
    """Second route: the expected strokes of each round were made week by week while the club lived."""
    life, courses = TRUTH.life, TRUTH.courses
    start = pd.Timestamp(SPEC.starts_on)
    for who, golfer_id in enumerate(TRUTH.ids):
        own = life.rounds.golfer == who
        dates = start + pd.to_timedelta(life.rounds.day[own], unit="D")
        lived = life.expected[own] - courses.harder[life.rounds.course[own]][:, None] * AREA_SHARES
        np.testing.assert_allclose(TRUTH.areas_on(golfer_id, dates), lived, atol=1e-9)


def test_areas_and_causes_sum_to_the_mean_differential():
    total = TRUTH.mean_differential("G09", AHEAD)
    causes = TRUTH.causes("G09", AHEAD)
    np.testing.assert_allclose(np.sum(list(causes.values()), axis=0), total, atol=1e-9)
    assert TRUTH.areas("G09", AHEAD[0]).sum() == pytest.approx(total[0])


def test_rounds_average_to_the_mean_differential():
    """Course effects sum to 0 over the club and round noise has mean 0."""
    assert TRUTH.courses.harder.sum() == pytest.approx(0.0, abs=1e-12)
    ahead = TRUTH.forward("G03", 12, n_sims=20_000, seed=5)
    error = ahead.differentials.std(axis=0) / np.sqrt(20_000)
    assert len(ahead.dates) > 3
    assert (np.abs(ahead.differentials.mean(axis=0) - ahead.mean) < 5.0 * error).all()


def test_forward_rounds_spread_like_noise_form_and_course():
    """By hand: variances of one round, of some weeks of form (sd 0.8, 10 weeks), of courses."""
    ahead = TRUTH.forward("G03", 12, n_sims=40_000, seed=6)
    elapsed = ((ahead.dates[-1] - AHEAD[0]).days + 1) // 7
    assert elapsed >= 10
    form = 0.8**2 * (1.0 - np.exp(-2.0 * elapsed / 10.0))
    variance = TRUTH.roster.noise_sd[2] ** 2 + form + TRUTH.courses.harder.var() + 0.1**2 / 12.0
    assert ahead.differentials[:, -1].var() == pytest.approx(variance, rel=0.04)


def test_index_ahead_follows_the_rules():
    """Second route: the step-by-step record of the real rounds followed by the same rounds ahead."""
    draws = index_ahead(CLUB, "G04", 25, n_sims=6, seed=2)
    ahead = TRUTH.forward("G04", 25, n_sims=6, seed=2)
    golfer = CLUB.tables.golfers.set_index("golfer_id").loc["G04"]
    own = CLUB.tables.rounds[CLUB.tables.rounds["golfer_id"] == "G04"]
    low = {"low_index": golfer["low_index"], "low_index_on": golfer["low_index_on"].date()}
    assert len(ahead.dates) > 8
    for draw, values in zip(draws, ahead.differentials, strict=True):
        later = pd.DataFrame({"played_on": ahead.dates, "score_differential": values, "golfer_id": "G04"})
        both = pd.concat([own, as_table("rounds", later)], ignore_index=True)
        record = handicap_record(both, **low)
        assert draw == pytest.approx(record.end.index / 10.0, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "fragment"),
    [
        (lambda: TRUTH.areas("G99", "2026-07-01"), "no golfer 'G99'"),
        (lambda: TRUTH.gain("G01", "yoga"), "no category 'yoga'"),
        (lambda: TRUTH.areas("G01", "2020-01-01"), "dates must lie from 2025-09-29 to 2027-01-02"),
        (lambda: TRUTH.gain("G01", "irons", 26), "weeks must lie from 1 to 25, found 26"),
        (lambda: TRUTH.forward("G01", 0), "weeks must lie from 1 to 25, found 0"),
    ],
)
def test_a_question_outside_the_club_is_refused(call, fragment):
    with pytest.raises(InputError) as caught:
        call()
    assert fragment in caught.value.line()


@pytest.mark.parametrize("half_life", [28.3, 47.9, 56.4])
def test_half_is_left_after_the_half_life(half_life):
    assert retained(np.array([half_life]), half_life)[0] == pytest.approx(0.5)


def test_forgetting_is_no_exponential():
    """An exponential would leave a quarter after two half-lives; a power law leaves more."""
    assert retained(np.array([60.0]), 30.0)[0] > 0.3


def test_half_hours_give_half_of_the_slow_part():
    """By hand: tee_line has 24 half hours; the fast stock is empty."""
    slow = np.full((1, 9), 24.0)
    assert learnt(slow, np.zeros((1, 9)))[0, 0] == pytest.approx((1.0 - FAST_SHARE) / 2.0)

"""Tied categories as one: sums by hand, and words for a group."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.forecast import habit_hours
from paryield.forecast.current import current_fit
from paryield.plan.evidence import answered, joint_prior_gains, prior_gains
from paryield.plan.week_verdict import stands
from paryield.plan.worth import returns_fit


def test_an_hour_of_a_group_is_split_as_now() -> None:
    gains = np.array([[1.0, 2.0, 4.0], [3.0, 0.0, 8.0]])
    found = answered(["a", "b", "c"], np.array([3.0, 5.0, 1.0]), gains, [["a", "c"]])
    assert found.names == ("a+c", "b")
    np.testing.assert_allclose(found.hours, [4.0, 5.0])
    np.testing.assert_allclose(found.gains, [[1.75, 2.0], [4.25, 0.0]])
    idle = answered(["a", "b", "c"], np.zeros(3), gains, [["a", "c"]])
    np.testing.assert_allclose(idle.gains[:, 0], [2.5, 5.5])


def test_without_ties_nothing_changes() -> None:
    gains = np.random.default_rng(1).normal(size=(5, 3))
    found = answered(["a", "b", "c"], np.ones(3), gains, [])
    assert found.names == ("a", "b", "c")
    np.testing.assert_array_equal(found.gains, gains)


def test_returns_name_a_tied_group_once(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        posterior = current_fit(club)[1]
    pair = posterior.categories[:2]
    before_fit = {"co_movement": {"tied": [pair]}, "time_shift": []}
    tied = replace(posterior, facts={**posterior.facts, "before_fit": before_fit})
    golfer = posterior.golfers[0]
    records = returns_fit(tied, golfer=golfer).records
    plain = returns_fit(posterior, golfer=golfer)
    real = [name for name in posterior.categories if name != "phantom"]
    assert [one["category"] for one in records] == ["+".join(pair), *real[2:], "phantom"]
    assert records[0]["tied"] == pair
    hours = habit_hours(posterior, golfer)[:2]
    share = hours / hours.sum()
    expected = np.median(plain.draws[golfer][:, :2] @ share)
    assert records[0]["strokes_per_weekly_hour"]["q50"] == pytest.approx(expected, rel=0.02)
    real = [one["chance_best"] for one in records if one["category"] != "phantom"]
    assert sum(real) == pytest.approx(1.0)


def test_joint_prior_has_the_single_prior_as_its_margin() -> None:
    joint = joint_prior_gains(((0.35, 1.5, 1.0), (0.35, 1.5, 1.0)))
    single = prior_gains(0.35, 1.5, 1.0)
    levels = [0.1, 0.5, 0.9]
    np.testing.assert_allclose(np.quantile(joint[:, 1], levels), np.quantile(single, levels), rtol=0.06)
    assert np.corrcoef(np.log(joint[:, 0]), np.log(joint[:, 1]))[0, 1] > 0.3


@pytest.mark.parametrize(
    ("ahead", "strokes", "before", "expected"),
    [
        (82, 0.2, False, True),
        (75, 0.2, False, False),
        (75, 0.2, True, True),
        (65, 0.2, True, False),
        (90, 0.12, False, False),
        (90, 0.12, True, True),
        (90, 0.09, True, False),
    ],
)
def test_a_verdict_is_left_lower_than_it_is_reached(
    ahead: int, strokes: float, before: bool, expected: bool
) -> None:
    gain = np.full(100, -1.0)
    gain[:ahead] = strokes
    assert stands(gain, before) is expected

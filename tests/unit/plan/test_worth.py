"""Returns by running the forecast twice, and the words that go with them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.errors import InputError, NotReportableError
from paryield.forecast import golfer_draws, habit_hours, steady_path
from paryield.forecast.current import current_fit
from paryield.plan import returns
from paryield.plan.worth import DOES_NOT, STANDS_OUT, ClubReturns, return_draws, standings
from paryield.posterior import Posterior


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Club]:
    club = Club.open(fitted_club)
    return current_fit(club)[1], club


def test_return_is_the_difference_of_two_forecasts_with_the_same_luck(
    fitted: tuple[Posterior, Club],
) -> None:
    posterior = fitted[0]
    name = posterior.golfers[2]
    golfer, hours = golfer_draws(posterior, name), habit_hours(posterior, name)
    found = return_draws(golfer, hours, 12)
    days = np.array([84.0])
    base = steady_path(golfer, days, hours)[:, 0]
    for category in range(len(hours)):
        more = hours.copy()
        more[category] += 1.0
        moved = steady_path(golfer, days, more)[:, 0]
        np.testing.assert_allclose(found[:, category], base - moved, atol=1e-9)


def test_no_extra_hour_returns_nothing(fitted: tuple[Posterior, Club]) -> None:
    posterior = fitted[0]
    golfer = golfer_draws(posterior, posterior.golfers[0])
    assert np.abs(return_draws(golfer, golfer.recent, 12, extra=0.0)).max() < 1e-12


def test_chances_sum_to_one_and_regret_is_never_negative(fitted: tuple[Posterior, Club]) -> None:
    answer = returns(fitted[1], anyway=True)
    for golfer in fitted[0].golfers:
        rows = [row for row in answer.records if row["golfer_id"] == golfer]
        real = [row for row in rows if row["category"] != "phantom"]
        assert sum(row["chance_best"] for row in real) == pytest.approx(1.0)
        assert min(row["regret"] for row in real) >= 0.0
        assert [row["category"] for row in rows].count("phantom") == 1


def test_an_unhealthy_fit_is_refused_and_bannered_when_asked_for(fitted: tuple[Posterior, Club]) -> None:
    assert not fitted[0].facts["health"]["ok"]
    with pytest.raises(NotReportableError, match="not healthy enough to report"):
        returns(fitted[1])
    assert returns(fitted[1], anyway=True).banner.startswith("NOT REPORTABLE")


def test_unknown_golfer_and_horizon_are_refused(fitted: tuple[Posterior, Club]) -> None:
    with pytest.raises(InputError, match="the fit knows no golfer 'x'"):
        returns(fitted[1], golfer="x", anyway=True)
    with pytest.raises(InputError, match="0 weeks cannot be answered"):
        returns(fitted[1], weeks=0, anyway=True)


@pytest.mark.parametrize(
    ("own", "rivals", "floor", "expected"),
    [
        (0.5, 0.2, 0.0, STANDS_OUT),
        (0.5, 0.6, 0.0, DOES_NOT),
        (0.05, 0.02, 0.0, DOES_NOT),
        (0.5, 0.2, 1.0, DOES_NOT),
    ],
)
def test_verdict_needs_size_chance_and_distance_from_the_noise_floor(
    own: float, rivals: float, floor: float, expected: str
) -> None:
    draws = np.tile([own, rivals, rivals, rivals, rivals, rivals], (100, 1))
    names, noise = ["a", "b", "c", "d", "e", "f"], np.full(100, floor)
    assert standings(names, draws, noise, [True] * 6, {})[0].verdict == expected
    assert standings(names, draws, noise, [False] * 6, {})[0].verdict == DOES_NOT


def test_a_verdict_once_given_is_kept_until_it_clearly_fails() -> None:
    """A category ahead of the floor in 75 of 100 draws: not enough to stand out anew, enough to go on."""
    draws, noise = np.zeros((100, 2)), np.full(100, 0.2)
    draws[:75, 0], draws[75:, 0], draws[:, 1] = 0.3, 0.1, 0.05
    names, above = ["a", "b"], [True, True]
    assert standings(names, draws, noise, above, {})[0].verdict == DOES_NOT
    assert standings(names, draws, noise, above, {"a": STANDS_OUT})[0].verdict == STANDS_OUT
    draws[60:, 0] = 0.1
    assert standings(names, draws, noise, above, {"a": STANDS_OUT})[0].verdict == DOES_NOT


def test_the_ranking_before_any_record_hangs_on_strokes_lost_not_on_measured_gains(
    fitted: tuple[Posterior, Club],
) -> None:
    """Second route: with every gain the same and known, the rank is that of the returns under those gains."""
    posterior = fitted[0]
    club = ClubReturns(posterior)
    golfer = club.golfer(posterior.golfers[0])
    ranks = [one["rank_before_record"] for one in golfer.records()[:-1]]
    assert sorted(ranks) == list(range(1, len(ranks) + 1))
    other = posterior.tree.copy()
    other["posterior"] = other["posterior"].to_dataset().assign(gain=lambda draws: draws["gain"] * 3.0)
    moved = ClubReturns(replace(posterior, tree=other)).golfer(posterior.golfers[0])
    assert [one["rank_before_record"] for one in moved.records()[:-1]] == ranks
    assert golfer.records()[-1]["rank_before_record"] is None

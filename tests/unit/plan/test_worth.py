"""Returns by running the forecast twice, and the words that go with them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.errors import InputError, NotReportableError
from paryield.forecast import golfer_draws, habit_hours, steady_path
from paryield.plan import returns
from paryield.plan.evidence import evidence_word, prior_gains
from paryield.plan.worth import DOES_NOT, STANDS_OUT, return_draws, standings
from paryield.posterior import Posterior
from paryield.posterior.current import current_fit
from paryield.posterior.moved import overlap


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


def test_overlap_is_one_for_the_same_and_nothing_for_apart() -> None:
    rng = np.random.default_rng(0)
    before = rng.normal(size=50_000)
    assert overlap(before, rng.normal(size=50_000)) > 0.97
    assert overlap(before, rng.normal(40.0, 0.1, size=1000)) == pytest.approx(0.05)


def test_overlap_of_two_normals_is_the_published_closed_form() -> None:
    """Equal spreads, means apart by d: 2 Phi(-d / 2) (Inman & Bradley 1989, Communications in Statistics
    18:3851, from memory). Bins make the answer a little coarse."""
    from scipy.stats import norm

    rng = np.random.default_rng(1)
    found = overlap(rng.normal(size=200_000), rng.normal(1.0, 1.0, size=200_000))
    assert found == pytest.approx(2 * norm.cdf(-0.5), abs=0.02)


def test_evidence_words_follow_the_overlap() -> None:
    prior = prior_gains(0.35, 1.5, 1.0, False)
    assert evidence_word(prior, prior[:5000]) == "assumed"
    sharp = np.full(1000, 0.4)
    assert evidence_word(prior, sharp) == "measured"
    assert evidence_word(prior, sharp, own_diary=False) == "part measured"


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
    draws = np.tile([own, rivals, rivals, rivals, rivals, rivals, floor], (100, 1))
    names = ["a", "b", "c", "d", "e", "f", "phantom"]
    assert standings(names, draws, {})[0].verdict == expected


def test_a_verdict_once_given_is_kept_until_it_clearly_fails() -> None:
    """A category ahead of the floor in 75 of 100 draws: not enough to stand out anew, enough to go on."""
    draws = np.zeros((100, 3))
    draws[:75, 0], draws[75:, 0], draws[:, 1], draws[:, 2] = 0.3, 0.1, 0.05, 0.2
    names = ["a", "b", "phantom"]
    assert standings(names, draws, {})[0].verdict == DOES_NOT
    assert standings(names, draws, {"a": STANDS_OUT})[0].verdict == STANDS_OUT
    draws[60:, 0] = 0.1
    assert standings(names, draws, {"a": STANDS_OUT})[0].verdict == DOES_NOT

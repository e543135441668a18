"""Evidence of contrasts: prior variance by quadrature, words a common rate cannot earn, tied categories."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from scipy.stats import norm

from paryield.club import Club
from paryield.forecast import habit_hours
from paryield.forecast.current import current_fit
from paryield.plan.evidence import (
    SOFTPLUS_ZERO,
    GainEvidence,
    answered,
    contrasts,
    gain_evidence,
    joint_prior_gains,
    prior_gains,
    real_categories,
)
from paryield.plan.week_verdict import stands
from paryield.plan.worth import returns_fit
from paryield.posterior import Posterior
from paryield.posterior.evidence import evidence_word, removed

MEDIAN, COMMON, OWN = 0.35, 1.5, 0.7


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> Posterior:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1]


def with_gains(posterior: Posterior, gains: np.ndarray) -> Posterior:
    """The same fit with other gains, shape (S, real category), of so many of its categories."""
    names = real_categories(posterior)[: gains.shape[1]]
    draws = posterior.tree["posterior"].to_dataset()
    shape = (draws.sizes["chain"], draws.sizes["draw"])
    tree = posterior.tree.copy()
    fewer = draws.sel(category=names)
    values = gains[: shape[0] * shape[1]].reshape(*shape, len(names))
    tree["posterior"] = xr.DataTree(fewer.assign(gain=(("chain", "draw", "category"), values)))
    facts: dict[str, Any] = {**posterior.facts, "categories": names, "before_fit": {}}
    return replace(posterior, tree=tree, facts=facts)


def own_parts(count: int, draws: int, seed: int = 1) -> np.ndarray:
    """Own factors at even steps of chance, each category in its own order: no luck in their variance."""
    rng = np.random.default_rng(seed)
    even = norm.ppf((np.arange(draws) + 0.5) / draws)
    z = np.stack([rng.permutation(even) for _ in range(count)], axis=1)
    return np.logaddexp(0.0, SOFTPLUS_ZERO + OWN * z)


def word_of(evidence: GainEvidence, place: int) -> str:
    return evidence.word(list(evidence.place)[place])


def test_prior_variance_of_a_contrast_is_that_of_quadrature() -> None:
    """Var(c) = v (1 - 1/J)^2 + v (J - 1) / J^2 with v the variance of one own log factor, by 80 nodes."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(80)
    weights = weights / weights.sum()
    logs = np.log(np.logaddexp(0.0, SOFTPLUS_ZERO + OWN * nodes))
    v = float(weights @ logs**2 - (weights @ logs) ** 2)
    count = 6
    gains = joint_prior_gains(((MEDIAN, COMMON, OWN),) * count)
    each, _ = contrasts(gains, [(place,) for place in range(count)])
    np.testing.assert_allclose(each.var(axis=0), v * (1 - 1 / count), rtol=0.03)


def test_a_contrast_forgets_the_rate_that_all_share() -> None:
    gains = joint_prior_gains(((MEDIAN, COMMON, OWN),) * 4)
    groups = [(place,) for place in range(4)]
    factor = np.random.default_rng(3).lognormal(size=(len(gains), 1))
    np.testing.assert_allclose(contrasts(gains * factor, groups)[0], contrasts(gains, groups)[0], atol=1e-9)


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_a_category_never_practised_is_assumed_whatever_is_known_of_the_others(
    fitted: Posterior, count: int
) -> None:
    draws = fitted.samples
    gains = np.full((draws, count), MEDIAN)
    gains[:, 0] *= own_parts(1, draws)[:, 0]
    found = gain_evidence(with_gains(fitted, gains))
    assert word_of(found, 0) == "assumed"
    if count > 2:
        assert word_of(found, 1) == "measured"


def test_a_known_common_rate_is_no_evidence_of_any_category(fitted: Posterior) -> None:
    found = gain_evidence(with_gains(fitted, 3.0 * MEDIAN * own_parts(6, fitted.samples)))
    assert found.common_word() == "measured"
    assert {word_of(found, place) for place in range(6)} == {"assumed"}


def test_known_contrasts_are_measured_and_for_who_keeps_no_diary_in_part(fitted: Posterior) -> None:
    z = np.random.default_rng(4).normal(size=(fitted.samples, 1))
    gains = np.logaddexp(0.0, SOFTPLUS_ZERO + COMMON * z) * np.linspace(0.2, 0.6, 6)
    found = gain_evidence(with_gains(fitted, gains))
    name = next(iter(found.place))
    assert found.word(name) == "measured"
    assert found.word(name, own_diary=False) == "part measured"
    assert found.common_word() == "assumed"


def test_share_removed_and_its_words() -> None:
    assert removed(2.0, 1.0) == 0.5
    assert removed(1.0, 3.0) == 0.0
    assert removed(0.0, 0.0) == 0.0
    words = [evidence_word(share) for share in (0.0, 0.199, 0.2, 0.499, 0.5, 1.0)]
    assert words == ["assumed", "assumed", "part measured", "part measured", "measured", "measured"]


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

"""Partners' practice: one step by dense algebra, and how often nothing looks like something."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import block_diag

from paryield.model.design import Observations, build_observations
from paryield.model.golfers import prior_cover
from paryield.model.noise_floor import _own, _Seen, noise_floor
from paryield.model.simulate import draw_population, simulate_rounds, with_gains
from paryield.model.spec import ModelSpec
from paryield.model.terms.term import Values
from paryield.synth import ClubSpec, make_club

SPEC = ModelSpec(most_knots=5, knot_days=60)


@pytest.fixture(scope="module")
def club() -> tuple[Observations, Values]:
    made = make_club(ClubSpec(golfers=16, weeks=40, seed=14, assessments=True))
    data = build_observations(made.tables, SPEC)
    values = draw_population(data, SPEC, seed=6)
    gains = np.zeros(len(data.categories))
    return data, with_gains(values, data, SPEC, gains) | {"gain": gains}


def test_cross_products_are_those_of_dense_covariances(
    club: tuple[Observations, Values],
) -> None:
    """Second route: ``W' (X P X' + 1)^-1 W`` golfer by golfer, the covariance written out."""
    data, values = club
    seen = _Seen(values, data)
    columns = np.random.default_rng(1).normal(size=(len(seen.error), 3))
    expected = np.zeros((3, 3))
    prior = block_diag(prior_cover(values, data), np.eye(data.latents))
    for first, last in zip(seen.bounds[:-1], seen.bounds[1:], strict=True):
        own, mine = seen.direction[first:last], columns[first:last]
        expected += mine.T @ np.linalg.solve(own @ prior @ own.T + np.eye(last - first), mine)
    np.testing.assert_allclose(seen.cross_products(columns), expected, rtol=1e-6, atol=1e-8)


def test_one_step_from_the_truth_ends_where_least_squares_end() -> None:
    rng = np.random.default_rng(2)
    design, truth = rng.normal(size=(400, 3)), np.array([0.5, -1.0, 2.0])
    outcome = design @ truth + rng.normal(size=400)
    together = np.column_stack([design, outcome])
    step, error = _own(together.T @ together, 3)
    expected, residual, *_ = np.linalg.lstsq(design, outcome, rcond=None)
    np.testing.assert_allclose(step, expected, atol=1e-6)
    np.testing.assert_allclose(error, np.sqrt(np.diag(np.linalg.inv(design.T @ design))), rtol=1e-6)
    assert residual.size == 1


def test_where_practice_does_nothing_few_categories_pass_the_partners(
    club: tuple[Observations, Values],
) -> None:
    """40 records drawn from the model without any gain: about 1 category in 20 lies above 19 in 20 partners.

    Of 240 categories 12 are expected; 24 would come by chance once in 1,000 (binomial).
    """
    data, values = club
    passed, total, ratios = 0, 0, []
    for seed in range(40):
        drawn = simulate_rounds(values, data, np.random.default_rng([seed, 7]))[0]
        found = noise_floor(values, drawn, seed)
        assert found is not None
        partners = np.array(found.partner_slopes) / np.array(found.partner_errors)
        own = np.array(found.slopes) / np.array(found.errors)
        passed += int((own > np.quantile(partners, 0.95)).sum())
        total += len(own)
        ratios.append(partners.std())
    assert total == 240
    assert passed <= 23
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.15)


def test_a_large_planted_gain_is_found_at_its_size(club: tuple[Observations, Values]) -> None:
    """Mean of 12 records, within 3.5 of its own errors, curvature of the gap left aside (small gains)."""
    data, values = club
    gains = np.zeros(len(data.categories))
    gains[0] = 0.3
    real = with_gains(values, data, SPEC, gains) | {"gain": gains}
    found = [
        noise_floor(real, simulate_rounds(real, data, np.random.default_rng([seed, 8]))[0], seed)
        for seed in range(12)
    ]
    slopes = np.array([one.slopes[0] for one in found if one is not None])
    error = np.array([one.errors[0] for one in found if one is not None])
    assert abs(slopes.mean() - 0.3) < 3.5 * error.mean() / np.sqrt(len(slopes))


def test_too_few_diaries_have_no_partners(club: tuple[Observations, Values]) -> None:
    data, values = club
    few = np.zeros_like(data.diary.has_diary)
    few[:3] = True
    assert noise_floor(values, replace(data, diary=replace(data.diary, has_diary=few)), 1) is None


def test_partners_keep_what_the_others_wrote(club: tuple[Observations, Values]) -> None:
    data, values = club
    found, again = noise_floor(values, data, 3, partners=5), noise_floor(values, data, 3, partners=5)
    assert found is not None
    assert found == again
    assert len(found.partner_slopes) == 5 * len(found.categories)
    assert found.to_dict()["categories"] == list(found.categories)

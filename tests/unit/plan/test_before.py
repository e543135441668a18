"""What expectations mean before data: against the answers' own arithmetic, and by hand where small."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from paryield.club import Club
from paryield.forecast import golfer_draws
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import practised, stock_ahead
from paryield.model.expectations import mean_differential_at
from paryield.model.spec import ModelSpec, Priors
from paryield.plan.before import expectations, saved_before_data
from paryield.tables.categories import BY_NAME


def test_a_small_dose_saves_in_proportion_for_the_reference_golfer() -> None:
    """By hand: without fading and spread, 20 hours' worth saves the gain itself, here 0.05 strokes."""
    sure = Priors(
        gain_median=0.05,
        gain_common_width=1e-9,
        gain_category_width=1e-9,
        half_life_log_sd=0.0,
        bend_log_sd=0.0,
        response_spread=0.0,
    )
    spec = ModelSpec(priors=sure, bend_hours=1e9)
    lasting = replace(BY_NAME["chipping"], half_life_days=1e7)
    index = (18.0 - 2.4) / 1.04
    assert mean_differential_at(index) == pytest.approx(18.0)
    saved = saved_before_data(spec, lasting, index, hours=1.0, weeks=20)
    assert saved == pytest.approx(0.05, rel=0.01)


def test_it_agrees_with_the_arithmetic_of_answers(fitted_club: Path) -> None:
    """Second route: the functions that answer from a fit, fed with one known gain and an empty start."""
    with Club.open(fitted_club) as club:
        posterior = current_fit(club)[1]
    golfer = golfer_draws(posterior, posterior.golfers[0])
    name = posterior.categories[0]
    category = next(c for c in BY_NAME.values() if c.name == name)
    spec = ModelSpec(
        priors=Priors(
            gain_common_width=1e-9,
            gain_category_width=1e-9,
            half_life_log_sd=0.0,
            bend_log_sd=0.6,
            response_spread=0.0,
        )
    )
    share = np.array(spec.priors.share) / sum(spec.priors.share)
    level = share * mean_differential_at(15.0)
    serves = posterior.constant("serves")
    reference = serves @ (share * spec.reference_level - spec.floor)
    rate = np.zeros_like(golfer.rate_area)
    steps = (np.arange(golfer.samples) + 0.5) / golfer.samples
    bends = 50.0 * np.exp(np.array([NormalDist(0.0, 0.6).inv_cdf(step) for step in steps]))
    each = spec.priors.gain_median * (bends + 30.0) / 80.0
    rate[:, 0] = (each / reference[0])[:, None] * serves[0]
    none = np.zeros_like(golfer.stock)
    weights = np.array(node_weights_at_one(golfer.weights.shape)) * (50.0 / bends)[:, None]
    plain = replace(
        golfer,
        level=np.broadcast_to(level, golfer.level.shape),
        response=np.zeros_like(golfer.response),
        start_extra=np.zeros_like(golfer.start_extra),
        rate_area=rate,
        weights=weights,
        stock=none,
        start=np.zeros_like(golfer.start),
    )
    hours, days = np.zeros(len(posterior.categories)), np.array([84.0])
    idle = practised(plain, stock_ahead(plain, days, hours), days).sum(axis=2)
    hours[0] = 1.0
    busy = practised(plain, stock_ahead(plain, days, hours), days).sum(axis=2)
    expected = saved_before_data(spec, category, 15.0, 1.0, 12)
    np.testing.assert_allclose((idle - busy).mean(), expected.mean(), rtol=0.02)
    np.testing.assert_allclose((idle - busy).std(), expected.std(), rtol=0.15)


def node_weights_at_one(shape: tuple[int, ...]) -> np.ndarray:
    from paryield.dose.stock import node_weights

    return np.array([np.full(shape[1:], float(weight)) for weight in node_weights(0.0)])


def test_more_is_expected_of_higher_indexes_and_of_open_minds() -> None:
    def middle(source: str) -> dict[tuple[str, float], float]:
        return {(one["category"], one["index"]): one["strokes_saved"]["q50"] for one in expectations(source)}

    cautious, open_ = middle("cautious"), middle("open")
    for category in BY_NAME:
        assert cautious[category, 5.0] < cautious[category, 15.0] < cautious[category, 25.0]
        assert cautious[category, 15.0] < open_[category, 15.0]


def test_what_is_used_is_what_was_said() -> None:
    for one in expectations("open", index=(15.0,)):
        assert one["used"]["likely"] == pytest.approx(one["said"]["likely"], rel=1e-6)
        assert one["used"]["low"] < one["used"]["likely"] < one["used"]["high"]

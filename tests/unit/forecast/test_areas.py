"""Strokes by area: they sum to the forecast's own mean, and golfers of one index follow a second route."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, stats

from paryield.club import Club
from paryield.errors import InputError, NotReportableError
from paryield.forecast import area_now, areas, forecast, golfer_draws
from paryield.forecast.areas import (
    LOWEST_8_OF_20,
    areas_fit,
    evidence_counts,
    form_by_area,
    mean_at_index,
    same_index,
    verdict,
)
from paryield.forecast.current import current_fit
from paryield.posterior import Posterior


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Club]:
    club = Club.open(fitted_club)
    return current_fit(club)[1], club


def test_areas_sum_to_the_mean_that_the_forecast_gives_for_today(fitted: tuple[Posterior, Club]) -> None:
    posterior, club = fitted
    today = forecast(club, weeks=(0,), anyway=True).draws
    for golfer in posterior.golfers:
        np.testing.assert_allclose(
            area_now(posterior, golfer).sum(axis=1), today[golfer].mean[:, 0], atol=1e-5
        )


def test_what_is_the_areas_own_stays_in_the_area(fitted: tuple[Posterior, Club]) -> None:
    posterior = fitted[0]
    golfer = posterior.golfers[0]
    own = golfer_draws(posterior, golfer)
    before = area_now(posterior, golfer)
    raised = posterior.tree.copy(deep=True)
    raised["posterior"]["drift"].values[:, :, 0, 2] += 1.5
    after = area_now(Posterior(raised, posterior.facts), golfer)
    expected = np.zeros(4)
    expected[2] = 1.5 * own.drift_now
    np.testing.assert_allclose(after - before, np.tile(expected, (len(before), 1)), atol=1e-6)


def test_form_by_area_is_that_of_independent_forms_given_their_sum(
    fitted: tuple[Posterior, Club],
) -> None:
    """Second route: draw four forms, keep those whose sum is near a value, take their spread."""
    posterior = fitted[0]
    golfer = golfer_draws(posterior, posterior.golfers[1])
    drawn = np.concatenate([form_by_area(posterior, place, golfer) for place in range(200)])
    assert np.abs(drawn.sum(axis=1)).max() < 1e-5
    share, spread = golfer.share, golfer.population["sd_wander"][:, None]
    expected = np.sqrt(np.mean(spread**2 * share * (1.0 - share), axis=0))
    np.testing.assert_allclose(drawn.std(axis=0), expected, rtol=0.03)
    one = share[0]
    forms = np.sqrt(one) * np.random.default_rng(6).normal(size=(400_000, 4))
    kept = forms[np.abs(forms.sum(axis=1) - 0.7) < 0.05]
    np.testing.assert_allclose(kept.std(axis=0), np.sqrt(one * (1.0 - one)), rtol=0.03)


def test_golfers_of_one_total_are_those_that_a_simulation_picks(fitted: tuple[Posterior, Club]) -> None:
    """Second route: make golfers by the model's law of levels, keep those whose areas sum to the total."""
    posterior, rng, draw = fitted[0], np.random.default_rng(8), 0
    share, sd = posterior.draws("share")[draw], posterior.draws("sd_level")[draw]
    between = _between(posterior)[draw]
    level = posterior.draws("level_mean")[draw]
    total = level + 4.0
    count = 4_000_000
    made = share * (level + sd * rng.normal(size=(count, 1))) + between * rng.normal(size=(count, 4))
    picked = made[np.abs(made.sum(axis=1) - total) < 0.05]
    mean, spread = same_index(posterior, np.full(posterior.samples, total))
    error = spread[draw] / np.sqrt(len(picked))
    assert len(picked) > 5000
    assert np.all(np.abs(picked.mean(axis=0) - mean[draw]) < 4.5 * error)
    np.testing.assert_allclose(picked.std(axis=0), spread[draw], rtol=0.04)
    np.testing.assert_allclose(mean.sum(axis=1), total)


def _between(posterior: Posterior) -> np.ndarray:
    if "sd_area" in posterior.tree["posterior"]:
        return posterior.draws("sd_area")
    return np.full((posterior.samples, 4), posterior.facts["spec"]["priors"]["area_sd"])


def test_lowest_eight_of_twenty_by_quadrature() -> None:
    """Mean of the k-th of n normal order statistics, integrated from its density."""

    def mean_of(k: int, n: int = 20) -> float:
        def density(x: float) -> float:
            return x * stats.norm.pdf(x) * stats.binom.pmf(k - 1, n - 1, stats.norm.cdf(x)) * n

        return float(integrate.quad(density, -9, 9)[0])

    assert np.mean([mean_of(k) for k in range(1, 9)]) == pytest.approx(LOWEST_8_OF_20, abs=5e-5)


def test_a_steady_golfer_at_the_goal_has_that_mean(fitted: tuple[Posterior, Club]) -> None:
    """Second route: 20 rounds about the mean, the 8 lowest averaged, many times over."""
    posterior, rng = fitted[0], np.random.default_rng(2)
    golfer = posterior.golfers[0]
    mean, noise = mean_at_index(posterior, golfer, 12.0)[0], golfer_draws(posterior, golfer).noise[0]
    rounds = np.sort(mean + noise * rng.normal(size=(100_000, 20)), axis=1)
    assert rounds[:, :8].mean() == pytest.approx(12.0, abs=0.02)


def test_records_name_every_area_with_what_they_rest_on(fitted: tuple[Posterior, Club]) -> None:
    posterior, club = fitted
    found = areas(club, anyway=True)
    assert [record["area"] for record in found.records[:4]] == list(posterior.area_names)
    for record in found.records:
        counts = evidence_counts(posterior, record["golfer_id"])
        seen = int(posterior.constant("rounds_seen")[posterior.golfer_number(record["golfer_id"])])
        assert record["rounds_shots"] + record["rounds_stats"] + record["rounds_score_only"] == seen
        assert counts["tests"] == record["tests"]
        assert record["chance_more"] == pytest.approx(
            np.mean(_against(posterior, record, found.draws) > 0), abs=1e-12
        )
        assert (record["goal"] is None) == (record["against_goal"]["q50"] is None)
    beyond = sum(record["against_same_index"]["mean"] for record in found.records[:4])
    assert beyond == pytest.approx(0.0, abs=1e-6)


def _against(posterior: Posterior, record: dict, draws: dict) -> np.ndarray:
    lost = draws[record["golfer_id"]]
    place = posterior.area_names.index(record["area"])
    return (lost - same_index(posterior, lost.sum(axis=1))[0])[:, place]


def test_gaps_to_the_goal_sum_to_the_strokes_to_be_saved(fitted: tuple[Posterior, Club]) -> None:
    posterior, golfer = fitted[0], fitted[0].golfers[1]
    found = areas_fit(posterior, {golfer: 9.0}, golfer=golfer)
    gaps = sum(record["against_goal"]["mean"] for record in found.records)
    whole = area_now(posterior, golfer).sum(axis=1) - mean_at_index(posterior, golfer, 9.0)
    assert gaps == pytest.approx(whole.mean(), abs=1e-6)


@pytest.mark.parametrize(
    ("middle", "sd", "said"),
    [
        (1.0, 0.5, "loses more"),
        (-1.0, 0.5, "loses less"),
        (0.05, 0.3, "about the same"),
        (0.0, 1.0, "cannot tell yet"),
        (0.6, 1.0, "cannot tell yet"),
        (0.08, 0.01, "about the same"),
        (-0.08, 0.01, "about the same"),
    ],
)
def test_verdict_needs_chance_and_size(middle: float, sd: float, said: str) -> None:
    law = stats.norm(middle, sd)
    assert verdict(law.ppf((np.arange(4000) + 0.5) / 4000)) == said


def test_an_unsound_fit_or_unknown_golfer_is_refused(fitted: tuple[Posterior, Club]) -> None:
    with pytest.raises(NotReportableError, match="not healthy enough to report"):
        areas(fitted[1])
    with pytest.raises(InputError, match="the fit knows no golfer 'x'"):
        areas(fitted[1], golfer="x", anyway=True)


def test_frame_has_one_row_an_area_with_quantiles_as_columns(fitted: tuple[Posterior, Club]) -> None:
    frame = areas(fitted[1], golfer=fitted[0].golfers[0], anyway=True).to_frame()
    assert len(frame) == 4
    assert (frame["lost_q10"] <= frame["lost_q50"]).all()

"""Why a forecast moves: parts that sum to the change, and each by a second route."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.forecast import forecast_tables, golfer_draws, habit_hours, steady_path
from paryield.forecast.current import current_fit
from paryield.forecast.split import because_records, change_ahead
from paryield.posterior import Posterior
from paryield.report.sentences import because_sentences
from paryield.tables import Tables
from paryield.units import DAYS_PER_YEAR

DAYS = np.array([28.0, 182.0])


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def test_parts_sum_to_the_change_of_the_forecast(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    name = posterior.golfers[1]
    found = forecast_tables(posterior, tables, golfer=name, weeks=(0, 4, 26))
    level = {one["weeks"]: one for one in found.records if one["quantity"] == "mean_differential"}
    today = found.draws[name].mean[:, 0].mean()
    for weeks in (4, 26):
        whole = sum(one["mean"] for one in level[weeks]["because"])
        assert level[weeks]["mean"] - today == pytest.approx(whole, abs=1e-9)
        ranges = [(one["q10"], one["q50"], one["q90"]) for one in level[weeks]["because"]]
        assert all(low <= middle <= high for low, middle, high in ranges)
    assert all(abs(one["mean"]) < 1e-9 for one in level[0]["because"])


def test_the_season_is_that_of_its_own_waves(fitted: tuple[Posterior, Tables]) -> None:
    """Second route: the waves of a year and of half a year written down again."""
    posterior = fitted[0]
    golfer = golfer_draws(posterior, posterior.golfers[0])
    hours = habit_hours(posterior, posterior.golfers[0])
    parts = change_ahead(golfer, DAYS, hours, np.zeros((golfer.samples, 2)))
    angle = 2 * np.pi * (posterior.as_of + np.array([0.0, *DAYS])) / DAYS_PER_YEAR
    wave = np.outer(posterior.draws("season_cos"), np.cos(angle))
    wave += np.outer(posterior.draws("season_sin"), np.sin(angle))
    wave += np.outer(posterior.draws("season_cos2"), np.cos(2 * angle))
    wave += np.outer(posterior.draws("season_sin2"), np.sin(2 * angle))
    np.testing.assert_allclose(parts["season"], wave[:, 1:] - wave[:, :1], atol=1e-9)


def test_more_hours_move_the_part_of_practice_alone(fitted: tuple[Posterior, Tables]) -> None:
    posterior = fitted[0]
    golfer = golfer_draws(posterior, posterior.golfers[0])
    hours = habit_hours(posterior, posterior.golfers[0])
    more = hours + 1.0
    plain, moved = (
        change_ahead(golfer, DAYS, week, steady_path(golfer, DAYS, week)) for week in (hours, more)
    )
    expected = steady_path(golfer, DAYS, more) - steady_path(golfer, DAYS, hours)
    np.testing.assert_allclose(moved["practice"] - plain["practice"], expected, atol=1e-9)
    for name in ("season", "background", "growth", "events", "form", "joining", "programme"):
        np.testing.assert_allclose(moved[name], plain[name], atol=1e-9)


def test_a_forgotten_term_would_show_in_the_sum(fitted: tuple[Posterior, Tables]) -> None:
    """Without its trend the golfer's change differs by the part of the background."""
    posterior = fitted[0]
    golfer = golfer_draws(posterior, posterior.golfers[0])
    hours = habit_hours(posterior, posterior.golfers[0])
    parts = change_ahead(golfer, DAYS, hours, steady_path(golfer, DAYS, hours))
    still = replace(golfer, population=golfer.population | {"trend": np.zeros(golfer.samples)})
    both = np.array([0.0, *DAYS])
    paths = [steady_path(one, both, hours) for one in (golfer, still)]
    moved = [path[:, 1:] - path[:, :1] for path in paths]
    np.testing.assert_allclose(parts["background"], moved[0] - moved[1], atol=1e-9)


def test_records_and_words_name_the_largest_cause_first() -> None:
    draws = {"season": np.full((9, 1), 0.8), "practice": np.full((9, 1), -0.1), "joining": np.zeros((9, 1))}
    records = because_records(draws, 0)
    assert [one["part"] for one in records] == ["season", "practice"]
    (said,) = because_sentences({"because": records, "on": "2026-12-06"})
    assert said == (
        "The average round rises 0.7 by 6 December 2026: season +0.8 (+0.8 to +0.8), practice −0.1 (−0.1 to "
        "−0.1) (estimated)."
    )
    calm = because_sentences({"because": because_records({"form": np.zeros((9, 1))}, 0), "on": "2026-12-06"})
    assert "stay where it is; no single cause moves it by a tenth" in calm[0]
    assert because_sentences({"on": "2026-12-06"}) == []

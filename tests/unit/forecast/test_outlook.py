"""Days ahead: closed forms against day-by-day running, and the index against the step-by-step record."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.dose.stock import HALF_LIFE_NODES, node_weights
from paryield.errors import InputError
from paryield.forecast import forecast, forecast_tables, golfer_draws
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import drift_path, form_path, gap_left, practised, stock_ahead
from paryield.forecast.rounds import Pace, chunk_days, chunks, club_paces, played_on, round_noise
from paryield.posterior import Posterior
from paryield.scoring import IndexState, index_paths
from paryield.tables import make_tables


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Club]:
    club = Club.open(fitted_club)
    return current_fit(club)[1], club


def test_stock_ahead_equals_running_the_days_one_by_one(fitted: tuple[Posterior, Club]) -> None:
    golfer = golfer_draws(fitted[0], fitted[0].golfers[0])
    hours = np.linspace(0.5, 2.0, len(fitted[0].categories))
    found = stock_ahead(golfer, np.array([40.0]), hours)[:, 0]
    total = np.zeros_like(found)
    for node in range(len(HALF_LIFE_NODES)):
        keep = 2.0 ** (-1.0 / golfer.node_half_life[node])
        held = golfer.stock[node].copy()
        for _ in range(40):
            held = (held + hours / 7.0) * keep
        total += golfer.weights[node] * held
    np.testing.assert_allclose(found, np.maximum(total, 0.0), rtol=1e-10)


def test_half_lives_are_interpolated_with_the_models_own_weights(fitted: tuple[Posterior, Club]) -> None:
    golfer = golfer_draws(fitted[0], fitted[0].golfers[0])
    expected = np.array(node_weights(fitted[0].draws("log_half_life"))) / np.exp(fitted[0].draws("log_bend"))
    np.testing.assert_allclose(golfer.weights, expected)


def test_nothing_practised_and_nothing_held_leaves_the_whole_gap(fitted: tuple[Posterior, Club]) -> None:
    golfer = golfer_draws(fitted[0], fitted[0].golfers[0])
    same = golfer.start[:, None, :]
    np.testing.assert_allclose(gap_left(golfer, same), 1.0)


def test_more_practice_never_loses_strokes_for_a_golfer_who_responds(
    fitted: tuple[Posterior, Club],
) -> None:
    golfer = golfer_draws(fitted[0], fitted[0].golfers[1])
    days = np.array([84.0])
    none = practised(golfer, stock_ahead(golfer, days, np.zeros(len(golfer.recent))), days)
    much = practised(golfer, stock_ahead(golfer, days, np.full(len(golfer.recent), 1.0)), days)
    gains = (none - much).sum(axis=(1, 2))
    assert np.median(gains) > 0.0


def test_form_forgets_itself_and_keeps_its_spread(fitted: tuple[Posterior, Club]) -> None:
    golfer = golfer_draws(fitted[0], fitted[0].golfers[0])
    rng = np.random.default_rng(4)
    shocks = rng.normal(size=(40, golfer.samples, 2))
    paths = np.concatenate([form_path(golfer, np.array([3000.0, 6000.0]), each) for each in shocks])
    expected = np.sqrt(np.mean(golfer.population["sd_wander"] ** 2))
    assert abs(paths[:, 0].std() / expected - 1.0) < 0.05
    assert abs(np.corrcoef(paths[:, 0] / 1.0, paths[:, 1])[0, 1]) < 0.06


def test_noise_of_rounds_has_the_stated_moments() -> None:
    """Unit variance, skewness near 0.25, tails heavier than normal (excess kurtosis of t10 is 1)."""
    noise = round_noise((2_000_000,), np.random.default_rng(3))
    assert abs(noise.mean()) < 0.004
    assert abs(noise.std() - 1.0) < 0.005
    skewness = np.mean(noise**3)
    assert 0.2 < skewness < 0.4
    assert 0.7 < np.mean(noise**4) - 3.0 < 1.6


def test_rounds_fall_at_the_golfers_own_pace() -> None:
    days = chunk_days(4.0, 1)
    assert days.min() > 182
    assert days.max() == 364
    even = np.ones(len(days))
    played = played_on(days, np.full(20_000, 4.0), even, np.random.default_rng(1)).sum(axis=1)
    assert played.mean() == pytest.approx(4.0 * 182.0 / (365.25 / 12), rel=0.01)
    assert 0.7 < played.var() / played.mean() < 1.05
    assert (chunks(0.0), chunks(182.0), chunks(183.0)) == (1, 1, 2)
    drawn = Pace(4.0, 25.0, np.ones(12)).draws(100_000, np.random.default_rng(2))
    assert drawn.mean() == pytest.approx(4.0, rel=0.01)
    assert drawn.std() == pytest.approx(4.0 / 5.0, rel=0.02)


def test_pace_follows_the_clubs_season() -> None:
    """Four rounds a month from April to September, none in the other half: the year's mean is two."""
    played = [day for day in pd.date_range("2024-07-01", "2026-06-30", freq="7D") if 4 <= day.month <= 9]
    names = ["A", *(f"C{number}" for number in range(20))]
    each = [pd.DataFrame({"golfer_id": name, "played_on": played, "round_no": 1}) for name in names]
    rounds = pd.concat(each, ignore_index=True).assign(score_differential=15.0)
    tables = make_tables({"golfers": pd.DataFrame({"golfer_id": names}), "rounds": rounds})
    as_of = int(np.datetime64("2026-06-30", "D").astype(int))
    pace = club_paces(tables, ["A", "B"], as_of)["A"]
    assert pace.expected(as_of, 84) > 1.5 * pace.mean
    assert pace.expected(as_of, 364) == pytest.approx(2.2, abs=0.5)
    assert pace.season.mean() == pytest.approx(1.0)
    assert club_paces(tables, ["B"], as_of)["B"].mean == 0.0
    assert club_paces(tables, ["A"], as_of + 400)["A"].mean == 0.0


def test_one_date_is_answered_alike_whatever_else_is_asked(fitted: tuple[Posterior, Club]) -> None:
    """To the last digit, for every golfer and several sets of dates."""
    posterior, club = fitted
    tables = club.tables()
    for golfer in posterior.golfers:
        alone = forecast_tables(posterior, tables, golfer=golfer, weeks=(12,)).records
        for weeks in ((4, 12, 26, 40), (3, 12), (12, 13, 14, 15, 16, 17, 18), (12, 104)):
            among = forecast_tables(posterior, tables, golfer=golfer, weeks=weeks).records
            assert alone == [record for record in among if record["weeks"] == 12]


def test_a_golfer_who_stopped_playing_gets_a_reason_instead_of_an_index(
    fitted: tuple[Posterior, Club],
) -> None:
    posterior, club = fitted
    records = forecast_tables(posterior, club.tables(), weeks=(12,), rate=0.0).records
    reasons = {record["quantity"]: record.get("reason", "") for record in records}
    assert reasons["handicap_index"].startswith("no counting round in the last half year")
    assert reasons["mean_differential"] == ""


def test_records_have_the_dates_weeks_and_order_of_quantiles(fitted: tuple[Posterior, Club]) -> None:
    posterior, club = fitted
    records = forecast_tables(posterior, club.tables(), weeks=(4, 12)).records
    assert len(records) == len(posterior.golfers) * 2 * 3
    for record in records:
        gap = date.fromisoformat(record["on"]) - date.fromisoformat(record["as_of"])
        assert gap == timedelta(weeks=record["weeks"])
        assert record["q05"] <= record["q20"] <= record["q50"] <= record["q80"] <= record["q95"]
    one = {r["quantity"]: r for r in records[:3]}
    mean, single = one["mean_differential"], one["score_differential"]
    assert single["q95"] - single["q05"] > mean["q95"] - mean["q05"]


def test_chance_of_a_goal_is_the_share_of_draws_at_or_below_it(fitted: tuple[Posterior, Club]) -> None:
    posterior, club = fitted
    golfer, by = posterior.golfers[0], date(2026, 9, 27)
    answer = forecast_tables(posterior, club.tables(), golfer=golfer, weeks=(12,), goal=15.0, by=by)
    record = next(row for row in answer.records if "goal" in row)
    place = list(answer.draws[golfer].days).index((by - date(2026, 7, 5)).days)
    assert record["chance"] == np.mean(answer.draws[golfer].index[:, place] <= 15.0 + 1e-9)


def test_an_easier_goal_is_never_less_likely(fitted: tuple[Posterior, Club]) -> None:
    posterior, club = fitted
    chances = [
        next(
            row["chance"]
            for row in forecast_tables(
                posterior, club.tables(), golfer=posterior.golfers[0], goal=goal, by=date(2026, 9, 1)
            ).records
            if "goal" in row
        )
        for goal in (0.0, 10.0, 15.0, 20.0, 54.0)
    ]
    assert chances == sorted(chances)
    assert chances[-1] == 1.0


@pytest.mark.parametrize(
    ("asked", "piece"),
    [
        ({"golfer": "nobody"}, "the fit knows no golfer 'nobody'"),
        ({"weeks": (-1,)}, "-1 weeks cannot be answered"),
        ({"goal": 3.0}, "a goal needs both --goal and --by"),
        ({"goal": 3.0, "by": date(2020, 1, 1)}, "2020-01-01 is before the last day of the data"),
        ({"as_of": date(2020, 1, 1)}, "2020-01-01 is before the last day of the fit"),
        ({"plan": "none such"}, "the club has no plan 'none such'"),
    ],
)
def test_what_cannot_be_answered_is_said(fitted: tuple[Posterior, Club], asked: dict, piece: str) -> None:
    with pytest.raises(InputError, match=piece.replace("(", r"\(")):
        forecast(fitted[1], anyway=True, **asked)


def test_engine_paths_are_used_as_they_are() -> None:
    state = IndexState(differentials=(150, 152, 166), index=132, last_day=739000, holes_posted=54)
    paths = index_paths(state, np.array([739010]), np.array([[10.0], [20.0]]))
    assert paths.shape == (2, 1)
    assert paths[0, 0] < paths[1, 0]


def test_drift_goes_on_as_a_random_walk_of_the_records_scale(fitted: tuple[Posterior, Club]) -> None:
    golfer = golfer_draws(fitted[0], fitted[0].golfers[0])
    shocks = np.random.default_rng(5).normal(size=(60, golfer.samples, 4))
    days = np.array([10.0, 50.0, 100.0, golfer.elapsed_days])
    walks = np.concatenate([drift_path(golfer, days, each) for each in shocks])
    one_area = np.sqrt(np.mean(golfer.population["sd_drift"] ** 2)) * np.pi / np.sqrt(8.0)
    expected = 2.0 * one_area * np.sqrt(days / max(golfer.elapsed_days, 180.0))
    np.testing.assert_allclose(walks.std(axis=0), expected, rtol=0.05)

"""Plain forecasts against closed forms, other libraries, and the future they must not see."""

from datetime import date

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from paryield.errors import InputError
from paryield.evaluate.baselines import (
    BASELINES,
    DRIFT_SD,
    baseline,
    features,
    golfer_sd,
    known_rounds,
    line_guess,
    pooled_regression,
    round_sd,
    season,
    training_pairs,
)

AS_OF = date(2026, 6, 30)
DAY = pd.Timestamp(AS_OF)


def made_up(
    golfers: int = 8, weeks: int = 90, sd: float = 3.0, slope: float = 0.0, seed: int = 4
) -> pd.DataFrame:
    """One round a week up to 8 weeks after AS_OF: levels 10, 12, ... plus a slope a year plus noise."""
    rng = np.random.default_rng(seed)
    dates = pd.date_range(end=DAY + pd.Timedelta(weeks=8), periods=weeks, freq="7D")
    years = (dates - DAY).days.to_numpy() / 365.25
    return pd.concat(
        [
            pd.DataFrame(
                {
                    "golfer_id": f"G{place}",
                    "played_on": dates,
                    "differential": 10.0 + 2 * place + slope * years + sd * rng.standard_normal(weeks),
                }
            )
            for place in range(golfers)
        ],
        ignore_index=True,
    )


@pytest.mark.parametrize("name", BASELINES)
def test_golfers_without_noise_or_change_are_foretold_exactly(name):
    """Levels are 10, 12, ..., 24; the pooled regression may fit a season of no size."""
    for quantity in ("mean_differential", "score_differential"):
        found = baseline(name, made_up(sd=0.0), AS_OF, 12, draws=50, quantity=quantity)
        assert list(found) == [f"G{place}" for place in range(8)]
        for place, draws in enumerate(found.values()):
            assert draws == pytest.approx(np.full(50, 10.0 + 2 * place), abs=1e-3)


def test_an_exact_line_is_drawn_on():
    """2 strokes a year down, so 84 days on each level stands 2 x 84 / 365.25 strokes lower."""
    found = baseline("own_trend", made_up(sd=0.0, slope=-2.0), AS_OF, 12, draws=5)
    for place, draws in enumerate(found.values()):
        assert draws == pytest.approx(np.full(5, 10.0 + 2 * place - 2.0 * 84 / 365.25), abs=1e-9)


@pytest.mark.parametrize("name", BASELINES)
def test_what_comes_later_changes_nothing(name):
    rounds = made_up()
    later = rounds["played_on"] > DAY
    assert later.sum() == 8 * 8
    shuffled = rounds.copy()
    shuffled.loc[later, "differential"] = rounds.loc[later, "differential"].to_numpy()[::-1] + 40.0
    first, second = (baseline(name, each, AS_OF, 8, draws=20) for each in (rounds, shuffled))
    for golfer, draws in first.items():
        np.testing.assert_array_equal(draws, second[golfer])
    earlier = rounds.copy()
    earlier.loc[rounds[~later].groupby("golfer_id").tail(1).index, "differential"] += 5.0
    changed = baseline(name, earlier, AS_OF, 8, draws=20)
    assert any((changed[golfer] != draws).any() for golfer, draws in first.items())


def test_training_pairs_end_with_the_day_and_know_only_what_came_before():
    known = known_rounds(made_up(), DAY)
    pairs = training_pairs(known, DAY, 8)
    assert pairs["played_on"].max() <= DAY
    assert pairs["ahead"].between(4, 12).all()
    one = pairs.iloc[-1]
    origin = one["played_on"] - pd.Timedelta(weeks=one["ahead"])
    own = known[(known["golfer_id"] == one["golfer_id"]) & (known["played_on"] <= origin)]
    last = own["differential"].tail(20)
    assert one["mean"] == pytest.approx(last.mean())
    assert one["size"] == len(last)
    assert one["change"] == pytest.approx(one["differential"] - last.mean())


def test_mean_of_last_20_is_numpys_mean_with_the_error_of_a_mean():
    rounds = made_up()
    known = rounds[rounds["played_on"] <= DAY]
    last = np.array([own["differential"].to_numpy()[-20:] for _, own in known.groupby("golfer_id")])
    sd = np.sqrt(last.var(axis=1, ddof=1).mean())  # equal numbers, so the pooled variance is the mean of them
    found = baseline("mean_of_last_20", rounds, AS_OF, 4, draws=40_000)
    one = baseline("mean_of_last_20", rounds, AS_OF, 4, draws=40_000, quantity="score_differential")
    for place, golfer in enumerate(found):
        assert found[golfer].mean() == pytest.approx(last[place].mean(), abs=0.02)
        assert found[golfer].std() == pytest.approx(sd / np.sqrt(20), rel=0.02)
        assert one[golfer].std() == pytest.approx(sd * np.sqrt(1 + 1 / 20), rel=0.02)


def test_no_change_spreads_a_round_by_the_luck_of_two():
    rounds = made_up()
    last = rounds[rounds["played_on"] <= DAY].groupby("golfer_id")["differential"].last()
    sd = round_sd(known_rounds(rounds, DAY))
    found = baseline("no_change", rounds, AS_OF, 4, draws=40_000, quantity="score_differential")
    for golfer, draws in found.items():
        assert draws.mean() == pytest.approx(last[golfer], abs=0.08)
        assert draws.std() == pytest.approx(sd * np.sqrt(2), rel=0.02)


def test_the_line_is_that_of_two_other_libraries():
    rng = np.random.default_rng(2)
    years = np.sort(rng.uniform(-2, 0, 30))
    scores = 14 - 1.5 * years + rng.normal(0, 3, 30)
    found = line_guess(years, scores, 0.5)
    assert found.mean == pytest.approx(np.polyval(np.polyfit(years, scores, 1), 0.5))
    ahead = sm.OLS(scores, sm.add_constant(years)).fit().get_prediction(np.array([[1.0, 0.5]]))
    assert found.mean == pytest.approx(ahead.predicted_mean[0])
    assert found.level_sd == pytest.approx(ahead.se_mean[0])
    assert np.hypot(found.level_sd, found.round_sd) == pytest.approx(ahead.se_obs[0])
    low, high = ahead.conf_int(obs=True, alpha=0.2)[0]
    draws = found.draws("score_differential", 200_000, rng)
    assert np.quantile(draws, [0.1, 0.9]) == pytest.approx([low, high], abs=0.06)


@pytest.mark.parametrize("weeks", [0, 12, 26])
def test_the_pooled_regression_is_the_posterior_of_its_normal_model(weeks):
    """Normal effects and noise: covariance matrix of all rounds, conditioned on (Gaussian process form)."""
    known = known_rounds(made_up(golfers=5, weeks=40), DAY)
    sd = round_sd(known)
    tau = golfer_sd(known, sd)
    at = DAY + pd.Timedelta(weeks=weeks)

    def kernel(names_a, x_a, names_b, x_b):
        same = np.equal.outer(np.asarray(names_a), np.asarray(names_b))
        return tau**2 * same + DRIFT_SD**2 * x_a @ x_b.T + 1e6  # a flat intercept

    x = np.column_stack([season(known["played_on"]), known["years"]])
    new = np.append(season(pd.DatetimeIndex([at]))[0], weeks * 7 / 365.25)[None, :]
    names = known["golfer_id"]
    whole = kernel(names, x, names, x) + sd**2 * np.eye(len(known))
    for golfer, guess in pooled_regression(known, DAY, weeks).items():
        cross = kernel([golfer], new, names, x)
        mean = (cross @ np.linalg.solve(whole, known["differential"].to_numpy()))[0]
        variance = (kernel([golfer], new, [golfer], new) - cross @ np.linalg.solve(whole, cross.T))[0, 0]
        assert guess.mean == pytest.approx(mean, abs=1e-3)
        assert guess.level_sd == pytest.approx(np.sqrt(variance), rel=1e-3)


def test_few_rounds_are_drawn_to_the_other_golfers():
    """One round of 40 among golfers near 10 to 22: shrunk; the line of a single round is its value."""
    extra = pd.DataFrame({"golfer_id": ["new"], "played_on": [DAY], "differential": [40.0]})
    rounds = pd.concat([made_up(), extra])
    assert baseline("own_trend", rounds, AS_OF, 4, draws=20_000)["new"].mean() == pytest.approx(40, abs=0.1)
    assert 10 < baseline("pooled_regression", rounds, AS_OF, 4)["new"].mean() < 39


def test_boosting_learns_a_change_that_all_golfers_share():
    """All improve by 6 strokes a year, so 26 weeks on they stand below the mean of the last 20 by the
    weeks and half the record's 19: 6 x (26 + 9.5) / 52.18 = 4.1 strokes."""
    rounds = made_up(golfers=12, weeks=150, sd=0.5, slope=-6.0)
    plain = baseline("mean_of_last_20", rounds, AS_OF, 26)
    found = baseline("gradient_boosting", rounds, AS_OF, 26)
    gaps = [plain[golfer].mean() - found[golfer].mean() for golfer in found]
    assert np.mean(gaps) == pytest.approx(6 * (26 + 9.5) / 52.18, abs=0.4)


def test_boosting_with_little_to_learn_from_is_the_mean_of_the_last_20():
    rounds = made_up(golfers=3)
    plain, found = (baseline(name, rounds, AS_OF, 4) for name in ("mean_of_last_20", "gradient_boosting"))
    for golfer, draws in plain.items():
        np.testing.assert_array_equal(found[golfer], draws)


def test_the_trend_of_the_last_20_is_numpys():
    known = known_rounds(made_up(), DAY)
    own = known[known["golfer_id"] == "G3"].tail(20)
    slope = np.polyfit(own["years"], own["differential"], 1)[0]
    assert features(known, DAY).loc["G3", "trend"] == pytest.approx(slope)


@pytest.mark.parametrize("name", BASELINES)
def test_one_seed_gives_one_answer_and_order_of_rows_none(name):
    rounds = made_up()
    first = baseline(name, rounds, AS_OF, 4, draws=10, seed=3)
    again = baseline(name, rounds.sample(frac=1.0, random_state=1), AS_OF, 4, draws=10, seed=3)
    other = baseline(name, rounds, AS_OF, 4, draws=10, seed=4)
    for golfer, draws in first.items():
        np.testing.assert_allclose(again[golfer], draws)
        assert (other[golfer] != draws).all()


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"name": "guess"}, "there is no baseline 'guess'"),
        ({"quantity": "index"}, "there is no quantity 'index'"),
        ({"weeks": -1}, "lie in the past"),
        ({"rounds": made_up().drop(columns="differential")}, "the column differential is missing"),
        ({"as_of": date(2000, 1, 1)}, "no golfer has two rounds"),
    ],
)
def test_what_cannot_be_asked_is_said(changed, message):
    asked = {"name": "no_change", "rounds": made_up(), "as_of": AS_OF, "weeks": 4} | changed
    with pytest.raises(InputError, match=message):
        baseline(**asked)

"""What a golfer does of a plan: closed forms against brute force, and what the forecast does with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.stats import gamma, nbinom, poisson

from paryield.club import Club
from paryield.dose.diary import read_diary
from paryield.forecast import forecast_tables
from paryield.forecast.adherence import (
    CLUB_LOG_SD,
    CLUB_SHARE,
    SHARES,
    SPREADS,
    PlanRecord,
    lean_likelihood,
    learn_adherence,
    plan_record,
    planned_by_day,
    share_law,
    usual_hours,
)
from paryield.forecast.current import current_fit
from paryield.plan.saved import running_plan
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables

NAMES = ["chipping", "irons"]


def by_hand() -> tuple[Tables, np.ndarray, int]:
    """Two weeks from a Monday: 70 min of chipping a week planned; 30 and 60 min done, 20 min of irons."""
    practice = pd.DataFrame(
        {
            "golfer_id": ["A"] * 3,
            "practised_on": pd.to_datetime(["2026-03-03", "2026-03-11", "2026-03-12"]),
            "category": ["chipping", "chipping", "irons"],
            "entry_no": [1, 1, 1],
            "minutes": [30.0, 60.0, 20.0],
        }
    )
    plans = pd.DataFrame(
        {
            "plan": ["p"],
            "golfer_id": ["A"],
            "category": ["chipping"],
            "starts_on": pd.to_datetime(["2026-03-02"]),
            "ends_on": pd.to_datetime(["2026-03-29"]),
            "minutes_per_week": [70.0],
        }
    )
    golfers = pd.DataFrame({"golfer_id": ["A"]})
    first = int(np.datetime64("2026-03-02", "D").astype(int))
    tables = make_tables({"golfers": golfers, "practice": practice, "plans": plans})
    return tables, np.array([first]), first + 20


def test_plans_and_diary_are_added_up_over_days_that_both_know() -> None:
    """The third week has no entry, so it is unknown and counts for neither."""
    tables, starts, as_of = by_hand()
    diary = read_diary(tables.practice, tables.golfers, tables.categories, starts, as_of)
    found = plan_record(tables, diary, NAMES)
    np.testing.assert_allclose(found.planned, [[140 / 60, 0.0]])
    np.testing.assert_allclose(found.done, [[1.5, 0.0]])
    np.testing.assert_allclose(found.beside, [20 / 60])
    assert found.weeks[0] == pytest.approx(2.0)


def test_hours_given_a_share_are_negative_binomial() -> None:
    """SciPy's law with n = shape and p = n / (n + mean); a category without a plan says nothing."""
    done, planned = np.array([4.0, 9.0, 7.0]), np.array([10.0, 6.0, 0.0])
    found = lean_likelihood(done, planned)
    for row, spread in enumerate(SPREADS):
        shape = 1.0 / spread**2
        expected = sum(
            nbinom.logpmf(count, shape, shape / (shape + SHARES * due))
            for count, due in zip(done[:2], planned[:2], strict=True)
        )
        np.testing.assert_allclose(found[row], expected, rtol=1e-9)


def test_negative_binomial_is_a_poisson_whose_mean_is_gamma() -> None:
    """Second route by drawing: the count's chances after a gamma leaning of mean 1 and spread 0.4."""
    rng = np.random.default_rng(1)
    lean = rng.gamma(1 / 0.16, 0.16, size=400_000)
    place = 45
    drawn = np.array([poisson.pmf(count, SHARES[place] * 8.0 * lean).mean() for count in (0, 3, 9)])
    found = [
        np.exp(lean_likelihood(np.array([count]), np.array([8.0]))[SPREADS.index(0.4), place])
        for count in (0.0, 3.0, 9.0)
    ]
    np.testing.assert_allclose(found, drawn, rtol=0.02)


def test_law_of_shares_is_the_gamma_law_on_a_log_scale() -> None:
    found = share_law(np.array([0.7]), np.array([0.4]))[0]
    expected = gamma.logpdf(SHARES, 1 / 0.16, scale=0.7 * 0.16) + np.log(SHARES)
    np.testing.assert_allclose(found, expected, rtol=1e-9)


def record(shares: list[float], weeks: float = 20.0) -> PlanRecord:
    planned = np.tile([2.0 * weeks, 1.0 * weeks], (len(shares), 1))
    done = planned * np.array(shares)[:, None]
    count = len(shares)
    return PlanRecord(planned, done, np.full(count, weeks), np.zeros(count), np.zeros(count), 0.5)


def test_posterior_of_a_share_is_that_of_weighed_draws() -> None:
    """Brute force: everything drawn from the priors, weighed by the likelihood of the hours."""
    hours = record([0.5, 0.9, 0.6], weeks=3.0)
    hours = replace(hours, done=np.round(hours.done / hours.session) * hours.session)
    done, due = hours.done / hours.session, hours.planned / hours.session
    rng = np.random.default_rng(2)
    count = 400_000
    club = CLUB_SHARE * np.exp(CLUB_LOG_SD * np.linspace(-3, 3, 25))
    chance = np.exp(-0.5 * np.linspace(-3, 3, 25) ** 2)
    mean = rng.choice(club, size=count, p=chance / chance.sum())
    between, within = (1.0 / rng.choice(SPREADS, size=count) ** 2 for _ in range(2))
    own = rng.gamma(between[:, None], (mean / between)[:, None], size=(count, 3))
    lean = rng.gamma(within[:, None, None], 1.0 / within[:, None, None], size=(count, 3, 2))
    share = own[:, :, None] * lean
    weight = np.exp(poisson.logpmf(done, share * due).sum(axis=(1, 2)))
    weight /= weight.sum()
    expected = (weight[:, None, None] * share).sum(axis=0)
    spread = np.sqrt((weight[:, None, None] * share**2).sum(axis=0) - expected**2)
    found = learn_adherence(hours, 20_000, 3)
    assert found is not None
    error = 4 * spread * np.sqrt(np.sum(weight**2) + 1 / 20_000)
    assert np.all(np.abs(found.share.mean(axis=0) - expected) < error + 0.01)
    np.testing.assert_allclose(found.share.std(axis=0), spread, rtol=0.12)


def test_a_golfer_with_many_weeks_is_himself_and_one_with_none_is_the_club() -> None:
    shares = [0.6] * 12
    hours = record(shares, weeks=60.0)
    hours.planned[11], hours.done[11], hours.weeks[11] = 0.0, 0.0, 0.0
    hours.done[0] = 0.3 * hours.planned[0]
    found = learn_adherence(hours, 6000, 4)
    assert found is not None
    assert found.share[:, 0].mean() == pytest.approx(0.3, abs=0.05)
    assert found.share[:, 1].mean() == pytest.approx(0.6, abs=0.03)
    assert found.share[:, 11].mean() == pytest.approx(0.58, abs=0.08)
    assert found.share[:, 11].std() > 2 * found.share[:, 1].std()


def test_too_few_plans_teach_nothing() -> None:
    assert learn_adherence(record([0.6], weeks=3.9), 100, 1) is None


def test_usual_hours_are_shares_of_the_plan_and_of_the_habit_beside_it() -> None:
    found = learn_adherence(record([0.6, 0.7]), 500, 5)
    assert found is not None
    hours = usual_hours(np.array([3.0, 0.0]), np.array([1.0, 2.0]), found, 1)
    np.testing.assert_allclose(hours[:, 0], 3.0 * found.share[:, 1, 0])
    np.testing.assert_allclose(hours[:, 1], 2.0 * found.beside[:, 1])


@pytest.fixture(scope="module")
def planned(fitted_club: Path) -> tuple[Posterior, Tables]:
    """The fitted club with a past and a coming plan of three times the golfers' hours."""
    with Club.open(fitted_club) as club:
        posterior, tables = current_fit(club)[1], club.tables()
    day = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    rows = [
        {"plan": name, "golfer_id": golfer, "category": category, "minutes_per_week": 180.0 * hours}
        | {"starts_on": day + pd.Timedelta(days=first), "ends_on": day + pd.Timedelta(days=last)}
        for name, first, last in (("last", -90, -1), ("next", 1, 90))
        for number, golfer in enumerate(posterior.golfers)
        for category, hours in zip(posterior.categories, posterior.constant("habit")[number], strict=True)
        if category != "phantom" and hours > 0.05
    ]
    frames = dict(tables.items()) | {"plans": pd.DataFrame(rows)}
    return posterior, make_tables(frames, categories=tables.categories, settings=tables.settings)


def test_forecast_of_a_plan_says_both_what_it_brings_and_what_is_usual(
    planned: tuple[Posterior, Tables],
) -> None:
    posterior, tables = planned
    golfer = posterior.golfers[1]
    answer = forecast_tables(posterior, tables, golfer=golfer, weeks=(12,), plan="next")
    assert {record["quantity"] for record in answer.records} >= {"mean_differential"}
    for record in answer.records:
        assert record["usual"]["q10"] <= record["usual"]["q90"]
        assert 0.1 < record["usual_share"]["q50"] < 0.7
    now = forecast_tables(posterior, tables, golfer=golfer, weeks=(12,)).draws[golfer].mean.mean()
    full, usual = answer.draws[golfer].mean.mean(), answer.usual[golfer].mean.mean()
    assert min(now, full) - 0.05 <= usual <= max(now, full) + 0.05


def test_without_past_plans_the_forecast_says_it_cannot_tell(planned: tuple[Posterior, Tables]) -> None:
    posterior, tables = planned
    frames = dict(tables.items())
    frames["plans"] = tables.plans[tables.plans["plan"] == "next"]
    later = make_tables(frames, categories=tables.categories, settings=tables.settings)
    answer = forecast_tables(posterior, later, golfer=posterior.golfers[0], weeks=(4,), plan="next")
    assert any("not known yet" in note for note in answer.notes)
    assert all("usual" not in record for record in answer.records)


def test_of_two_plans_on_one_day_the_one_begun_last_counts() -> None:
    tables, starts, last = by_hand()
    second = tables.plans.assign(
        plan="q", category="irons", minutes_per_week=140.0, starts_on=pd.Timestamp("2026-03-09"),
        ends_on=pd.Timestamp("2026-03-15"),
    )  # fmt: skip
    both = replace(tables, plans=pd.concat([tables.plans, second], ignore_index=True))
    diary = read_diary(both.practice, both.golfers, both.categories, starts, last)
    found = planned_by_day(both, diary, NAMES)[0, int(starts[0]) - diary.first_day :][:21]
    np.testing.assert_allclose(found[:7], [[70 / 60 / 7, 0.0]] * 7)
    np.testing.assert_allclose(found[7:14], [[0.0, 140 / 60 / 7]] * 7)
    np.testing.assert_allclose(found[14:21], [[70 / 60 / 7, 0.0]] * 7)


@pytest.mark.parametrize("names", [("b", "a"), ("a", "b")])
def test_of_two_plans_of_the_same_days_the_one_that_the_week_follows_counts(names: tuple[str, str]) -> None:
    tables, starts, last = by_hand()
    rows = [
        tables.plans.assign(plan=name, category=category) for name, category in zip(names, NAMES, strict=True)
    ]
    both = replace(tables, plans=pd.concat(rows, ignore_index=True))
    diary = read_diary(both.practice, both.golfers, both.categories, starts, last)
    follows = running_plan(both, "A", date(2026, 3, 10))
    assert follows is not None
    planned = planned_by_day(both, diary, NAMES)[0].sum(axis=0) > 0
    assert [name for name, due in zip(NAMES, planned, strict=True) if due] == list(follows.hours)

"""Answers from the rows now on record: the fit and the rows alone decide, and a new fit is not needed."""

from __future__ import annotations

import gc
import itertools
import weakref
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.dose.stock import node_weights
from paryield.forecast import forecast_tables, goals_tables, golfer_draws
from paryield.forecast.areas import areas_fit
from paryield.forecast.current import standing
from paryield.forecast.refreshed import Clock, carried, placed, refreshed
from paryield.forecast.rounds import club_paces
from paryield.forecast.split import split_draws
from paryield.plan import plan_tables, returns_fit
from paryield.posterior import Posterior
from paryield.posterior.current import stored_fit
from paryield.posterior.live import LivePosterior
from paryield.report import sections
from paryield.report.write import views_of
from paryield.tables import Tables
from paryield.tables.frames import as_table

LAST = pd.Timestamp("2026-07-05")
"""Last day of the fitted club."""


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return stored_fit(club)[1], club.tables()


def more(tables: Tables, table: str, *rows: dict[str, Any]) -> Tables:
    """Return the tables with more rows in one of them."""
    new = as_table(table, pd.DataFrame(list(rows)))
    return replace(tables, **{table: pd.concat([getattr(tables, table), new], ignore_index=True)})


def a_round(golfer: str, day: str, differential: float) -> dict[str, Any]:
    return {"golfer_id": golfer, "played_on": pd.Timestamp(day), "score_differential": differential}


def level(posterior: Posterior, golfer: str) -> np.ndarray:
    return posterior.of(golfer).draws("level")[:, 0].sum(axis=1)


def test_without_anything_new_the_answer_is_the_fit_itself(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    assert refreshed(run, tables) is run
    shuffled = replace(tables, rounds=tables.rounds.sample(frac=1.0, random_state=1, ignore_index=True))
    assert refreshed(run, shuffled) is run


def test_draws_are_collected_once_as_long_as_somebody_holds_them(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    live = refreshed(run, more(tables, "rounds", a_round("G01", "2026-07-06", 20.0)))
    held = golfer_draws(live, "G01")
    assert golfer_draws(live, "G01") is held
    assert golfer_draws(live, "G02") is not held
    seen, steady = weakref.ref(held), held.weights
    del held
    gc.collect()
    assert seen() is None
    np.testing.assert_array_equal(golfer_draws(live, "G01").weights, steady)
    mine = live.of("G01")
    his = np.array(node_weights(mine.draws("log_half_life"))) * np.exp(-mine.draws("log_bend"))
    np.testing.assert_array_equal(steady, his)


def test_a_ball_measured_later_is_something_new(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    ball = {"golfer_id": "G01", "struck_on": LAST + pd.Timedelta(days=3), "strike_no": 1, "kind": "approach"}
    ball |= {"carry": 140.0, "side": 4.0, "target": 150.0, "unit": "yd"}
    live = refreshed(
        run, more(tables, "strikes", *[{**ball, "strike_no": number} for number in range(1, 13)])
    )
    assert live.as_of == run.as_of + 3
    assert live.facts["changed"] == ["G01"]
    assert np.isfinite(level(live, "G01")).all()


def test_another_golfers_row_of_a_known_day_moves_nobody_else(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    live = refreshed(run, more(tables, "rounds", a_round("G02", "2026-07-05", 40.0)))
    for name in ("level", "drift", "wander", "start_share", "noise_total"):
        np.testing.assert_array_equal(live.of("G01").draws(name)[:, 0], run.draws(name)[:, 0])
    assert np.abs(level(live, "G02") - run.draws("level")[:, 1].sum(axis=1)).max() > 0.1


def test_what_areas_rest_on_is_counted_for_each_golfer_once_rows_came(
    fitted: tuple[Posterior, Tables],
) -> None:
    run, tables = fitted
    row = {"golfer_id": "G01", "practised_on": LAST, "category": "chipping", "minutes": 60}
    live = refreshed(run, more(tables, "practice", row))
    for golfer in run.golfers[1:]:
        (first, *_), (before, *_) = (areas_fit(one, {}, golfer=golfer).records for one in (live, run))
        counted = ("rounds_shots", "rounds_stats", "rounds_score_only", "tests")
        assert [first[name] for name in counted] == [before[name] for name in counted]


def test_answers_do_not_depend_on_the_order_in_which_rows_came(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    steps = [
        lambda now: more(now, "rounds", a_round("G01", "2026-07-11", 12.0)),
        lambda now: more(now, "rounds", a_round("G03", "2026-07-12", 20.0)),
        lambda now: more(
            now, "practice", {"golfer_id": "G01", "practised_on": LAST, "category": "chipping", "minutes": 60}
        ),
    ]
    found = []
    for order in itertools.permutations(steps):
        now = tables
        for step in order:
            now = step(now)
        refreshed(run, now).of("G01")
        found.append(forecast_tables(refreshed(run, now), now, golfer="G01", weeks=(4,)).records)
    assert all(records == found[0] for records in found)
    run.memory.clear()
    assert forecast_tables(refreshed(run, now), now, golfer="G01", weeks=(4,)).records == found[0]
    assert refreshed(run, now) is refreshed(run, replace(now, plans=now.plans.iloc[:0]))
    back = replace(now, rounds=tables.rounds, practice=tables.practice)
    assert refreshed(run, back) is run


def test_better_rounds_lower_the_level_and_the_weights_are_sound(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    mean = float(tables.rounds.loc[tables.rounds["golfer_id"] == "G01", "score_differential"].mean())
    usual = mean if np.isfinite(mean) else float(run.draws("level")[:, 0].sum(axis=1).mean())
    days = pd.date_range("2026-07-06", periods=8, freq="D")
    at = {}
    for shift in (-4.0, 4.0):
        now = more(tables, "rounds", *[a_round("G01", str(day.date()), usual + shift) for day in days])
        live = refreshed(run, now)
        ahead = forecast_tables(live, now, golfer="G01", weeks=(4,)).records[0]
        at[shift] = ahead["mean"]
        assert live.of("G01").pareto_k < 0.7
    assert at[-4.0] < at[4.0] - 1.0


NEWCOMERS = {
    "start index": ({"start_index": 12.0}, [], []),
    "tests": ({}, [], [{"test": "putting ladder", "distance_ft": 6.0, "tried": 20, "made": 11}]),
    "nothing": ({}, [], []),
    "rounds": ({}, [a_round("N1", "2026-07-01", 30.0), a_round("N1", "2026-07-03", 33.0)], []),
}


@pytest.mark.parametrize("case", NEWCOMERS)
def test_somebody_whom_the_fit_has_not_seen_is_answered(case: str, fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    person, rounds, tests = NEWCOMERS[case]
    now = more(tables, "golfers", {"golfer_id": "N1", **person})
    now = more(now, "rounds", *rounds) if rounds else now
    tests = [{"golfer_id": "N1", "assessed_on": LAST, **one} for one in tests]
    now = more(now, "assessments", *tests) if tests else now
    live = refreshed(run, now)
    assert live.golfers[-1] == "N1"
    assert standing(1, live, look=True).joined == ("N1",)
    means = forecast_tables(live, now, golfer="N1", weeks=(4,)).records
    assert means[0]["reportable"]
    total = level(live, "N1")
    centre = {"start index": 15.2, "rounds": 30.0}.get(case)
    if centre is not None:
        assert abs(total.mean() - centre) < 3.0
    else:
        assert total.std() > 3.0
    assert goals_tables(live, now, golfer="N1", goal=10.0, by=(LAST + pd.Timedelta(days=90)).date()).records
    if run.categories:
        assert returns_fit(live, golfer="N1").records
        assert plan_tables(live, now, golfers=["N1"], hours=2.0).records


def test_what_the_fit_has_not_seen_is_as_the_priors_expect(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    now = more(
        tables, "practice", {"golfer_id": "G01", "practised_on": LAST, "category": "mobility", "minutes": 90}
    )
    now = more(
        now,
        "programmes",
        {"golfer_id": "G01", "programme": "summer", "started_on": pd.Timestamp("2026-06-20")},
    )
    live = refreshed(run, now)
    assert "mobility" in live.categories
    assert live.categories[-1] == "phantom"
    assert live.facts["programmes"] == ["summer"]
    gain = live.draws("gain")
    np.testing.assert_array_equal(
        gain[:, live.categories.index("chipping")],
        run.draws("gain")[:, run.categories.index("chipping")],
    )
    assert gain[:, live.categories.index("mobility")].std() > 0.02
    assert abs(live.draws("programme_effect").std() - 1.5) < 0.4
    assert len(forecast_tables(live, now, weeks=(4,)).records) == 18
    assert split_draws(live, now, "G01", live.as_of - 42, live.as_of).level.whole.shape == (run.samples,)


def test_a_golfer_without_new_rows_is_carried_and_grows_less_certain(
    fitted: tuple[Posterior, Tables],
) -> None:
    run, tables = fitted
    later = more(tables, "rounds", a_round("G02", "2026-12-05", 18.0))
    live = refreshed(run, later)
    assert isinstance(live, LivePosterior)
    before = run.draws("level")[:, 0].sum(axis=1) + run.draws("wander")[:, 0, -1]
    view = live.of("G01")
    after = view.draws("level")[:, 0].sum(axis=1) + view.draws("wander")[:, 0, -1]
    assert view.picks is None
    assert view.as_of == run.as_of + 153
    assert abs(after.mean() - before.mean()) < 0.5
    spread = after + view.draws("drift")[:, 0].sum(axis=1)
    assert spread.std() > 0.9 * before.std()


def test_form_is_carried_by_its_own_law() -> None:
    """A stationary Ornstein-Uhlenbeck process: covariance sd^2 exp(-days / scale) between any two days."""
    rng = np.random.default_rng(5)
    count, scale, sd = 40_000, 90.0, 0.9
    old = np.array([0.0, 40.0, 80.0])
    new = np.array([40.0, 80.0, 120.0, 160.0])
    wander = np.empty((count, 3))
    wander[:, 0] = sd * rng.normal(size=count)
    keep = np.exp(-40.0 / scale)
    for knot in (1, 2):
        wander[:, knot] = keep * wander[:, knot - 1] + sd * np.sqrt(1 - keep**2) * rng.normal(size=count)
    population = {"wander_days": np.full(count, scale), "sd_wander": np.full(count, sd)}
    population["sd_drift"] = np.zeros(count)
    own = {"wander": wander, "drift": np.zeros((count, 4))}
    found = carried(own, population, Clock(0.0, 80.0, 160.0), (old, new), 1, "G01")["wander"]
    expected = sd**2 * np.exp(-np.abs(new[:, None] - new[None, :]) / scale)
    np.testing.assert_allclose(np.cov(found.T), expected, atol=0.02)
    np.testing.assert_array_equal(found[:, :2], wander[:, 1:])


def test_drawing_by_weight_keeps_the_places_of_those_who_stay() -> None:
    weights = np.array([0.3, 0.1, 0.05, 0.25, 0.3])
    found = placed(weights)
    assert sorted(np.bincount(found, minlength=5)) == sorted([1, 1, 0, 1, 2]) or len(found) == 5
    assert found[0] == 0
    counts = np.bincount(placed(np.full(8, 0.125)), minlength=8)
    assert (counts == 1).all()
    many = np.random.default_rng(3).dirichlet(np.ones(500))
    assert np.abs(np.bincount(placed(many), minlength=500) - 500 * many).max() <= 1.0


def test_a_newcomer_starts_from_the_index_that_he_brings(fitted: tuple[Posterior, Tables]) -> None:
    """No round yet: his start index is in force, and the rounds to come move it as the rules say."""
    run, tables = fitted
    people = [{"golfer_id": "N1", "start_index": 14.2}, {"golfer_id": "N2"}]
    now = more(tables, "golfers", *people)
    live = refreshed(run, now)
    for golfer, known in (("N1", True), ("N2", False)):
        today, later = (
            next(
                one
                for one in forecast_tables(live, now, golfer=golfer, weeks=(week,)).records
                if one["quantity"] == "handicap_index"
            )
            for week in (0, 26)
        )
        assert today["reportable"] is known
        if known:
            assert (today["q05"], today["q95"]) == (14.2, 14.2)
            assert later["q90"] > later["q10"]
        else:
            assert today["reason"] == "no counting round yet, so there is no index to start from"
    found = forecast_tables(
        live, now, golfer="N1", weeks=(4,), goal=15.0, by=(LAST + pd.Timedelta(days=90)).date()
    )
    assert [one["reached"] for one in found.records if one.get("goal") is not None] == [True]
    left = more(tables, "golfers", {**people[0], "joined_on": pd.Timestamp("2020-01-01")})
    assert club_paces(left, ["N1"], run.as_of)["N1"].mean == 0.0
    assert club_paces(now, ["N1"], run.as_of)["N1"].assumed


def test_the_page_of_a_newcomer_says_what_to_test_next(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    now = more(tables, "golfers", {"golfer_id": "N1", "start_index": 14.2})
    [view] = views_of(refreshed(run, now), now, "N1", number=1, club="club", banner="")
    assert view.due
    assert f"Test next, until there are rounds to go by: {view.due[0]}" in sections.tests_section(view)
    [known] = views_of(run, tables, "G01", number=1, club="club", banner="")
    assert known.due == ()

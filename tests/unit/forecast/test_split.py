"""A change in parts: they sum to the whole, and each is checked by a second route."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from itertools import permutations
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import forecast_tables
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import practised
from paryield.forecast.past import beside_practice, club_diary, golfer_hours, golfer_past
from paryield.forecast.split import practice_credit, split_draws
from paryield.plan.change import split_fit
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.tables import Tables, make_tables


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def days_of(posterior: Posterior, golfer: str, count: int) -> np.ndarray:
    start = int(posterior.constant("starts")[posterior.golfer_number(golfer)])
    return np.linspace(start, posterior.as_of, count).astype(np.int64)


def test_practice_read_again_is_the_practice_that_was_fitted(fitted: tuple[Posterior, Tables]) -> None:
    """The stock on the day after the record against the one stored with the fit, phantom included."""
    posterior, tables = fitted
    diary = club_diary(posterior, tables)
    for golfer in posterior.golfers:
        days = np.array([posterior.as_of + 1])
        past = golfer_past(posterior, golfer, golfer_hours(posterior, diary, golfer), days)
        stored = (past.golfer.weights * past.golfer.stock).sum(axis=0)
        np.testing.assert_allclose(past.stock[:, 0], np.maximum(stored, 0.0), atol=1e-9)


def with_programme(posterior: Posterior, effect: float, shift: float) -> Posterior:
    """The same fit with a programme, its effect and its bad spell the same in every draw."""
    tree, names = posterior.tree.copy(), ["programme"]
    draws = tree["posterior"].to_dataset()
    size = (draws.sizes["chain"], draws.sizes["draw"], 1)
    draws = draws.drop_vars(["programme_effect", "enrol_shift", *names], errors="ignore").assign(
        programme_effect=(("chain", "draw", "programme"), np.full(size, effect)),
        enrol_shift=(("chain", "draw", "programme"), np.full(size, shift)),
    )
    none = np.zeros((len(posterior.golfers), 1))
    constants = tree["constant_data"].to_dataset()
    constants = constants.drop_vars(["exposure_now", "form_now", *names], errors="ignore").assign(
        exposure_now=(("golfer", "programme"), none), form_now=(("golfer", "programme"), none)
    )
    tree["posterior"], tree["constant_data"] = type(tree)(draws), type(tree)(constants)
    return Posterior(tree, {**posterior.facts, "programmes": ["spring"]})


def test_past_form_holds_what_was_left_of_the_spell_on_joining(fitted: tuple[Posterior, Tables]) -> None:
    """By hand: 0.23 of the spell on the day of joining, 1/e of it 60 days before and after."""
    posterior, tables = fitted
    golfer, start = posterior.golfers[0], posterior.as_of - 90
    row = {"golfer_id": golfer, "programme": "spring", "started_on": np.datetime64(start, "D")}
    row |= {"ended_on": np.datetime64(start + 60, "D"), "outcome": "completed"}
    joined = make_tables(
        dict(tables.items()) | {"programmes": pd.DataFrame([row])}, categories=tables.categories
    )
    fit = with_programme(posterior, -1.0, 2.0)
    days = start + np.array([-60, 0, 30, 60])
    past = golfer_past(fit, golfer, golfer_hours(fit, club_diary(fit, joined), golfer), days)
    with_it, without = (beside_practice(fit, one, golfer, past) for one in (joined, tables))
    form = (with_it["form"] - without["form"])[0]
    np.testing.assert_allclose(form, 0.46 * np.exp([-1.0, 0.0, -0.5, -1.0]), atol=1e-9)
    np.testing.assert_allclose(with_it["programme"][0], [0.0, 0.0, -0.5, -1.0], atol=1e-9)
    np.testing.assert_array_equal(without["programme"], 0.0)
    found = split_draws(fit, joined, golfer, int(days[1]), int(days[3]))
    moved = float(found.moved["programme"][0]), float(found.moved["spell"][0])
    assert moved == pytest.approx((1.0, 0.23 * (np.exp(-1.0) - 1.0)))


def test_credit_sums_to_the_change_that_the_forecast_sees(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    diary = club_diary(posterior, tables)
    for golfer in posterior.golfers[:3]:
        days = days_of(posterior, golfer, 6)
        past = golfer_past(posterior, golfer, golfer_hours(posterior, diary, golfer), days)
        lost = practised(past.golfer, past.stock, days - posterior.as_of - 1.0).sum(axis=2)
        credit = practice_credit(past, 2)
        np.testing.assert_allclose(credit.sum(axis=2), lost - lost[:, [2]], atol=1e-9)


def test_credit_is_the_average_over_all_orders_but_for_what_three_share(
    fitted: tuple[Posterior, Tables],
) -> None:
    """Second route: Shapley's value, every order of four categories walked through the forecast's formula.

    Both share out the same whole; they differ only where three or more categories act on one area, which
    is of third order in the share of the gap closed.
    """
    posterior, tables = fitted
    golfer = posterior.golfers[1]
    days = days_of(posterior, golfer, 2)
    practice = golfer_hours(posterior, club_diary(posterior, tables), golfer)
    past = golfer_past(posterior, golfer, practice, days)
    past = replace(past, golfer=replace(past.golfer, start_extra=np.zeros(past.golfer.samples)))
    moving = 4
    later = past.stock[:, [1]].copy()
    later[:, :, moving:] = past.stock[:, [0], moving:]
    past = replace(past, stock=np.concatenate([past.stock[:, [0]], later], axis=1))
    share = np.zeros((past.golfer.samples, moving))
    for order in permutations(range(moving)):
        state = past.stock[:, [0]].copy()
        before = practised(past.golfer, state, np.zeros(1)).sum(axis=(1, 2))
        for category in order:
            state[:, :, category] = past.stock[:, [1], category]
            after = practised(past.golfer, state, np.zeros(1)).sum(axis=(1, 2))
            share[:, category] += (after - before) / math.factorial(moving)
            before = after
    credit = practice_credit(past, 0)[:, 1, :moving]
    assert np.abs(credit).max() > 0.05
    np.testing.assert_allclose(credit, share, atol=0.02 * np.abs(credit).max())


def test_level_after_the_last_day_is_the_forecast_of_today(fitted: tuple[Posterior, Tables]) -> None:
    """Level rebuilt from the parts against the forecast 0 weeks ahead, the last day's hours included."""
    posterior, tables = fitted
    diary = club_diary(posterior, tables)
    for golfer in posterior.golfers[:3]:
        practice = golfer_hours(posterior, diary, golfer)
        after = golfer_past(posterior, golfer, practice, np.array([posterior.as_of + 1]))
        today = golfer_past(posterior, golfer, practice, np.array([posterior.as_of]))
        level = practised(after.golfer, after.stock, np.zeros(1)).sum(axis=2)
        level = level + sum(beside_practice(posterior, tables, golfer, today).values())
        ahead = forecast_tables(posterior, tables, golfer=golfer, weeks=(0,)).draws[golfer].mean
        np.testing.assert_allclose(level, ahead, atol=1e-9)


def test_parts_sum_to_the_change_of_level_and_of_the_rounds(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    golfer = posterior.golfers[0]
    since, until = posterior.as_of - 60, posterior.as_of
    found = split_draws(posterior, tables, golfer, since, until)
    past = golfer_past(
        posterior,
        golfer,
        golfer_hours(posterior, club_diary(posterior, tables), golfer),
        np.array([since, until]),
    )
    level = practised(past.golfer, past.stock, past.days - posterior.as_of - 1.0).sum(axis=2)
    level = level + sum(beside_practice(posterior, tables, golfer, past).values())
    np.testing.assert_allclose(found.level.whole, level[:, 1] - level[:, 0], atol=1e-9)
    scores = differentials(tables)
    mine = scores[scores["golfer_id"] == golfer]
    day = (mine["played_on"] - np.datetime64("1970-01-01")).dt.days
    after, before = (day > since) & (day <= until), (day > since - 60) & (day <= since)
    expected = mine.loc[after, "differential"].mean() - mine.loc[before, "differential"].mean()
    assert found.rounds is not None
    assert (found.after, found.before) == (after.sum(), before.sum())
    np.testing.assert_allclose(found.rounds.whole, expected, atol=1e-9)


def test_form_and_drift_on_past_days_are_those_of_the_fit(fitted: tuple[Posterior, Tables]) -> None:
    """Form straight between the knots; drift as a sine of the share of the record gone, and the trend."""
    posterior, tables = fitted
    golfer = posterior.golfers[2]
    n, days = posterior.golfer_number(golfer), days_of(posterior, golfer, 7)
    past = golfer_past(
        posterior, golfer, golfer_hours(posterior, club_diary(posterior, tables), golfer), days
    )
    parts = beside_practice(posterior, tables, golfer, past)
    knots, wander = posterior.constant("knots"), posterior.draws("wander")[:, n]
    form = np.array([np.interp(days, knots, one) for one in wander])
    np.testing.assert_allclose(parts["form"], form, atol=1e-9)
    gone = days - posterior.constant("starts")[n]
    share = np.sin(np.pi / 2 * gone / max(posterior.as_of - posterior.constant("starts")[n], 180.0))
    drift = posterior.draws("drift")[:, n].sum(axis=1)[:, None] * share
    trend = -posterior.draws("trend")[:, None] * gone / 365.25
    np.testing.assert_allclose(parts["background"], drift + trend, atol=1e-9)


def test_courses_competitions_and_days_filled_in_by_hand(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    diary, since, until = club_diary(posterior, tables), posterior.as_of - 60, posterior.as_of
    filled = []
    for golfer in posterior.golfers:
        found = split_draws(posterior, tables, golfer, since, until)
        practice = golfer_hours(posterior, diary, golfer)
        first = practice.first_day
        filled.append(sum(not practice.known[day - first] for day in range(since + 1, until + 1)))
        assert found.filled_days == filled[-1]
        if found.rounds is None:
            continue
        mine = tables.rounds[tables.rounds["golfer_id"] == golfer]
        day = (mine["played_on"] - np.datetime64("1970-01-01")).dt.days
        mine = mine[(day > since - 60) & (day <= until)]
        late = (mine["played_on"] - np.datetime64("1970-01-01")).dt.days > since
        effects = posterior.tree["posterior"]["course_effect"].to_dataframe()["course_effect"]
        by_course = effects.groupby("course").mean()
        strokes = mine["course"].map(by_course.to_dict()).astype(float)
        strokes += float(posterior.draws("competition").mean()) * mine["competition"].fillna(False)
        expected = strokes[late].mean() - strokes[~late].mean()
        assert found.rounds.parts["course"].mean() == pytest.approx(expected, abs=1e-6)
    assert max(filled) > 0


def test_two_halves_of_a_period_sum_to_the_whole_period(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    golfer, mid = posterior.golfers[2], posterior.as_of - 40
    spans = ((mid - 40, posterior.as_of), (mid - 40, mid), (mid, posterior.as_of))
    whole, first, second = (split_draws(posterior, tables, golfer, *span).level for span in spans)
    np.testing.assert_allclose(whole.whole, first.whole + second.whole, atol=1e-9)
    np.testing.assert_allclose(whole.parts["form"], first.parts["form"] + second.parts["form"], atol=1e-9)


def test_no_practice_and_no_fading_change_nothing(fitted: tuple[Posterior, Tables]) -> None:
    """Before the first hour of a golfer who began with an empty stock, practice has done nothing."""
    posterior, tables = fitted
    golfer = posterior.golfers[0]
    practice = golfer_hours(posterior, club_diary(posterior, tables), golfer)
    empty = replace(practice, hours=np.zeros_like(practice.hours))
    past = golfer_past(posterior, golfer, empty, days_of(posterior, golfer, 4))
    zero = np.zeros_like(past.stock)
    still = replace(past.golfer, start=zero[:, 0], steady=zero[:, 0])
    past = replace(past, golfer=still, stock=zero, extra=zero)
    assert np.abs(practice_credit(past, 0)).max() == 0.0


def test_records_hold_every_part_once(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    records = split_fit(posterior, tables, posterior.golfers[0], since=date(2026, 5, 1)).records
    level = [record for record in records if record["quantity"] == "mean_differential"]
    named = [(record["part"], record["category"]) for record in level]
    assert len(set(named)) == len(named)
    assert named[0] == ("whole", None)
    assert {category for part, category in named if part == "practice"} == {None, *posterior.categories}
    means = {key: record["change"]["mean"] for key, record in zip(named, level, strict=True)}
    alone = [key for key in named if key[1] is None and key[0] != "whole"]
    assert sum(means[key] for key in alone) == pytest.approx(means["whole", None])
    assert {record["evidence"] for record in records} <= {"measured", "part measured", "assumed"}
    assert all((r["from"], r["to"]) == ("2026-05-01", "2026-07-05") for r in records)


@pytest.mark.parametrize(
    ("asked", "piece"),
    [
        ({"since": date(2020, 1, 1)}, "2020-01-01 is outside the record of"),
        ({"until": date(2030, 1, 1)}, "2030-01-01 is outside the record of"),
        ({"since": date(2026, 7, 5), "until": date(2026, 7, 5)}, "is empty"),
    ],
)
def test_a_period_that_cannot_be_split_is_said(
    fitted: tuple[Posterior, Tables], asked: dict[str, date], piece: str
) -> None:
    with pytest.raises(InputError, match=piece):
        split_fit(fitted[0], fitted[1], fitted[0].golfers[0], **asked)


def test_a_golfer_the_fit_does_not_know_is_said(fitted: tuple[Posterior, Tables]) -> None:
    with pytest.raises(InputError, match="the fit knows no golfer 'nobody'"):
        split_fit(fitted[0], fitted[1], "nobody")

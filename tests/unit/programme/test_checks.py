"""Checks beside the answer: both ways of the second route, moved dates, agreement."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.stats.weightstats import DescrStatsW

from paryield.dose.exposure import COMPLETED, Enrolment
from paryield.programme.checks import Layout, disagree, never_joined, outside, placebo, second_route
from paryield.programme.plain import Rounds, as_frame, plain_change, stopped_posting, window_change
from paryield.programme.second import Estimate, mean_change, staggered


def club(effect: float, seed: int = 1, golfers: int = 24) -> tuple[Rounds, tuple[Enrolment, ...]]:
    """Half of the golfers join at different times; a round every 8 days over two years."""
    rng = np.random.default_rng(seed)
    members = tuple(
        Enrolment(f"G{n:02d}", "winter", 380 + 9 * n, 464 + 9 * n, 464 + 9 * n, COMPLETED)
        for n in range(golfers // 2)
    )
    by_id = {one.golfer_id: one for one in members}
    rows = []
    for n in range(golfers):
        for day in range(n % 8, 730, 8):
            one = by_id.get(f"G{n:02d}")
            share = float(one.exposure(day)) if one else 0.0
            rows.append((f"G{n:02d}", day, 15 + 0.3 * n + effect * share + 3 * rng.normal()))
    rows.sort(key=lambda row: row[1])
    golfer, day, score = zip(*rows, strict=True)
    return Rounds(np.array(golfer), np.array(day), np.array(score)), members


def test_the_second_route_is_the_middle_of_both_ways():
    rounds, members = club(-2.0)
    here, beside, fair = Layout(rounds, members).columns("winter")
    both = [
        staggered(as_frame(rounds)[use], here[use], beside[use], golfer="golfer", day="day", score="score")
        for use in (np.ones(len(fair), bool), fair)
    ]
    found = second_route(rounds, members, "winter")
    assert found is not None
    assert found.value == pytest.approx(np.mean([one.value for one in both if one]))
    assert found.error >= np.mean([one.error for one in both if one])
    low, high = found.interval(0.99)
    assert low < -2.0 < high < 0
    assert int((~fair).sum()) == 5 * len(members)


def test_dates_moved_back_find_nothing_and_a_hidden_earlier_change_is_found():
    rounds, members = club(-2.0)
    nothing = placebo(rounds, members, "winter")
    assert nothing is not None
    assert nothing["low"] < 0 < nothing["high"]
    moved = {one.golfer_id: one.start - 7 * nothing["weeks_back"] for one in members}
    early = np.array([day >= moved.get(g, 10**6) for g, day in zip(rounds.golfer, rounds.day, strict=True)])
    real = placebo(Rounds(rounds.golfer, rounds.day, rounds.score - 6.0 * early), members, "winter")
    assert real is not None
    assert real["high"] < 0


def test_before_and_after_by_hand():
    days, scores = np.arange(0, 200, 10), np.arange(20.0)
    assert window_change(days, scores, 100, 150) == pytest.approx(
        np.mean([16, 17, 18, 19]) - np.mean([5, 6, 7, 8, 9])
    )
    assert window_change(days, scores, 20, 150) is None
    rounds = Rounds(np.repeat("G1", 20), days, scores)
    member = Enrolment("G1", "w", 100, 150, 150, COMPLETED)
    assert plain_change(rounds, member, 300) == pytest.approx(10.5)
    assert not stopped_posting(rounds, member, 300)
    assert stopped_posting(rounds, Enrolment("G1", "w", 100, 195, 195, COMPLETED), 300)


def test_fewer_than_five_outside_are_not_shown():
    rounds, members = club(0.0)
    others = [f"G{n:02d}" for n in range(12, 24)]
    assert outside(rounds, members, others[:4], 729) is None
    assert never_joined(rounds, members, others[:4]) is None
    shown = never_joined(rounds, members, others)
    assert shown is not None
    assert shown["golfers"] == 12
    assert shown["low"] < shown["plain_change"] < shown["high"]


def test_a_mean_change_has_the_interval_of_students_t():
    """Second route: statsmodels' DescrStatsW on eight changes."""
    changes = [-2.0, -1.5, 0.3, 0.8, -0.4, -3.1, 1.2, -0.9]
    expected = DescrStatsW(changes).tconfint_mean(alpha=0.1)
    assert mean_change(changes).interval() == pytest.approx(expected)


def test_answers_disagree_beyond_both_errors():
    draws = np.random.default_rng(2).normal(-1.0, 0.3, 10_000)
    assert not disagree(draws, Estimate(-0.2, 0.4, 30.0, 100))
    assert disagree(draws, Estimate(0.2, 0.4, 30.0, 100))

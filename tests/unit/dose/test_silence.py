"""Weeks without a row against the sum over all courses of weeks, and against what made-up golfers did."""

from __future__ import annotations

import itertools

import numpy as np
import pandas as pd
import pytest

from paryield.dose import silence
from paryield.dose.diary import days_since_epoch, read_diary
from paryield.dose.silence import (
    BLANK,
    HOURS,
    NONE,
    UNSAID,
    UNWATCHED,
    _emissions,
    _forward_backward,
    _moves,
    read_silence,
)
from paryield.synth import ClubSpec, make_club

SEEDS = tuple(range(7301, 7309))
"""Clubs on which no constant was chosen."""


def test_forward_and_backward_sums_are_those_over_all_courses_of_weeks() -> None:
    """Second route: every sequence of the three states of six weeks, one by one."""
    shown = np.array([[HOURS, BLANK, NONE, BLANK, UNSAID, BLANK]])
    emitted = _emissions(np.array([0.7, 0.7]), np.array([0.8, 0.8]), np.array([False, True]))
    states, evidence = _forward_backward(shown, emitted)
    first, moves = _moves()
    for point in range(2):
        total, held = 0.0, np.zeros((6, 3))
        for course in itertools.product(range(3), repeat=6):
            chance = first[course[0]]
            for week, state in enumerate(course):
                chance *= moves[course[week - 1], state] if week else 1.0
                chance *= emitted[shown[0, week], point, state]
            total += chance
            held[np.arange(6), course] += chance
        assert evidence[0, point] == pytest.approx(np.log(total))
        np.testing.assert_allclose(states[0, point], held / total, atol=1e-12)


def test_golfers_of_a_settled_club_are_read_a_few_at_a_time_as_together(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shown = np.random.default_rng(5).integers(0, 5, (19, 40))
    few = read_silence(shown, 0.3)
    monkeypatch.setattr(silence, "TOGETHER", 100)
    together = read_silence(shown, 0.3)
    for name in ("practised", "active", "chance", "silent"):
        np.testing.assert_allclose(getattr(few, name), getattr(together, name), rtol=1e-13)
    assert few.share == together.share == 0.3


def test_rows_speak_for_themselves() -> None:
    found = read_silence(np.array([[UNWATCHED, HOURS, NONE, HOURS, NONE]]))
    np.testing.assert_array_equal(found.practised, [[0.0, 1.0, 0.0, 1.0, 0.0]])
    np.testing.assert_array_equal(found.active, 1.0)


def test_who_never_writes_none_but_has_gaps_leaves_idle_weeks_blank() -> None:
    """Of 60 weeks 40 with hours: 20 of them blank, or 10 written as none and 10 blank."""
    silent = np.tile([HOURS, HOURS, BLANK], 20)
    writer = np.tile([HOURS, HOURS, BLANK, HOURS, HOURS, NONE], 10)
    both = read_silence(np.array([silent] * 5 + [writer] * 5))
    assert both.silent[0] > 0.9 > 0.1 > both.silent[5]
    assert both.practised[0, 2] < 0.5 < 0.7 < both.practised[5, 2]


@pytest.mark.parametrize("case", ["steady", "thin", "silent"])
def test_hours_read_are_those_practised_on_average(case: str) -> None:
    """Made-up golfers are known: on average over a kind of club hours read lie within 5 % of the truth."""
    read, true, given_up = 0.0, 0.0, []
    for seed in SEEDS:
        club = make_club(ClubSpec(golfers=40, weeks=60, seed=seed, case=case))
        roster, tables = club.truth.roster, club.tables
        golfers = tables.golfers.sort_values("golfer_id", ignore_index=True)
        first = int(np.datetime64(club.spec.starts_on, "D").astype(int))
        last = first + 7 * roster.spec.weeks - 1
        rows = tables.practice.groupby("golfer_id")["practised_on"].min()
        began = golfers["golfer_id"].map(rows).fillna(pd.Timestamp(club.spec.ends_on))
        found = read_diary(tables.practice, golfers, tables.categories, days_since_epoch(began), last)
        ids = list(club.truth.ids)
        for place, golfer in enumerate(found.golfers):
            if not found.has_diary[place]:
                continue
            who = ids.index(golfer)
            opened = (int(np.argmax(found.known[place])) + found.first_day - first) // 7
            lived = club.truth.life.hours[who, :, roster.first + opened : roster.now]
            read += found.hours[place, first + 7 * opened - found.first_day :].sum()
            true += lived.sum()
            if roster.now - roster.stress.quits[who] > 20:
                given_up.append(found.recent[place].sum() / max(found.habit[place].sum(), 1e-9))
    assert read / true == pytest.approx(1.0, abs=0.05)
    assert bool(given_up) == (case == "silent")
    # Who gave up practice and diary months ago is not read as practising.
    assert not given_up or np.mean(given_up) < 0.1

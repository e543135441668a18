"""What a test would tell: the exact update against brute force, routines within the minutes, who is due."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.model.spec import ModelSpec
from paryield.plan import testing
from paryield.plan.options import golfer_question
from paryield.plan.trial import make_trial
from paryield.posterior.current import stored_fit
from paryield.rounds.strikes import LOG_PER_STROKE
from paryield.rounds.tasks import TASKS, task_named
from paryield.tables import AREAS, Tables, make_tables

DAY = date(2026, 6, 30)


def club(assessments: list[tuple[str, str, str]] = (), strikes: list[tuple[str, str, str]] = ()) -> Tables:
    golfers = pd.DataFrame({"golfer_id": ["G1", "G2", "G3"], "start_index": [12.0, None, 24.0]})
    golfers["left_on"] = pd.to_datetime([None, None, "2026-01-01"])
    tests = pd.DataFrame(assessments, columns=["golfer_id", "assessed_on", "test"])
    tests = tests.assign(distance_ft=6.0, tried=10, made=5, assessed_on=pd.to_datetime(tests["assessed_on"]))
    balls = pd.DataFrame(strikes, columns=["golfer_id", "struck_on", "kind"])
    balls = balls.assign(
        strike_no=range(len(balls)),
        carry=200.0,
        side=1.0,
        unit="yd",
        struck_on=pd.to_datetime(balls["struck_on"]),
    )
    return make_tables({"golfers": golfers, "assessments": tests, "strikes": balls})


def test_the_mismatches_are_those_of_the_model():
    priors = ModelSpec().priors
    strokes, probit, _, log = priors.test_sd
    assert testing.MISMATCH["putting"] == strokes
    assert pytest.approx(probit / abs(priors.test_slope[1]), rel=0.1) == testing.OTHER_MISMATCH
    assert pytest.approx(log / np.mean(list(LOG_PER_STROKE.values())), rel=0.15) == testing.OTHER_MISMATCH
    assert priors.level_sd == testing.LEVEL_SD


def test_the_update_is_that_of_brute_force():
    """Draws of the areas weighed by a drawn result: variance and bits averaged over many results."""
    known = testing.known_before(club(), "G1")
    task = task_named("approach_balls")
    assert task is not None
    worth = testing.worth_of(task, known, None)
    rng = np.random.default_rng(1)
    draws = rng.multivariate_normal(known.mean, known.cover, 60_000)
    place, variance = AREAS.index("approach"), testing.variance_of(task, known)
    after = []
    for truth in draws[:40, place]:
        result = truth + rng.normal(0.0, np.sqrt(variance))
        weight = np.exp(-0.5 * (result - draws[:, place]) ** 2 / variance)
        after.append(np.cov(draws.T, aweights=weight))
    mean = np.mean(after, axis=0)
    assert np.sqrt(mean[place, place]) == pytest.approx(worth.sd_after, rel=0.03)
    determinants = np.linalg.slogdet(known.cover)[1] - np.mean([np.linalg.slogdet(one)[1] for one in after])
    assert worth.bits_areas == pytest.approx(0.5 * determinants / np.log(2.0), abs=0.03)


def test_a_lasting_mismatch_tells_nothing_of_change():
    """The difference of two results is all that a huge mismatch leaves: variance 2 errors squared."""
    task, known = task_named("drives"), testing.known_before(club(), "G1")
    assert task is not None
    error = testing.strokes_error(task, float(known.mean[0]))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(testing, "OTHER_MISMATCH", 1e4)
        root = testing.repeated(task, known, 4)
    information = root @ root.T
    level = np.zeros(16)
    level[0::4] = 1.0
    change = np.zeros(16)
    change[3 * 4] = 1.0
    assert level @ information @ level < 1e-6
    assert change @ information @ change == pytest.approx(1.0 / (2.0 * error**2), rel=1e-3)


@pytest.mark.parametrize("minutes", [2.5, 6.0, 10.0, 40.0])
def test_whole_tests_fill_the_minutes_and_no_more(minutes: float):
    (routine,) = testing.routines(club(), None, golfer="G1", minutes=minutes, on=DAY)
    used = sum(slot.worth.task.minutes for slot in routine.chosen)
    assert 0 < used <= 2 * minutes
    spare = 2 * minutes - used
    assert all(slot.chosen or slot.worth.task.minutes > spare for slot in routine.slots)
    assert len(routine.slots) == len(TASKS)


def test_minutes_that_hold_no_test_are_refused():
    with pytest.raises(InputError, match="hold no whole test"):
        testing.routines(club(), None, minutes=1.0, on=DAY)
    with pytest.raises(InputError, match="no golfer"):
        testing.routines(club(), None, golfer="G9", on=DAY)


def test_a_newcomer_is_told_what_to_test_first():
    told = testing.routines(club(), None, on=DAY)
    assert [one.golfer_id for one in told] == ["G1", "G2"]
    by = {one.golfer_id: one for one in told}
    assert by["G1"].rests_on == testing.INDEX
    assert by["G2"].rests_on == testing.NOTHING
    for one in told:
        assert one.due == one.chosen
        first = one.slots[0].worth
        assert first.bits_best is None
        assert first.bits_areas / first.task.minutes == max(
            slot.worth.bits_areas / slot.worth.task.minutes for slot in one.slots
        )
        assert {slot.worth.task.area for slot in one.chosen} >= {"off_the_tee", "approach"}


def test_a_test_is_due_a_fortnight_after_the_last_of_its_kind():
    tables = club(
        [("G1", "2026-06-20", "chip to a spot"), ("G1", "2026-06-01", "chip to a spot")],
        [("G1", "2026-06-16", "tee")],
    )
    (routine,) = testing.routines(tables, None, golfer="G1", minutes=40.0, on=DAY)
    slots = {slot.worth.task.kind: slot for slot in routine.slots}
    assert slots["chip"].last_on == date(2026, 6, 20)
    assert slots["chip"].due_on == date(2026, 7, 4)
    assert not slots["chip"].is_due(DAY)
    assert slots["tee"].is_due(DAY)
    assert slots["putting"].last_on is None
    assert slots["putting"].is_due(DAY)


def test_what_was_measured_tells_less_the_second_time():
    known = testing.known_before(club(), "G2")
    task = task_named("putting_ladder")
    assert task is not None
    first = testing.worth_of(task, known, None)
    second = testing.worth_of(task, known.after(3, testing.variance_of(task, known)), None)
    assert second.bits_areas < first.bits_areas
    assert second.sd_now == pytest.approx(first.sd_after)


def test_with_a_fit_both_questions_are_weighed(fitted_club: Path):
    with Club.open(fitted_club) as opened:
        _, posterior = stored_fit(opened)
        tables = opened.tables()
    (routine,) = testing.routines(tables, posterior, golfer="G02", on=DAY)
    assert routine.rests_on == testing.FIT
    told = [slot.worth.best for slot in routine.slots]
    assert all(one is not None and one.error > 0 for one in told)
    assert len({one.before for one in told if one is not None}) == 1
    (again,) = testing.routines(tables, posterior, golfer="G02", on=DAY)
    assert again == routine
    newcomer = [one for one in testing.routines(club(), posterior, on=DAY) if one.golfer_id == "G1"]
    assert newcomer[0].rests_on == testing.INDEX


def test_a_test_without_error_tells_more_of_which_practice_is_best(
    fitted_club: Path, monkeypatch: pytest.MonkeyPatch
):
    """Information cannot fall as errors do; the same data sets are drawn for both."""
    with Club.open(fitted_club) as opened:
        _, posterior = stored_fit(opened)
        tables = opened.tables()
    pace = testing.club_paces(tables, posterior.golfers, posterior.as_of)["G02"]
    trial, hours = make_trial(posterior, "G02", 12, pace), testing.habit_hours(posterior, "G02")
    known, question = testing.known_by(trial, hours), golfer_question(posterior, "G02")
    usual = testing.best_told(trial, question, hours, known, 1)
    monkeypatch.setattr(testing, "strokes_error", lambda task, lost: 0.02)
    sharp = testing.best_told(trial, question, hours, known, 1)
    assert np.mean([one.after for one in sharp.values()]) < np.mean([one.after for one in usual.values()])

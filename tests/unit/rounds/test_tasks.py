"""Tests a coach can give: the error that each is said to have is the one its results get."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.special import ndtr

from paryield.rounds import coach_tests, tasks
from paryield.rounds.coach_tests import EASE, FALLBACK, PROBIT_PER_STROKE
from paryield.rounds.putting import make_probability
from paryield.rounds.putting_skill import angle_to_strokes
from paryield.tables import AREAS, make_tables
from paryield.tables.kinds_of_test import name_of_kind

RESULTS = 40
GOLFERS = pd.DataFrame({"golfer_id": [f"G{number:02}" for number in range(1, RESULTS + 1)]})
COUNTED = [task for task in tasks.TASKS if not task.measured]
MEASURED = [task for task in tasks.TASKS if task.measured]


def test_every_area_has_a_test_and_every_name_is_read_as_its_kind():
    assert {task.area for task in tasks.TASKS} == set(AREAS)
    for task in COUNTED:
        assert name_of_kind(task.name) == task.kind
    assert len({task.name for task in tasks.TASKS}) == len(tasks.TASKS)


def chances(task: tasks.Task, lost: float) -> np.ndarray:
    feet = np.array([part.distance for part in task.parts])
    if task.kind == "putting":
        spreads, strokes = angle_to_strokes()
        return make_probability(feet, float(np.exp(np.interp(lost, strokes, np.log(spreads)))))
    place = EASE[task.kind] - PROBIT_PER_STROKE * (lost - FALLBACK[task.area][0])
    return np.full(len(feet), float(ndtr(place)))


@pytest.mark.parametrize("task", COUNTED, ids=lambda task: task.name)
@pytest.mark.parametrize("above", [-1.0, 1.0])
def test_counted_tests_have_the_error_that_their_results_get(task: tasks.Task, above: float):
    """Results drawn, read by the function that the fit reads, and their stated information averaged.

    To a fifth: they are read against a prior, and the expected information is that of endless repetition.
    """
    rng = np.random.default_rng(3)
    lost = FALLBACK[task.area][0] + above
    balls = [part.balls for part in task.parts]
    frames = [
        pd.DataFrame(
            {
                "golfer_id": golfer,
                "assessed_on": pd.Timestamp("2026-05-01"),
                "test": task.name,
                "distance_ft": [part.distance for part in task.parts],
                "tried": balls,
                "made": rng.binomial(balls, chances(task, lost)),
            }
        )
        for golfer in GOLFERS["golfer_id"]
    ]
    tables = make_tables({"golfers": GOLFERS, "assessments": pd.concat(frames, ignore_index=True)})
    found = coach_tests.test_measurements(tables, {})
    assert sorted(found["golfer_id"]) == list(GOLFERS["golfer_id"])
    told = found["error_sd"] ** -2
    scale = 1.0 if task.kind == "putting" else PROBIT_PER_STROKE
    assert float(np.mean(told)) ** -0.5 / scale == pytest.approx(tasks.strokes_error(task, lost), rel=0.2)


@pytest.mark.parametrize("task", MEASURED, ids=lambda task: task.name)
def test_more_balls_of_measured_tests_err_less(task: tasks.Task):
    error = tasks.strokes_error(task, FALLBACK[task.area][0])
    dims = 1 if task.kind == "tee" else 2
    per_ball = (4.0 + dims + 2.0) / (2.0 * dims * 4.0)
    assert error == pytest.approx(np.sqrt(per_ball / task.balls) / tasks.LOG_PER_STROKE[task.kind], rel=1e-9)
    assert 0.8 < error < 3.5


def test_the_ladder_tells_most_of_putting():
    ladder, lag = tasks.task_named("putting_ladder"), tasks.task_named("lag_putts")
    assert ladder is not None
    assert lag is not None
    assert tasks.strokes_error(ladder, 2.8) < tasks.strokes_error(lag, 2.8)
    assert tasks.task_named("juggling") is None

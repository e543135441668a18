"""A true change of one stroke between two quarters, six tests in each, is found for every kind of test.

Many golfers are drawn by the law that each kind is read by; the changes found average the truth, and spread
as their stated error says, which is that of plain weighted regression (``tests/unit/report``).
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from scipy.special import ndtr

from paryield.plan.measured import measured_tests
from paryield.rounds.coach_tests import EASE, FALLBACK, PROBIT_PER_STROKE
from paryield.rounds.putting import make_probability
from paryield.rounds.putting_skill import angle_to_strokes
from paryield.rounds.strikes import LOG_PER_STROKE, SPREAD, TAIL_DF
from paryield.rounds.tasks import TASKS, Task
from paryield.tables import Tables, make_tables

SEED = 23
DAYS = pd.to_datetime([f"2026-{month:02d}-{day:02d}" for month in (1, 2, 3, 7, 8, 9) for day in (5, 19)])
EARLY = np.repeat([True, False], 6)


def chances(task: Task, lost: float) -> np.ndarray:
    if task.kind == "putting":
        spreads, strokes = angle_to_strokes()
        feet = np.array([part.distance for part in task.parts])
        return make_probability(feet, float(np.exp(np.interp(lost, strokes, np.log(spreads)))))
    place = EASE[task.kind] - PROBIT_PER_STROKE * (lost - FALLBACK[task.area][0])
    return np.full(len(task.parts), float(ndtr(place)))


def counted(task: Task, golfer: str, on: pd.Timestamp, lost: float, rng: np.random.Generator) -> pd.DataFrame:
    tried = [part.balls for part in task.parts]
    frame = pd.DataFrame({"distance_ft": [part.distance for part in task.parts], "tried": tried})
    made = rng.binomial(tried, chances(task, lost))
    return frame.assign(golfer_id=golfer, assessed_on=on, test=task.name, made=made)


def struck(task: Task, golfer: str, on: pd.Timestamp, lost: float, rng: np.random.Generator) -> pd.DataFrame:
    slope = LOG_PER_STROKE[task.kind]
    scale = SPREAD[task.kind] * np.exp(slope * (lost - FALLBACK[task.area][0]))
    balls = task.balls if task.kind != "approach" else 12
    if task.kind == "tee":
        angle = np.radians(np.clip(scale * stats.t(TAIL_DF).rvs(balls, random_state=rng), -60.0, 60.0))
        frame = pd.DataFrame({"carry": 210.0 * np.cos(angle), "side": 210.0 * np.sin(angle)})
    else:
        target = float(task.parts[0].distance or 0.0)
        miss = np.asarray(
            stats.multivariate_t([0, 0], np.eye(2) * scale**2, TAIL_DF).rvs(balls, random_state=rng)
        )
        frame = pd.DataFrame({"carry": target * (1.0 + miss[:, 0]), "side": target * miss[:, 1]})
        frame["target"] = target
    numbers = np.arange(balls) + 1
    return frame.assign(golfer_id=golfer, struck_on=on, kind=task.kind, unit="yd", strike_no=numbers)


def club(task: Task, change: float, ids: list[str]) -> Tables:
    """Golfers who lose a stroke more before than after, about the fallback mean."""
    rng = np.random.default_rng([SEED, TASKS.index(task)])
    middle = FALLBACK[task.area][0]
    draw = struck if task.measured else counted
    frames = [
        draw(task, golfer, on, middle + (0.5 if early else -0.5) * change, rng)
        for golfer in ids
        for on, early in zip(DAYS, EARLY, strict=True)
    ]
    golfers = pd.DataFrame({"golfer_id": ids})
    return make_tables({"golfers": golfers, task.table: pd.concat(frames, ignore_index=True)})


@pytest.mark.parametrize("golfers", [16, pytest.param(60, marks=pytest.mark.slow)])
@pytest.mark.parametrize("task", TASKS, ids=lambda task: task.name)
def test_a_true_change_of_one_stroke_is_found_with_its_error(task: Task, golfers: int):
    ids = [f"G{number:02d}" for number in range(golfers)]
    tables = club(task, 1.0, ids)
    saved, errors = [], []
    for golfer in ids:
        found = next(one for one in measured_tests(tables, golfer) if one.kind == task.kind)
        assert len(found.results) == len(DAYS)
        assert found.change is not None
        saved.append(found.change[0])
        errors.append(found.change[1])
    stated = float(np.sqrt(np.mean(np.square(errors))))
    # Three standard errors of a mean, and of a spread: 1 / sqrt(2 n) of it.
    assert np.mean(saved) == pytest.approx(1.0, abs=3.0 * stated / np.sqrt(golfers))
    assert np.std(saved, ddof=1) == pytest.approx(stated, rel=3.0 / np.sqrt(2.0 * golfers))

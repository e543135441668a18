"""The tests that a coach can give: what is struck, how long it takes, and how surely it measures.

How to set each one up is common practice without a source; what a success is stands in
:mod:`paryield.rounds.assessments`, and how results are read in :mod:`paryield.rounds.coach_tests`.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from paryield.rounds.coach_tests import EASE, FALLBACK, PROBIT_PER_STROKE
from paryield.rounds.putting import make_probability
from paryield.rounds.putting_skill import angle_to_strokes
from paryield.rounds.strikes import LOG_PER_STROKE, expected_error

NORMAL = NormalDist()

STEP_STROKES = 0.05


@dataclass(frozen=True)
class Part:
    """Balls of a test from one distance.

    Parameters
    ----------
    balls : int
    distance : float or None
        Feet for a counted test, yards of the target for measured balls; None for drives.
    """

    balls: int
    distance: float | None


@dataclass(frozen=True)
class Task:
    """A whole test.

    Parameters
    ----------
    name : str
        As it stands under ``test`` in the assessments; for measured balls ``approach_balls`` and so on.
    title : str
        What the reader sees.
    kind : str
        How results are read: putting, lag, chip, bunker, approach, tee or pitch.
    area : str
        Scoring area that it speaks of.
    minutes : float
        Of the golfer's time, balls fetched (judgement).
    parts : tuple of Part
    how : str
        One sentence for the sheet.
    """

    name: str
    title: str
    kind: str
    area: str
    minutes: float
    parts: tuple[Part, ...]
    how: str

    @property
    def measured(self) -> bool:
        """Whether each ball's carry and side are noted rather than successes counted."""
        return self.kind in LOG_PER_STROKE

    @property
    def balls(self) -> int:
        """Balls struck."""
        return sum(part.balls for part in self.parts)

    @property
    def table(self) -> str:
        """Table that the results go to."""
        return "strikes" if self.measured else "assessments"


TASKS: tuple[Task, ...] = (
    Task(
        "putting_ladder",
        "Putting ladder",
        "putting",
        "putting",
        10.0,
        tuple(Part(10, feet) for feet in (3.0, 6.0, 9.0, 12.0)),
        "Ten putts from each distance, from places around the hole; count those holed.",
    ),
    Task(
        "lag_putts",
        "Lag putts",
        "lag",
        "putting",
        4.0,
        (Part(10, 30.0),),
        "Ten putts, never two from one place; count those that stop inside 2 ft.",
    ),
    Task(
        "landing_spot_chip",
        "Landing-spot chips",
        "chip",
        "short_game",
        6.0,
        (Part(20, 30.0),),
        "Twenty chips; count first bounces inside a circle of 3 ft radius.",
    ),
    Task(
        "bunker_up_and_down",
        "Bunker up and down",
        "bunker",
        "short_game",
        10.0,
        (Part(10, 45.0),),
        "Ten balls from sand, each played out to the hole; count those down in two.",
    ),
    Task(
        "pitch_balls",
        "Pitches",
        "pitch",
        "short_game",
        5.0,
        (Part(10, 40.0),),
        "Ten pitches to one target; note carry and side of each, the bad ones too.",
    ),
    Task(
        "approach_balls",
        "Approaches",
        "approach",
        "approach",
        7.0,
        (Part(6, 100.0), Part(6, 150.0)),
        "Six balls to each target; note carry and side of each, the bad ones too.",
    ),
    Task(
        "drives",
        "Drives",
        "tee",
        "off_the_tee",
        5.0,
        (Part(8, None),),
        "Eight drives on one line; note carry and side of each, the bad ones too.",
    ),
)
"""Tests by area; a putting ladder of 40, 12 approaches and 8 drives are usual first assessments."""


def task_named(name: str) -> Task | None:
    """Return the task of this name; None where there is none."""
    return next((task for task in TASKS if task.name == name), None)


def strokes_error(task: Task, lost: float) -> float:
    """Standard error, strokes a round in its area, that one whole test has by sampling alone.

    The expected information (Fisher): of binomial counts through the chance of a success, of measured balls
    through the scale of a t distribution.

    Parameters
    ----------
    task : Task
    lost : float
        Strokes that the golfer loses in the area.
    """
    if task.measured:
        dims = 1 if task.kind == "tee" else 2
        return expected_error(task.balls, dims) / LOG_PER_STROKE[task.kind]
    if task.kind == "putting":
        return _putting_error(task, lost)
    place = EASE[task.kind] - PROBIT_PER_STROKE * (lost - FALLBACK[task.area][0])
    chance = float(np.clip(NORMAL.cdf(place), 1e-3, 1.0 - 1e-3))
    told = task.balls * NORMAL.pdf(place) ** 2 / (chance * (1.0 - chance))
    return float(1.0 / np.sqrt(told) / PROBIT_PER_STROKE)


def _putting_error(task: Task, lost: float) -> float:
    spreads, strokes = angle_to_strokes()
    near = np.clip([lost - STEP_STROKES, lost, lost + STEP_STROKES], strokes[0], strokes[-1])
    angles = np.exp(np.interp(near, strokes, np.log(spreads)))
    feet = np.array([part.distance for part in task.parts], dtype=float)
    balls = np.array([part.balls for part in task.parts], dtype=float)
    chance = np.clip(make_probability(feet, angles[:, None]), 1e-6, 1.0 - 1e-6)
    slope = (chance[2] - chance[0]) / max(near[2] - near[0], 1e-9)
    told = float(np.sum(balls * slope**2 / (chance[1] * (1.0 - chance[1]))))
    return float(1.0 / np.sqrt(told)) if told > 0 else np.inf

"""Assessments of a made-up club: a putting ladder and chips to a landing spot."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd
from scipy.special import expit, ndtr

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.blocks import TEST_WEEKS
from paryield.synth.golfers import Roster
from paryield.synth.life import Life
from paryield.synth.stress import shown_at_test

LADDER_FEET: FLOATS = np.array([3.0, 6.0, 9.0, 12.0])
LADDER_PUTTS = 10
CHIPS = 20
EVERY_WEEKS = 13

HOLE_MINUS_BALL_FEET = (4.25 - 1.68) / 24.0
"""Radius of the hole less that of the ball (Gelman & Nolan 2002, constants of the Stan golf case study)."""


def angle_degrees(putting: FLOATS) -> FLOATS:
    """Return the spread of the putting angle from strokes lost in putting.

    Through 66 % from 5 ft at scratch and 50 % for a 90-golfer (Broadie 2014, from memory; 50 % verified
    at golfsciencejournal.org 7732), 0.4 and 3.2 strokes lost (computed).
    """
    return np.maximum(1.22 + 0.185 * putting, 0.9)


def make_chance(angle: FLOATS, feet: FLOATS) -> FLOATS:
    """Return the chance to hole a putt: 2 Phi(asin((R - r) / x) / s) - 1 (Gelman & Nolan 2002)."""
    return np.asarray(2.0 * ndtr(np.arcsin(HOLE_MINUS_BALL_FEET / feet) / np.radians(angle)) - 1.0)


def assessments_table(
    roster: Roster, life: Life, ids: list[str], often: BOOLS, rng: np.random.Generator
) -> pd.DataFrame:
    """Write a ladder and a chipping test for each golfer about every quarter, or every other week."""
    rows = []
    strokes = life.practice_strokes + roster.form
    for who, golfer_id in enumerate(ids):
        first, earlier = int(max(roster.joined[who], roster.first) + rng.integers(0, 4)), 0
        for week in range(first, roster.now, TEST_WEEKS if often[who] else EVERY_WEEKS):
            if rng.random() < 0.2 or not life.enrolments.present(week)[who]:
                continue
            day = pd.Timestamp(roster.week_start(week) + timedelta(days=int(rng.integers(0, 6))))
            at_tests = roster.stress.at_tests[who]
            shown = shown_at_test(strokes[who, :, week], at_tests, roster.spec, earlier)
            rows += _one_day(golfer_id, day, shown, rng)
            earlier += 1
    columns = ["golfer_id", "assessed_on", "test", "distance_ft", "tried", "made"]
    return pd.DataFrame(rows, columns=columns)


def _one_day(
    golfer_id: str, day: pd.Timestamp, strokes: FLOATS, rng: np.random.Generator
) -> list[tuple[object, ...]]:
    made = rng.binomial(LADDER_PUTTS, make_chance(angle_degrees(strokes[3:4]), LADDER_FEET))
    ladder: list[tuple[object, ...]] = [
        (golfer_id, day, "putting_ladder", feet, LADDER_PUTTS, int(count))
        for feet, count in zip(LADDER_FEET, made, strict=True)
    ]
    hit = int(rng.binomial(CHIPS, expit(0.9 - 0.25 * strokes[2])))
    return [*ladder, (golfer_id, day, "landing_spot_chip", 30.0, CHIPS, hit)]

"""Tests of made-up golfers: a putting ladder, chips to a landing spot, and balls measured in a bay.

Spreads of measured balls grow in a straight line with strokes lost, and bad shots are a share of their own:
neither is the form in which :mod:`paryield.rounds.strikes` reads them.
"""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd
from scipy.special import expit, ndtr

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.golfers import Roster
from paryield.synth.habits import TEST_WEEKS
from paryield.synth.life import Life
from paryield.synth.stress import shown_at_test

LADDER_FEET: FLOATS = np.array([3.0, 6.0, 9.0, 12.0])
LADDER_PUTTS = 10
CHIPS = 20
TESTED_EVERY_WEEKS = 13

HOLE_MINUS_BALL_FEET = (4.25 - 1.68) / 24.0
"""Radius of the hole less that of the ball (Gelman & Nolan 2002, constants of the Stan golf case study)."""

STRUCK_EVERY_WEEKS = 9
TARGETS = (100.0, 150.0)
APPROACHES, DRIVES = 8, 8
SIDE_SHARE, CARRY_SHARE = (0.045, 0.0065), (0.04, 0.008)
"""Spread of an approach as a share of its target at 0 strokes lost, and its growth a stroke (assumed)."""

DEGREES = (3.0, 0.55)
"""Spread of a drive's direction likewise, degrees (assumed)."""

DRIVE_YARDS, YARDS_A_STROKE, OWN_YARDS = 232.0, 6.0, 14.0
MISHIT_SHARE = (0.03, 0.009)

STRIKE_COLUMNS = ["golfer_id", "struck_on", "strike_no", "kind", "target", "carry", "side", "unit", "club"]


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
        for week in range(first, roster.now, TEST_WEEKS if often[who] else TESTED_EVERY_WEEKS):
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


def strikes_table(roster: Roster, life: Life, ids: list[str], rng: np.random.Generator) -> pd.DataFrame:
    """Write approaches and drives of each golfer about every nine weeks, in yards."""
    rows: list[tuple[object, ...]] = []
    strokes = life.practice_strokes + roster.form
    own = rng.normal(0.0, OWN_YARDS, len(ids))
    for who, golfer_id in enumerate(ids):
        first, earlier = int(max(roster.joined[who], roster.first) + rng.integers(0, 4)), 0
        for week in range(first, roster.now, STRUCK_EVERY_WEEKS):
            if rng.random() < 0.15 or not life.enrolments.present(week)[who]:
                continue
            day = pd.Timestamp(roster.week_start(week) + timedelta(days=int(rng.integers(0, 6))))
            at_tests = roster.stress.at_tests[who]
            shown = shown_at_test(strokes[who, :, week], at_tests, roster.spec, earlier)
            balls = _session(np.maximum(shown, 0.0), own[who], rng)
            earlier += 1
            rows += [(golfer_id, day, number, *ball) for number, ball in enumerate(balls, 1)]
    return pd.DataFrame(rows, columns=STRIKE_COLUMNS)


def _session(lost: FLOATS, own: float, rng: np.random.Generator) -> list[tuple[object, ...]]:
    balls: list[tuple[object, ...]] = []
    for target, club in zip(TARGETS, ("wedge", "mid iron"), strict=True):
        carry = target * (
            1.0 + (CARRY_SHARE[0] + CARRY_SHARE[1] * lost[1]) * rng.normal(-0.2, 1.0, APPROACHES)
        )
        side = target * (SIDE_SHARE[0] + SIDE_SHARE[1] * lost[1]) * rng.normal(0.1, 1.0, APPROACHES)
        carry, side = _mishit(carry, side, lost[1], rng)
        balls += [("approach", target, *ball, "yd", club) for ball in _rounded(carry, side)]
    carry = DRIVE_YARDS - YARDS_A_STROKE * lost[0] + own + rng.normal(0.0, 9.0, DRIVES)
    angle = np.radians(DEGREES[0] + DEGREES[1] * lost[0]) * rng.normal(0.2, 1.0, DRIVES)
    carry, side = _mishit(carry * np.cos(angle), carry * np.sin(angle), lost[0], rng)
    return balls + [("tee", None, *ball, "yd", "driver") for ball in _rounded(carry, side)]


def _mishit(carry: FLOATS, side: FLOATS, lost: float, rng: np.random.Generator) -> tuple[FLOATS, FLOATS]:
    """Return the balls with some of them struck badly: short, and often far to one side."""
    bad = rng.random(len(carry)) < MISHIT_SHARE[0] + MISHIT_SHARE[1] * lost
    flown = carry * rng.uniform(0.3, 0.85, len(carry))
    wide = flown * np.clip(rng.normal(0.15, 0.3, len(carry)), -0.8, 0.8)
    return np.where(bad, flown, carry), np.where(bad, wide, side)


def _rounded(carry: FLOATS, side: FLOATS) -> list[tuple[float, float]]:
    return list(zip(np.round(np.maximum(carry, 1.0), 1).tolist(), np.round(side, 1).tolist(), strict=True))

"""Balls of a made-up club measured in a bay, and what happened to its golfers.

Spreads grow in a straight line with strokes lost, and bad shots are a share of their own: neither is the
form in which :mod:`paryield.rounds.strikes` reads them.
"""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.synth.golfers import Roster
from paryield.synth.life import Life
from paryield.synth.stress import shown_at_test

EVERY_WEEKS = 9
TARGETS = (100.0, 150.0)
APPROACHES, DRIVES = 8, 8
SIDE_SHARE, CARRY_SHARE = (0.045, 0.0065), (0.04, 0.008)
"""Spread of an approach as a share of its target at 0 strokes lost, and its growth a stroke (assumed)."""

DEGREES = (3.0, 0.55)
"""Spread of a drive's direction likewise, degrees (assumed)."""

DRIVE_YARDS, YARDS_A_STROKE, OWN_YARDS = 232.0, 6.0, 14.0
MISHIT_SHARE = (0.03, 0.009)
LESSON_SHARE = 0.35

STRIKE_COLUMNS = ["golfer_id", "struck_on", "strike_no", "kind", "target", "carry", "side", "unit", "club"]
EVENT_COLUMNS = ["golfer_id", "happened_on", "kind", "until", "area", "note"]


def strikes_table(roster: Roster, life: Life, ids: list[str], rng: np.random.Generator) -> pd.DataFrame:
    """Write approaches and drives of each golfer about every nine weeks, in yards."""
    rows: list[tuple[object, ...]] = []
    strokes = life.practice_strokes + roster.form
    own = rng.normal(0.0, OWN_YARDS, len(ids))
    for who, golfer_id in enumerate(ids):
        first, earlier = int(max(roster.joined[who], roster.first) + rng.integers(0, 4)), 0
        for week in range(first, roster.now, EVERY_WEEKS):
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


def events_table(
    roster: Roster, limits: list[tuple[int, int, int, int]], ids: list[str], rng: np.random.Generator
) -> pd.DataFrame:
    """Write lessons, which teach nothing beyond the practice, and an injury behind every limit."""
    rows: list[tuple[object, ...]] = []
    for limited, _, week, weeks in limits:
        begun = roster.week_start(week)
        rows.append((ids[limited], begun, "injury", begun + timedelta(days=7 * weeks - 1), None, "made-up"))
    spec = roster.spec
    for who in np.flatnonzero(rng.random(len(ids)) < LESSON_SHARE):
        weeks_of = rng.choice(spec.weeks, min(int(rng.integers(1, 4)), spec.weeks), replace=False)
        for start in sorted((roster.first + weeks_of).tolist()):
            if start >= roster.joined[who]:
                area = ("approach", "short_game", "putting")[int(rng.integers(3))]
                rows.append((ids[who], roster.week_start(start), "lesson", None, area, None))
    frame = pd.DataFrame(rows, columns=EVENT_COLUMNS)
    for name in ("happened_on", "until"):
        frame[name] = pd.to_datetime(frame[name])
    return frame

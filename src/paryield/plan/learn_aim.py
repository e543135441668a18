"""The aim ``learn``: the split of a week that is expected to say most about which category is best."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from paryield.arrays import FLOATS, INTS
from paryield.forecast.rounds import Pace
from paryield.plan.learning import told_by
from paryield.plan.options import golfer_question
from paryield.plan.solver import Room, Value, rounded
from paryield.plan.trial import Schedule, make_trial
from paryield.posterior import Posterior

DATA_SETS = 120
"""Data sets drawn for each split; the same ones for all, so that splits differ by themselves alone."""


def bits_told(few: Posterior, golfer_id: str, names: Sequence[str], weeks: int, pace: Pace) -> Value:
    """Bits that weeks of a split are expected to tell, for many splits.

    Parameters
    ----------
    few : Posterior
        A fit with few draws.
    golfer_id : str
    names : sequence of str
        Categories of the plan.
    weeks : int
    pace : Pace
        How often the golfer plays; without rounds nothing is told.

    Returns
    -------
    callable
        From hours (N, J) to bits (N,).
    """
    question, trial = golfer_question(few, golfer_id), make_trial(few, golfer_id, weeks, pace)
    known = few.categories
    seed = int(few.facts["seed"])

    def told(hours: FLOATS) -> float:
        wide = np.zeros(len(known))
        for name, value in zip(names, hours, strict=True):
            if name in known:
                wide[known.index(name)] = value
        signal = trial.signal(Schedule(("",), wide[None, :]))
        return told_by(question.returns, signal, outer=DATA_SETS, seed=seed).gain

    return lambda hours: np.array([told(one) for one in hours])


def telling_split(value: Value, room: Room, present: FLOATS) -> tuple[INTS, float]:
    """Most telling split in whole quarter hours among leaning ones, and its bits.

    What a category's practice tells grows faster than its hours, so the best split leans: candidates put as
    much as the room holds on one category and then on a second, or on two alike; the present and the even
    split stand beside them.
    """
    count = len(room.low)
    first_then = [(one, two) for one in range(count) for two in range(count) if one != two]
    leaning = [_filled(room, [[one], [two], list(range(count))]) for one, two in first_then]
    leaning += [_filled(room, [[one, two], list(range(count))]) for one, two in first_then if one < two]
    even = room.low + (room.high - room.low) * 0.5
    plain = [rounded(np.clip(start, room.low, room.high), room) for start in (present, even)]
    candidates = np.unique(np.array([*leaning, *plain]), axis=0)
    bits = value(room.hours(candidates))
    place = int(np.argmax(bits))
    return candidates[place], float(bits[place])


def _filled(room: Room, groups: Sequence[Sequence[int]]) -> INTS:
    """The least hours, then each group in turn filled evenly as far as the room holds."""
    quarters = room.low.astype(float)
    left = float(room.total - room.low.sum())
    for group in groups:
        tightest = sorted(group, key=lambda one: float(room.high[one] - quarters[one]))
        for number, place in enumerate(tightest):
            more = min(left / (len(group) - number), float(room.high[place] - quarters[place]))
            quarters[place] += more
            left -= more
    return rounded(quarters, room)


def told_note(value: Value, advised: FLOATS, now: FLOATS) -> str:
    """Say what the split tells beside the present one."""
    here, there = value(np.array([advised, now]))
    return (
        f"the best-looking split is expected to tell {max(here, 0.0):.2f} bits about which area is best, the "
        f"present one {max(there, 0.0):.2f}"
    )

"""Blocks weighed against one another: what each would tell and cost, and which one to advise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.forecast import golfer_draws, habit_hours
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.learning import Information
from paryield.plan.schedules import Week
from paryield.plan.trial import Schedule
from paryield.plan.worth import DEFAULT_WEEKS, return_draws
from paryield.posterior import Posterior
from paryield.tables.categories import PHANTOM

FLOATS = npt.NDArray[np.float64]
SETTLED_BITS = 0.05
"""Below this entropy the best category is known. [judgement]"""
NEAR_BEST = 0.9
"""Among blocks that tell at least this share of what the best one tells beyond the present week, the cheapest
is advised. [judgement]"""
SETTLES, HELPS = 0.5, 0.1
"""Share of the open question that a block must be expected to close to settle it, or to help. [judgement]"""


@dataclass(frozen=True)
class Option:
    """One block with what it would tell and cost.

    Parameters
    ----------
    schedule : Schedule
    information : Information
    present : Information
        What the same weeks would tell without any change; same data drawn, so that the two compare.
    cost : array, shape (S,)
        Strokes a round at the end of the block.
    """

    schedule: Schedule
    information: Information
    present: Information
    cost: FLOATS

    @property
    def gain(self) -> float:
        """Bits that the change tells beyond what the present week would."""
        return self.present.after - self.information.after


@dataclass(frozen=True)
class Question:
    """Which category is best, as the fit's draws see it.

    Parameters
    ----------
    names : tuple of str
        Real categories.
    returns : array, shape (S, J)
        Strokes for one more weekly hour (or the club's gains).
    """

    names: tuple[str, ...]
    returns: FLOATS

    @property
    def chance_best(self) -> FLOATS:
        """Chance of each category to be the best, shape (J,)."""
        return np.bincount(self.returns.argmax(axis=1), minlength=len(self.names)) / len(self.returns)


def golfer_question(posterior: Posterior, golfer_id: str) -> Question:
    """Returns of a golfer's real categories under his present practice."""
    real = np.array([name != PHANTOM for name in posterior.categories])
    hours = habit_hours(posterior, golfer_id)
    returns = return_draws(golfer_draws(posterior, golfer_id), hours, DEFAULT_WEEKS)
    return Question(tuple(np.array(posterior.categories)[real]), returns[:, real])


def club_question(posterior: Posterior) -> Question:
    """Which category is best for the club: its gain for the reference golfer per 20 hours."""
    real = np.array([name != PHANTOM for name in posterior.categories])
    return Question(tuple(np.array(posterior.categories)[real]), posterior.draws("gain")[:, real])


def advised(options: list[Option]) -> Option:
    """The cheapest of the blocks that tell nearly as much as the most telling one."""
    most = max(option.gain for option in options)
    near = [option for option in options if option.gain >= NEAR_BEST * most - 1e-12]
    return min(near or options, key=lambda option: float(option.cost.mean()))


def verdict_of(option: Option) -> str:
    """What a block would do for the open question, beyond what the present week would tell."""
    before = option.information.before
    if before <= SETTLED_BITS:
        return "settled already"
    share = option.gain / before
    if share >= SETTLES:
        return "would settle it"
    return "would help" if share >= HELPS else "would tell too little"


def information_fields(option: Option) -> dict[str, Any]:
    """Fields of a record that say what a block would tell."""
    return {
        "entropy_now": option.information.before,
        "entropy_after": option.information.after,
        "information": option.information.gain,
        "information_error": option.information.error,
        "information_present": option.present.gain,
        "verdict": verdict_of(option),
    }


def blank(reason: str) -> dict[str, Any]:
    """Fields of a record without an answer."""
    empty = ("entropy_now", "entropy_after", "information", "information_error", "information_present")
    return {
        "reportable": False,
        "reason": reason,
        "focus": [],
        **dict.fromkeys((*empty, "cost", "cost_if_wrong")),
        "verdict": "cannot tell",
        "weeks_plan": [],
        "others": [],
        "cautions": list(STANDING_CAUTIONS),
    }


def cost_if_wrong(option: Option, names: tuple[str, ...], best: npt.NDArray[np.int64]) -> float | None:
    """Mean cost in the draws in which another category than the block's is the best; strokes a round."""
    focused = {words.split(" to ")[-1] for words in option.schedule.focus if " to " in words}
    left_out = {words.split("without ")[-1] for words in option.schedule.focus if words.startswith("without")}
    right = np.array([name in focused or (bool(left_out) and name not in left_out) for name in names])
    wrong = ~right[best]
    return float(option.cost[wrong].mean()) if wrong.any() else None


def weeks_plan(schedule: Schedule, week: Week, weeks: int) -> list[dict[str, Any]]:
    """The hours of each phase beside the present ones."""
    phases = len(schedule.hours)
    return [
        {
            "from_week": round(weeks * phase / phases) + 1,
            "to_week": round(weeks * (phase + 1) / phases),
            "category": name,
            "hours_now": round(float(week.hours[place]), 2),
            "hours_block": round(float(schedule.hours[phase, place]), 2),
        }
        for phase in range(phases)
        for place, name in enumerate(week.names)
        if name != PHANTOM and max(week.hours[place], schedule.hours[phase, place]) > 0
    ]

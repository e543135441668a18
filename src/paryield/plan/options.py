"""Blocks of changed practice: those to choose from, what each would tell and cost, what a fit learnt."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast import gate, golfer_draws, habit_hours
from paryield.forecast.habits import limit_hours
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.learning import Information, entropy
from paryield.plan.trial import Schedule
from paryield.plan.worth import DEFAULT_WEEKS, return_draws
from paryield.posterior import Posterior, from_bytes
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

LOCKED_LOADS = ("strength",)
"""Work that a qualified professional sets: a block leaves it as it is."""
PAIRED = 3
"""So many of the likeliest categories are tried one after the other."""

SETTLED_BITS = 0.05
"""Below this entropy the best category is known. [judgement]"""
NEAR_BEST = 0.9
"""Among blocks that tell at least this share of what the best one tells beyond the present week, the cheapest
is advised. [judgement]"""
SETTLES, HELPS = 0.5, 0.1
"""Share of the open question that a block must be expected to close to settle it, or to help. [judgement]"""


@dataclass(frozen=True)
class Week:
    """A golfer's present week and what a block may change of it.

    Parameters
    ----------
    names : tuple of str
        Categories of the fit, the phantom included where fitted.
    hours : array, shape (J,)
        Present hours a week, cut to every limit.
    most : array, shape (J,)
        Ceilings on a category's hours a week.
    movable : bool array, shape (J,)
        Categories that a block may shift hours from and to.
    """

    names: tuple[str, ...]
    hours: FLOATS
    most: FLOATS
    movable: npt.NDArray[np.bool_]

    @property
    def free_hours(self) -> float:
        """Hours a week that a block may shift."""
        return float(self.hours[self.movable].sum())

    def towards(self, name: str, share: float) -> FLOATS:
        """The week with a share of the movable hours put into one category, within its ceiling."""
        place, hours = self.names.index(name), self.hours.copy()
        others = self.movable & (np.arange(len(hours)) != place)
        given = min(share * float(hours[others].sum()), max(self.most[place] - hours[place], 0.0))
        total = float(hours[others].sum())
        if total > 0:
            hours[others] *= 1.0 - given / total
            hours[place] += given
        return hours

    def without(self, name: str) -> FLOATS:
        """The week without one category, its hours spread over the others, within their ceilings."""
        place, hours = self.names.index(name), self.hours.copy()
        freed, hours[place] = float(hours[place]), 0.0
        others = self.movable & (np.arange(len(hours)) != place) & (hours > 0)
        for _ in range(len(hours)):
            room = np.where(others, self.most - hours, 0.0)
            open_to = room > 1e-9
            if freed <= 1e-9 or not open_to.any():
                break
            part = np.where(open_to, hours, 0.0)
            added = np.minimum(freed * part / part.sum(), room)
            hours, freed = hours + added, freed - float(added.sum())
        return hours


def present_week(posterior: Posterior, tables: Tables, golfer_id: str, weeks: int) -> Week:
    """A golfer's present week under his limits of the block's time and his ceiling of weekly hours."""
    names = tuple(posterior.categories)
    hours = habit_hours(posterior, golfer_id).copy()
    load = {category.name: category.load for category in tables.categories}
    movable = np.array([name != PHANTOM and load.get(name) not in LOCKED_LOADS for name in names])
    as_of = pd.Timestamp(np.datetime64(posterior.as_of, "D")).date()
    most = limit_hours(tables, golfer_id, names, as_of, weeks)
    hours = np.minimum(hours, most)
    own = tables.golfers[tables.golfers["golfer_id"] == golfer_id]["most_weekly_hours"]
    if len(own) and not pd.isna(own.iloc[0]) and hours.sum() > float(own.iloc[0]):
        hours *= float(own.iloc[0]) / hours.sum()
    return Week(names, hours, most, movable)


def schedules(week: Week, chance_best: FLOATS) -> list[Schedule]:
    """Every block to choose from.

    Half or all of the movable hours into one category; one category left out; all into one category for
    the first half and into another for the second, among the likeliest.

    Parameters
    ----------
    week : Week
    chance_best : array, shape (J,)
        Chance of each category to be the best; the likeliest are paired.
    """
    names = [name for name, free in zip(week.names, week.movable, strict=True) if free]
    found = []
    for name in names:
        found.append(Schedule((f"half to {name}",), week.towards(name, 0.5)[None, :]))
        found.append(Schedule((f"all to {name}",), week.towards(name, 1.0)[None, :]))
        if week.hours[week.names.index(name)] > 0:
            found.append(Schedule((f"without {name}",), week.without(name)[None, :]))
    likeliest = sorted(names, key=lambda name: -chance_best[week.names.index(name)])[:PAIRED]
    for pair in permutations(likeliest, 2):
        hours = np.stack([week.towards(name, 1.0) for name in pair])
        found.append(Schedule(tuple(f"all to {name}" for name in pair), hours))
    return [one for one in found if np.abs(one.hours - week.hours).max() > 1e-6]


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


def learnt(
    club: Any, since_run: int, golfer: str | None = None, anyway: bool = False
) -> tuple[list[dict[str, Any]], str]:
    """Compare the newest run with an earlier one: how open the question was and is.

    Parameters
    ----------
    club : Club
    since_run : int
        Number of the earlier run.
    golfer : str, optional
        One golfer; default the club.
    anyway : bool
        Answer although the health gate says no.

    Returns
    -------
    records : list of dict
        golfer_id, category, runs, chance_best_before, chance_best_after, entropy_before, entropy_after.
    banner : str

    Raises
    ------
    InputError
        When there is no such run, or no later one.
    NotReportableError
        When the newest fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    number, posterior = current_fit(club)
    if since_run >= number:
        raise InputError(
            f"run {since_run} is not earlier than the newest, {number}",
            where="--since-run",
            remedy="fit the club again after the block, and give the number of a run before it",
        )
    _, facts, payload = club.run(since_run)
    earlier = from_bytes(payload, facts.get("payload"))
    banner = gate(posterior, anyway)
    for fit in (earlier, posterior):
        if golfer is not None and golfer not in fit.golfers:
            raise InputError(
                f"a run knows no golfer {golfer!r}",
                where="--golfer",
                remedy="compare runs that both hold the golfer",
            )
    return compared(earlier, posterior, golfer, (since_run, number)), banner


def compared(
    earlier: Posterior, later: Posterior, golfer: str | None, runs: tuple[int, int]
) -> list[dict[str, Any]]:
    """Records of two fits' answers to the same question, by category of the later one."""
    before, after = _question(earlier, golfer), _question(later, golfer)
    bits = [_bits(question) for question in (before, after)]
    chance = dict(zip(before.names, map(float, before.chance_best), strict=True))
    return [
        {
            "golfer_id": golfer,
            "category": name,
            "runs": list(runs),
            "chance_best_before": chance.get(name),
            "chance_best_after": float(after.chance_best[place]),
            "entropy_before": bits[0],
            "entropy_after": bits[1],
        }
        for place, name in enumerate(after.names)
    ]


def _question(fit: Posterior, golfer: str | None) -> Question:
    return club_question(fit) if golfer is None else golfer_question(fit, golfer)


def _bits(question: Question) -> float:
    even = np.full((1, len(question.returns)), 1.0 / len(question.returns))
    return float(entropy(even, question.returns.argmax(axis=1), len(question.names))[0])

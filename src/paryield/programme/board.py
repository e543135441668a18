"""What a board reads of a programme: one verdict and recommendation, what it cost, what may be promised."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.days import date_of
from paryield.posterior import Posterior
from paryield.programme.members import Outcome
from paryield.results import summary
from paryield.units import DAYS_PER_YEAR

HELPED, WORSE, LITTLE, CANNOT_TELL = "helped", "made it worse", "made little difference", "cannot tell yet"
LITTLE_STROKES = 0.5
"""An effect that is surely smaller than this is little. [judgement]"""

BETTER_STROKES = 1.0
"""A change that a golfer notices: one stroke a round. [judgement]"""
WORST_SHARE = 1.645
"""Standard deviations that one golfer in 20 passes (normal distribution)."""

GO_ON, CHANGE, STOP, UNDECIDED = "go on", "change", "stop", "cannot tell"
WORDS = {HELPED: GO_ON, LITTLE: CHANGE, WORSE: STOP, CANNOT_TELL: UNDECIDED}
WHY = {
    GO_ON: "members play better than they would have without it",
    CHANGE: "it makes half a stroke a round of difference at most",
    STOP: "members play worse than they would have without it",
}
MOST_TIMES = 20.0
"""Beyond so many times the members there are, more of them is no answer. [judgement]"""


def verdict(effect: FLOATS, whole: bool = True) -> str:
    """The word for the draws of a mean effect: by the range that holds 9 in 10.

    Parameters
    ----------
    effect : array, shape (S,)
    whole : bool
        False where the fit counts only what the logged hours did: then that is no verdict on a programme.
    """
    if not whole:
        return CANNOT_TELL
    low, high = np.quantile(effect, [0.05, 0.95])
    if max(abs(low), abs(high)) < LITTLE_STROKES:
        return LITTLE
    if high < 0:
        return HELPED
    return WORSE if low > 0 else CANNOT_TELL


def warnings_of(record: dict[str, Any], own: list[Outcome]) -> list[str]:
    """What a reader must know before relying on a record."""
    said = []
    if record["beyond_hours"] is None:
        said.append("this fit counts only what the logged hours did; fit again for what coaching adds")
    second, placebo = record["second_route"], record["placebo"]
    if second is None:
        said.append("the plainer reckoning cannot be worked out: too few rounds or golfers outside")
    elif not second["agrees"]:
        said.append("the plainer reckoning disagrees with the model: rely on neither before it is explained")
    if placebo is not None and not placebo["low"] <= 0 <= placebo["high"]:
        said.append(
            "with its dates moved back, before it began, the second route still finds an effect: something "
            "else moves these members' scores"
        )
    assumed = sum(one.assumed for one in own)
    if assumed:
        share = "all" if assumed == len(own) else "some"
        said.append(f"for {share} members the practice before joining is not known and is taken from others")
    if any(not one.member.dated for one in own):
        said.append("some left on a day that was not written down; half way is assumed")
    if not second and record["outside"] is None:
        said.append("no comparable golfers outside: only the model says what would have happened anyway")
    return said


def own_change_sd(posterior: Posterior, days: float) -> FLOATS:
    """Spread of what one golfer's level does by itself in some days: form and drift, shape (S,) strokes."""
    form = posterior.draws("sd_wander") ** 2 * 2.0 * -np.expm1(-days / posterior.draws("wander_days"))
    areas = len(posterior.area_names)
    drift = posterior.draws("sd_drift") ** 2 * areas * days / DAYS_PER_YEAR
    spread: FLOATS = np.sqrt(form + drift)
    return spread


def promise(posterior: Posterior, outcomes: list[Outcome], seed: int = 0) -> dict[str, Any]:
    """Predict a new intake: each new member is one of this year's drawn at random, with luck of his own.

    Returns
    -------
    dict
        ``golfers``; ``effect``, quantiles of the intake's mean effect; ``better``, quantiles of how many
        of them will then be a stroke or more better than on joining, whatever the cause.
    """
    effects = np.stack([one.effect for one in outcomes], axis=1)
    samples, count = effects.shape
    days = float(np.mean([one.member.planned_end - one.member.start for one in outcomes]))
    rng = np.random.default_rng([int(posterior.facts["seed"]), seed, 11])
    chosen = np.take_along_axis(effects, rng.integers(count, size=(samples, count)), axis=1)
    own = own_change_sd(posterior, days)[:, None] * rng.normal(size=(samples, count))
    better = (chosen + own <= -BETTER_STROKES).sum(axis=1)
    return {"golfers": count, "effect": summary(chosen.mean(axis=1)), "better": summary(better)}


def bounds(posterior: Posterior, outcomes: list[Outcome]) -> dict[str, float]:
    """The median effect if everyone who left or fell silent did as badly, or as well, as 1 golfer in 20.

    What these members' golf did is not seen, and those who get worse may be the ones who stop posting. The
    range rests on how far a golfer's level moves by itself, not on anything about them.
    """
    unseen = [one for one in outcomes if one.silent or one.member.outcome == "left"]
    middle = float(np.median(np.mean([one.effect for one in outcomes], axis=0)))
    days = float(np.mean([one.on - one.member.start for one in outcomes]))
    reach = WORST_SHARE * float(np.median(own_change_sd(posterior, days)))
    share = len(unseen) / len(outcomes)
    return {"best": middle - share * reach, "worst": middle + share * reach, "unseen": len(unseen)}


@dataclass(frozen=True)
class Advice:
    """One recommendation.

    Parameters
    ----------
    recommendation : {"go on", "change", "stop", "cannot tell"}
    why : str
    members_needed : int or None
        About how many members like these it would take to tell, where it cannot be told yet.
    """

    recommendation: str
    why: str
    members_needed: int | None = None


def advise(record: dict[str, Any]) -> Advice:
    """Recommend from a programme's record: by its verdict, unless a second look contradicts it.

    The range of a mean narrows with the root of the number of members; what it takes is the number at
    which it would be half a stroke either way.
    """
    if record["beyond_hours"] is None:
        return Advice(
            UNDECIDED, "this fit knows what the extra hours did, not what the coaching did: fit again"
        )
    second = record["second_route"]
    if second is not None and not second["agrees"]:
        return Advice(
            UNDECIDED, "the plainer reckoning disagrees with the model, and one of them must be wrong"
        )
    word = WORDS[record["verdict"]]
    if word != UNDECIDED:
        return Advice(word, WHY[word])
    effect = record["effect"]
    half = (effect["q95"] - effect["q05"]) / 2.0
    times = (half / LITTLE_STROKES) ** 2
    if times > MOST_TIMES:
        return Advice(
            UNDECIDED, "the range is too wide for more members alone: places by lot would tell more"
        )
    needed = math.ceil(record["golfers"] * max(times, 1.0))
    return Advice(UNDECIDED, f"it would take about {needed} members like these", needed)


def offered(own: list[Outcome]) -> dict[str, Any]:
    """First start, last planned end, and mean weeks of a programme."""
    first, last = min(one.member.start for one in own), max(one.member.planned_end for one in own)
    weeks = sum(one.member.planned_end - one.member.start for one in own) / len(own) / 7.0
    days = {"starts_on": first, "ends_on": last}
    return {name: date_of(day).isoformat() for name, day in days.items()} | {"weeks": round(weeks, 1)}


def board_fields(record: dict[str, Any], own: list[Outcome], cost: float | None) -> dict[str, Any]:
    """The fields that a board reads.

    Parameters
    ----------
    record : dict
        A programme's record with its effect and what stands beside it.
    own : list of Outcome
    cost : float, optional
        Cost of one member's place, in the club's money.
    """
    done, planned = record["hours_done"], record["hours_planned"]
    change, middle = record["plain_change"], record["effect"]["q50"]
    gained = -middle if record["verdict"] == HELPED else None
    return {
        "offered": offered(own),
        "hours_kept": done / planned if done is not None and planned else None,
        "anyway": None if change is None or record["beyond_hours"] is None else change - middle,
        "cost": None if cost is None else {"member": cost, "stroke": cost / gained if gained else None},
        **asdict(advise(record)),
    }

"""What may be promised to next year's intake: the same size and mix, other people, other luck."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.posterior import Posterior
from paryield.programme.members import Outcome
from paryield.results import summary
from paryield.units import DAYS_PER_YEAR

BETTER_STROKES = 1.0
"""A change that a golfer notices: one stroke a round. [judgement]"""
WORST_SHARE = 1.645
"""Standard deviations that one golfer in 20 passes (normal distribution)."""


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

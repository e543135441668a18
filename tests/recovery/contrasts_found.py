"""What a fit says that one category returns more than another, beside the truth of a made-up club."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from paryield.forecast import golfer_draws, habit_hours
from paryield.plan.evidence import contrasts, gain_evidence, real_categories
from paryield.plan.worth import return_draws
from paryield.posterior import Posterior
from paryield.synth import MadeUpClub

AHEAD_WEEKS, AHEAD_HOURS, LEAST = 10, 2.0, 1e-6
"""Weeks to come in which a category is practised more, by so many hours each; least gain that has a log."""


@dataclass(frozen=True)
class Contrast:
    """Log return of a category less the mean over categories: the truth, what the fit says, and its word."""

    category: str
    word: str
    removed: float
    truth: float
    mean: float
    low: float
    high: float


def contrasts_found(club: MadeUpClub, posterior: Posterior) -> list[Contrast]:
    """Contrasts of what more practice returns, as it is told to the club, beside the truth.

    Both are the mean over golfers of what twenty hours of the next ten weeks gain at their end; the truth
    from the generator run forward twice. The gain of a fit is that of a reference golfer's first hours, and
    no match for what golfers gain who have practised for a season.
    """
    names, evidence = real_categories(posterior), gain_evidence(posterior)
    places = [posterior.categories.index(name) for name in names]
    gained = sum(
        return_draws(golfer_draws(posterior, one), habit_hours(posterior, one), AHEAD_WEEKS, AHEAD_HOURS)
        for one in posterior.golfers
    ) / len(posterior.golfers)  # fmt: skip
    each, _ = contrasts(np.maximum(gained[:, places], LEAST), [(place,) for place in range(len(names))])
    real = [club.truth.population_gain(name, AHEAD_HOURS * AHEAD_WEEKS, AHEAD_WEEKS) for name in names]
    logs = np.log(np.maximum(real, LEAST))
    low, high = np.quantile(each, [0.1, 0.9], axis=0)
    columns = zip(names, logs - logs.mean(), each.mean(axis=0), low, high, strict=True)
    return [
        Contrast(name, evidence.word(name), evidence.of(name), *map(float, values))
        for name, *values in columns
    ]

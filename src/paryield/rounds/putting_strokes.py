"""Putting skill in strokes a round, against the reference golfers."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from paryield.arrays import FLOATS
from paryield.rounds.putting import make_probability
from paryield.rounds.putting_skill import PuttingSkill
from paryield.rounds.references import REFERENCES, chance_table

FIRST_PUTTS: dict[float, float] = {
    2.0: 1.0,
    3.0: 0.8,
    4.0: 0.7,
    5.0: 0.7,
    6.0: 0.7,
    7.0: 0.7,
    8.0: 0.7,
    9.0: 0.6,
    10.0: 1.8,
    15.0: 2.8,
    20.0: 3.0,
    30.0: 2.7,
    40.0: 1.2,
    50.0: 0.4,
    60.0: 0.2,
}
"""First putts in a round of 18 holes by feet. ASSUMED (no source), chosen so that the curves come near
published putts a round: tour 30.0 against 29, 90-golfer 33.5 against 33 (both verified:
golfsciencejournal.org/article/7732), scratch 31.0 against 31.3 (Soley 1977, quoted in a blog post)."""

LEAVE_FEET = ((0.0, 20.0, 60.0), (1.3, 2.4, 5.2))
"""Feet left after a missed first putt, by its distance: computed by turning round the tour's columns of
one-putt chances and putts taken (Broadie 2014, putts from memory), smoothed."""

LADDER_FEET = (3.0, 6.0, 9.0, 12.0)
"""Distances of a putting ladder (common practice, no source)."""

ANGLES_DEGREES = (0.2, 40.0)
"""Range of the table from spread of direction to strokes lost: no golfer is outside."""

TOUR_DISTANCE_SHARE = 0.0800665
"""Spread in distance of tour players (Stan golf case study: 0.08 verified, digits computed)."""


def expected_putts(
    distance_ft: FLOATS, chance: Callable[[FLOATS], FLOATS], leave_scale: FLOATS | float = 1.0
) -> FLOATS:
    """Return putts taken from a first-putt distance when the third always drops.

    Parameters
    ----------
    distance_ft : array, shape (D,)
        Feet of the first putt.
    chance : callable
        Feet, shape (D,) or (G, D), to the chance to hole, shape (..., D).
    leave_scale : float or array, shape (G, 1)
        What the feet left of a tour player are multiplied with.
    """
    leave = np.maximum(np.interp(distance_ft, *LEAVE_FEET) * leave_scale, 0.2)
    return 1.0 + (1.0 - chance(distance_ft)) * (2.0 - chance(leave))


def putts_per_round(skill: PuttingSkill) -> FLOATS:
    """Return putts in 18 holes at each point of the posterior, shape (G,), from :data:`FIRST_PUTTS`.

    Where the spread in distance was not learnt, the golfer is taken to leave what tour players leave.
    """
    feet, counts = np.array(list(FIRST_PUTTS)), np.array(list(FIRST_PUTTS.values()))
    if skill.sigma_distance is None:
        return expected_putts(feet, skill.make_probability) @ counts
    scale = skill.sigma_distance / TOUR_DISTANCE_SHARE
    leave = np.maximum(np.interp(feet, *LEAVE_FEET)[None, :] * scale[:, None], 0.2)
    second = np.column_stack([_own_chance(skill, leave[:, place]) for place in range(len(feet))])
    return (1.0 + (1.0 - skill.make_probability(feet)) * (2.0 - second)) @ counts


def _own_chance(skill: PuttingSkill, feet: FLOATS) -> FLOATS:
    return np.asarray(make_probability(feet, skill.sigma_angle, skill.sigma_distance))


def reference_putts(reference: str) -> float:
    """Return putts in 18 holes of a reference golfer: ``tour``, ``scratch`` or ``ninety``."""
    table = chance_table()
    feet, counts = np.array(list(FIRST_PUTTS)), np.array(list(FIRST_PUTTS.values()))
    return float(expected_putts(feet, lambda each: table.at(reference, each)) @ counts)


def putting_strokes_lost(skill: PuttingSkill) -> dict[str, dict[str, float]]:
    """Return strokes lost a round in putting against each reference golfer.

    Returns
    -------
    dict
        By reference, quantiles and mean; positive: more putts than the reference from the same places.
    """
    putts = putts_per_round(skill)
    return {name: skill.summary(putts - reference_putts(name)) for name in REFERENCES}


@lru_cache(maxsize=1)
def angle_to_strokes() -> tuple[FLOATS, FLOATS]:
    """Return spreads of direction (radians, rising) and strokes lost a round in putting against scratch.

    Direction alone holes too many long putts. What is missing is taken from the reference golfers: each has
    the spread that holes as many on a ladder as his curve, and loses what his curve loses; between them
    straight lines in the log of the spread, beyond them as at the nearest (computed: +0.6 stroke for tour
    players, +0.3 for scratch, -0.1 for 90-golfers).
    """
    from scipy.optimize import brentq  # here, so that answers without putts need not wait for it

    low, high = np.radians(ANGLES_DEGREES)
    spreads = np.exp(np.linspace(np.log(low), np.log(high), 400))
    table, feet = chance_table(), np.array(LADDER_FEET)
    scratch = reference_putts("scratch")
    knots, missing = [], []
    for name in REFERENCES:
        holed = float(table.at(name, feet).sum())
        spread = brentq(lambda each, goal=holed: make_probability(feet, each).sum() - goal, low, high)
        knots.append(float(np.log(spread)))
        missing.append(reference_putts(name) - float(_putts_by_angle(np.array([spread]))[0]))
    lost = _putts_by_angle(spreads) - scratch + np.interp(np.log(spreads), knots, missing)
    return spreads, lost


def _putts_by_angle(spreads: FLOATS) -> FLOATS:
    feet, counts = np.array(list(FIRST_PUTTS)), np.array(list(FIRST_PUTTS.values()))
    return expected_putts(feet, lambda each: make_probability(each, spreads[:, None])) @ counts

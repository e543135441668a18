"""A golfer of whom nothing new is on record, carried to another day by the law of form and drift."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.model.population import PopulationValues
from paryield.model.terms.drift import SHORTEST_DAYS, come

FLOATS = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Clock:
    """The start of a golfer's record, the last day of the fit and the last day now; days since 1970-01-01."""

    start: float
    then: float
    now: float

    def drifted(self, day: float, until: float) -> float:
        """Share of the drift up to ``until`` that is there on a day."""
        return float(come(day - self.start, until - self.start))


def carried(
    own: dict[str, FLOATS],
    population: PopulationValues[FLOATS],
    clock: Clock,
    knots: tuple[FLOATS, FLOATS],
    seed: int,
    golfer_id: str,
) -> dict[str, FLOATS]:
    """Carry a golfer's draws from the last day of the fit to the last day now.

    Parameters
    ----------
    own : dict of arrays, shape (S, ...)
        As of the fit.
    population : PopulationValues
        Draws in front, (S, ...).
    clock : Clock
    knots : pair of arrays
        Days of the fit's knots of form, and of those now.
    seed : int
    golfer_id : str

    Returns
    -------
    dict of arrays
        As of now. Form that was lived through stays as it was; from the last day of the fit on it is drawn
        from its own law, the last day first, so that a day more hardly moves what was drawn for another.
    """
    rng = np.random.default_rng([seed, 21, zlib.crc32(golfer_id.encode())])
    drift = own["drift"] * clock.drifted(min(clock.now, clock.then), clock.then)
    ahead = max(clock.now - clock.then, 0.0)
    record = max(clock.then - clock.start, SHORTEST_DAYS)
    # The fit holds the first Karhunen-Loeve term of a random walk over the record (see forecast.outlook).
    walk = population["sd_drift"] * np.pi / np.sqrt(8.0) * np.sqrt(ahead / record)
    drift = drift + walk[:, None] * rng.normal(size=drift.shape)
    now = clock.drifted(clock.now, clock.now)
    return {
        **own,
        "drift": drift / now if now > 0 else drift,
        "wander": _form(own["wander"], population, clock.then, knots, rng),
    }


def _form(
    before: FLOATS,
    population: PopulationValues[FLOATS],
    then: float,
    knots: tuple[FLOATS, FLOATS],
    rng: np.random.Generator,
) -> FLOATS:
    """Form at the knots of now, shape (S, W): straight between the fit's knots, mean-reverting after them."""
    old, new = knots
    place = np.clip((new - old[0]) / (old[1] - old[0]), 0.0, len(old) - 1.0)
    left = np.minimum(place.astype(int), len(old) - 2)
    weight = place - left
    out: FLOATS = before[:, left] * (1.0 - weight) + before[:, left + 1] * weight
    right_day, right = np.inf, np.zeros(len(before))
    for knot in range(len(new) - 1, -1, -1):
        if new[knot] <= then:
            break
        mean, spread = _between(before[:, -1], new[knot] - then, right, right_day - then, population)
        right = mean + spread * rng.normal(size=len(before))
        right_day = new[knot]
        out[:, knot] = right
    return out


def _between(
    left: FLOATS, day: float, right: FLOATS, right_day: float, population: PopulationValues[FLOATS]
) -> tuple[FLOATS, FLOATS]:
    """Mean and spread of form on a day after ``left``, given ``right`` on a later day (none: infinite)."""
    rate, spread = 1.0 / population["wander_days"], population["sd_wander"]
    one = np.exp(-rate * day)
    if np.isinf(right_day):
        return one * left, spread * np.sqrt(1.0 - one**2)
    two = np.exp(-rate * (right_day - day))
    both = one * two
    whole = np.maximum(1.0 - both**2, 1e-12)
    mean = (one * (1.0 - two**2) * left + two * (1.0 - one**2) * right) / whole
    return mean, spread * np.sqrt((1.0 - one**2) * (1.0 - two**2) / whole)

"""The best split of weekly hours: a smooth optimum first, then whole quarter hours around it.

The mean gain is concave in the hours (the share of a gap left is convex in what was practised), so the
smooth optimum is the best there is and bounds what quarter hours can reach.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from paryield.arrays import FLOATS, INTS
from paryield.plan.outcome import Outcome

QUARTER = 0.25
"""Hours of one unit of a plan: 15 minutes."""
SAFE_LEVEL = 0.2
"""The safe aim maximises the gain that is reached or passed in 8 cases of 10."""
SLOPE_STEP = 1e-3
LEAST_STEP = 1e-9
MOST_PASSES = 60
PORTIONS = 16
Value = Callable[[FLOATS], FLOATS]
"""From candidates in hours, shape (N, J), to the worth of each, shape (N,)."""


@dataclass(frozen=True)
class Room:
    """What a week may hold, in quarter hours by category.

    Parameters
    ----------
    fixed : array, shape (J,)
        Hours that are set beforehand and are not for the solver.
    low, high : int array, shape (J,)
        Quarter hours beyond the fixed ones, both included.
    total : int
        Quarter hours to place.
    """

    fixed: FLOATS
    low: INTS
    high: INTS
    total: int

    def __post_init__(self) -> None:
        if np.any(self.low > self.high) or not self.low.sum() <= self.total <= self.high.sum():
            raise ValueError(f"no split of {self.total} quarter hours lies in {self.low} to {self.high}")

    def hours(self, quarters: FLOATS | INTS) -> FLOATS:
        """Hours of a split in quarter hours."""
        found: FLOATS = self.fixed + QUARTER * quarters
        return found


def mean_gain(outcome: Outcome, against: FLOATS) -> Value:
    """Worth of a split by its mean gain: the aim ``likely``."""
    base = outcome.lost(against[None, :])
    return lambda hours: (base - outcome.lost(hours)).mean(axis=0)


def safe_gain(outcome: Outcome, against: FLOATS) -> Value:
    """Worth of a split by the gain reached in 8 cases of 10: the aim ``safe``."""
    base = outcome.lost(against[None, :])
    return lambda hours: np.quantile(base - outcome.lost(hours), SAFE_LEVEL, axis=0)


def smooth_optimum(value: Value, room: Room, start: FLOATS) -> FLOATS:
    """Best split in parts of quarter hours, shape (J,), by sequential quadratic programming.

    Parameters
    ----------
    value : callable
        Concave in the hours.
    room : Room
    start : array, shape (J,)
        Quarter hours to begin from.
    """
    from scipy.optimize import Bounds, LinearConstraint, minimize

    if room.total == 0 or np.array_equal(room.low, room.high):
        return room.low.astype(float)
    unit = np.eye(len(start)) * SLOPE_STEP / QUARTER

    def slopes(quarters: Any) -> FLOATS:
        around = value(np.vstack([room.hours(quarters + unit), room.hours(quarters - unit)]))
        rise: FLOATS = (around[: len(start)] - around[len(start) :]) * QUARTER / (2 * SLOPE_STEP)
        return -rise

    def worth(quarters: Any) -> float:
        return -float(value(room.hours(quarters)[None, :])[0])

    found = minimize(
        worth,
        start,
        jac=slopes,
        method="SLSQP",
        bounds=Bounds(room.low, room.high),
        constraints=LinearConstraint(np.ones((1, len(start))), room.total, room.total),
        options={"ftol": 1e-6, "maxiter": 60},
    )
    best: FLOATS = np.clip(found.x, room.low, room.high)
    return best


def rounded(quarters: FLOATS, room: Room) -> INTS:
    """Nearest whole quarter hours that fill the room: the largest remainders are rounded up."""
    inside = np.clip(quarters, room.low, room.high)
    whole = np.floor(inside + 1e-9).astype(np.int64)
    rest = inside - whole
    while whole.sum() < room.total:
        place = int(np.argmax(np.where(whole < room.high, rest, -np.inf)))
        whole[place] += 1
        rest[place] -= 1.0
    while whole.sum() > room.total:
        place = int(np.argmin(np.where(whole > room.low, rest, np.inf)))
        whole[place] -= 1
        rest[place] += 1.0
    return whole


def moves(quarters: INTS, room: Room, sizes: tuple[int, ...] = (1,)) -> INTS:
    """All splits one exchange away: some quarter hours taken from one category and given to another."""
    count = len(quarters)
    found = []
    for size in sizes:
        for giver in np.flatnonzero(quarters - size >= room.low):
            for taker in np.flatnonzero(quarters + size <= room.high):
                if giver != taker:
                    other = quarters.copy()
                    other[giver] -= size
                    other[taker] += size
                    found.append(other)
    return np.array(found, dtype=np.int64).reshape(-1, count)


def climb(value: Value, room: Room, quarters: INTS, sizes: tuple[int, ...] = (1,)) -> tuple[INTS, float]:
    """Exchange quarter hours while it pays; the split reached and its worth."""
    worth = float(value(room.hours(quarters)[None, :])[0])
    for _ in range(MOST_PASSES):
        others = moves(quarters, room, sizes)
        if not len(others):
            break
        worths = value(room.hours(others))
        place = int(np.argmax(worths))
        if worths[place] <= worth + LEAST_STEP:
            break
        quarters, worth = others[place], float(worths[place])
    return quarters, worth


def best_split(value: Value, room: Room, present: FLOATS, *, concave: bool = True) -> tuple[INTS, float]:
    """Best split in whole quarter hours and its worth.

    Parameters
    ----------
    value : callable
    room : Room
    present : array, shape (J,)
        The present split in quarter hours, to begin from.
    concave : bool
        Whether ``value`` is concave: then one start is enough; otherwise several, with larger exchanges.
    """
    begin = np.clip(present, room.low, room.high)
    if concave:
        starts = [smooth_optimum(value, room, _filled(begin, room))]
        sizes: tuple[int, ...] = (1,)
    else:
        even = room.low + (room.high - room.low) * 0.5
        starts, sizes = [begin, even], (1, 2, 4)
    reached = [climb(value, room, rounded(start, room), sizes) for start in starts]
    if concave:
        return reached[0]
    return max(reached, key=lambda one: one[1])


def _filled(quarters: FLOATS, room: Room) -> FLOATS:
    """Stretch a split between its bounds until it fills the room, in parts of quarter hours."""
    short = room.total - quarters.sum()
    free = (room.high - quarters) if short > 0 else (quarters - room.low)
    found: FLOATS = quarters + free * (short / free.sum() if free.sum() > 0 else 0.0)
    return found


def best_by_draw(outcome: Outcome, room: Room, start: INTS) -> FLOATS:
    """Strokes lost under the split that is best for each draw by itself, shape (S,).

    Hours are placed one portion after another where they pay the draw most, then exchanged.
    """
    count = len(room.low)
    quarters = np.tile(room.low, (outcome.samples, 1))
    left = room.total - int(room.low.sum())
    unit = np.eye(count, dtype=np.int64)
    while left > 0:
        size = max(1, min(left, room.total // PORTIONS))
        fits = quarters + size <= room.high
        if not np.all(fits.any(axis=1)):
            size, fits = 1, quarters < room.high
        grown = quarters[:, None, :] + size * unit
        lost = np.where(fits, outcome.lost(room.hours(grown)), np.inf)
        quarters = grown[np.arange(outcome.samples), lost.argmin(axis=1)]
        left -= size
    begin = outcome.lost(room.hours(quarters)[:, None, :])[:, 0]
    same = outcome.lost(room.hours(start)[None, :])[:, 0]
    quarters = np.where((same < begin)[:, None], start[None, :], quarters)
    return _exchange_by_draw(outcome, room, quarters, np.minimum(begin, same))


def _exchange_by_draw(outcome: Outcome, room: Room, quarters: INTS, lost: FLOATS) -> FLOATS:
    count = quarters.shape[1]
    unit = np.eye(count, dtype=np.int64)
    steps = np.array([unit[b] - unit[a] for a in range(count) for b in range(count) if a != b])
    for _ in range(3):
        if not len(steps):
            break
        grown = quarters[:, None, :] + steps
        fits = ((grown >= room.low) & (grown <= room.high)).all(axis=2)
        found = np.where(fits, outcome.lost(room.hours(grown)), np.inf)
        place = found.argmin(axis=1)
        better = found[np.arange(len(found)), place] < lost - LEAST_STEP
        if not better.any():
            break
        quarters = np.where(better[:, None], grown[np.arange(len(grown)), place], quarters)
        lost = np.where(better, found[np.arange(len(found)), place], lost)
    return lost

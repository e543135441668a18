"""The holes of made-up courses, and where a ball lies: distances from the strokes still needed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.rounds import strokes_to_hole_out
from paryield.units import FEET_PER_YARD

Ints = npt.NDArray[np.intp]

NINE_PARS = (4, 3, 5, 4, 4, 3, 4, 5, 4)
NINE_YARDS = (385.0, 165.0, 500.0, 345.0, 410.0, 185.0, 370.0, 525.0, 425.0)
"""A nine of par 36; the other nine has the same lengths turned round, so that nines are alike (made up)."""

STROKE_INDEX = (9, 17, 3, 13, 1, 15, 11, 7, 5, 6, 8, 12, 16, 2, 14, 4, 18, 10)

USUAL_RATING, YARDS_PER_STROKE = 72.0, 0.025
"""A course is longer by this share for each stroke of its rating above the usual one (made up)."""

Lies = npt.NDArray[np.str_]

FEET: FLOATS = np.concatenate([np.arange(1.0, 12.0, 0.25), np.arange(12.0, 75.5, 0.5)])
YARDS: FLOATS = np.arange(3.0, 560.0, 0.5)


@dataclass(frozen=True)
class Layout:
    """Holes in order; ``par`` and ``stroke_index`` are whole numbers, ``yards`` whole yards."""

    par: Ints
    yards: FLOATS
    stroke_index: Ints

    def front(self, holes: int) -> Layout:
        """Return the first holes."""
        return Layout(self.par[:holes], self.yards[:holes], self.stroke_index[:holes])


def layout(rating: float) -> Layout:
    """Return 18 holes of a course by its rating (strokes, 18 holes)."""
    longer = 1.0 + YARDS_PER_STROKE * (rating - USUAL_RATING)
    yards = np.round(longer * np.array([*NINE_YARDS, *NINE_YARDS[::-1]]))
    par = np.array([*NINE_PARS, *NINE_PARS[::-1]])
    return Layout(par, yards, np.array(STROKE_INDEX))


@lru_cache(maxsize=8)
def _table(lie: str) -> tuple[FLOATS, FLOATS]:
    yards = FEET / FEET_PER_YARD if lie == "green" else YARDS
    need = strokes_to_hole_out(lie, yards)
    return yards, np.maximum.accumulate(need)


def need(lie: str | Lies, yards: npt.ArrayLike) -> FLOATS:
    """Return the strokes a tour player takes from places, one lie or one lie each."""
    return _by_lie(lie, yards, lambda name, each: np.interp(each, *_table(name)))


def yards_of(lie: str | Lies, strokes: npt.ArrayLike) -> FLOATS:
    """Return the yards from which a tour player takes so many strokes; the nearest end where none does."""
    return _by_lie(lie, strokes, lambda name, each: np.interp(each, *_table(name)[::-1]))


def _by_lie(lie: str | Lies, values: npt.ArrayLike, look_up: Callable[[str, FLOATS], FLOATS]) -> FLOATS:
    if isinstance(lie, str):
        return np.asarray(look_up(lie, np.asarray(values, dtype=float)))
    each = np.broadcast_to(np.asarray(values, dtype=float), lie.shape)
    found = np.zeros(lie.shape)
    for name in set(lie.tolist()):
        found[lie == name] = look_up(name, each[lie == name])
    return found


def shifted(wished: FLOATS, low: FLOATS, high: FLOATS, total: float) -> FLOATS | None:
    """Return values within their bounds that add up to a total, all moved by one step where they can.

    Parameters
    ----------
    wished, low, high : array, shape (N,)
    total : float

    Returns
    -------
    array, shape (N,), or None where the bounds do not allow the total
    """
    if not low.sum() - 1e-9 <= total <= high.sum() + 1e-9:
        return None
    if not len(wished):
        return wished
    steps = np.sort(np.concatenate([low - wished, high - wished]))
    sums = np.minimum(np.maximum(wished + steps[:, None], low), high).sum(axis=1)
    step = np.interp(total, sums, steps)
    return np.minimum(np.maximum(wished + step, low), high)

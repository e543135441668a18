"""Where a made-up ball lies: from strokes to hole out back to a distance, and sums that must come out."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.rounds import strokes_to_hole_out
from paryield.units import FEET_PER_YARD

Lies = npt.NDArray[np.str_]

FEET: FLOATS = np.concatenate([np.arange(1.0, 12.0, 0.25), np.arange(12.0, 75.5, 0.5)])
YARDS: FLOATS = np.arange(3.0, 560.0, 0.5)


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

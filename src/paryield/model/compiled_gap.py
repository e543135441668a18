"""Share of the gap left at an occasion, compiled, and its gradient carried back (see compiled_rows)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from paryield.dose.response import HOURS_UNIT
from paryield.model.compiled_layout import (
    AT_HABIT,
    AT_HELD,
    AT_STOCK,
    CATEGORIES,
    FAST,
    JOINED,
    KNOWN,
    NEW,
    NODES,
    RATES,
    STEADY,
    WEIGHTS,
)


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def gap_of(x: Any, at: Any, t: Any, r: int, bend: float, work: Any, left: Any, turned: Any) -> float:
    """Share of the gap left and its derivative by the start share; ``work`` (9, J) keeps the parts."""
    share = t[KNOWN] + (t[NEW] - t[KNOWN]) * x[r, JOINED]
    size = at[CATEGORIES]
    raw, held, start, change, turn, less_now, less_then = (
        work[0],
        work[1],
        work[2],
        work[3],
        work[4],
        work[5],
        work[6],
    )
    stocks, helds, weights = at[AT_STOCK], at[AT_HELD], at[WEIGHTS]
    for j in range(size):
        raw[j], held[j] = 0.0, 0.0
        start[j] = x[r, at[AT_HABIT] + j] * t[at[STEADY] + j]
    for n in range(NODES):
        for j in range(size):
            raw[j] += t[weights + n * size + j] * x[r, stocks + n * size + j]
            held[j] += t[weights + n * size + j] * x[r, helds + n * size + j]
    for j in range(size):
        raw[j] += share * held[j]
        now, then = max(raw[j], 0.0), share * start[j]
        less_now[j], less_then[j] = 1.0 / (1.0 + now / bend), 1.0 / (1.0 + then / bend)
        change[j] = now * less_now[j] - then * less_then[j]
        turn[j] = held[j] * less_now[j] ** 2 - start[j] * less_then[j] ** 2
    for k in range(4):
        up, down = 0.0, 0.0
        for j in range(size):
            up += change[j] * t[at[RATES] + k * size + j]
            down += turn[j] * t[at[RATES] + k * size + j]
        left[k] = np.exp(-up / HOURS_UNIT)
        turned[k] = -left[k] * down / HOURS_UNIT
    return share


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def gap_back(
    x: Any, at: Any, t: Any, g: Any, r: int, bend: float, work: Any, left: Any, turned: Any, share: float,
    d_left: Any, d_turned: Any,
) -> None:  # fmt: skip
    """Carry derivatives by left and turned back to the population values."""
    size = at[CATEGORIES]
    raw, held, start, change, turn, less_now, less_then = (
        work[0],
        work[1],
        work[2],
        work[3],
        work[4],
        work[5],
        work[6],
    )
    d_raw, d_held = work[7], work[8]
    stocks, helds, weights = at[AT_STOCK], at[AT_HELD], at[WEIGHTS]
    for j in range(size):
        d_raw[j], d_held[j] = 0.0, 0.0
    for k in range(4):
        # turned = -left * down: by left it is turned / left.
        d_up = -left[k] * (d_left[k] + d_turned[k] * turned[k] / left[k]) / HOURS_UNIT
        d_down = -left[k] * d_turned[k] / HOURS_UNIT
        for j in range(size):
            d_raw[j] += d_up * t[at[RATES] + k * size + j]
            d_held[j] += d_down * t[at[RATES] + k * size + j]
            g[at[RATES] + k * size + j] += d_up * change[j] + d_down * turn[j]
    d_share = 0.0
    for j in range(size):
        d_change, d_turn = d_raw[j], d_held[j]
        now, then = less_now[j], less_then[j]
        positive = 1.0 if raw[j] > 0.0 else 0.0
        by_raw = positive * (d_change * now**2 - d_turn * held[j] * 2.0 / bend * now**3)
        d_begun = -d_change * then**2 + d_turn * start[j] * 2.0 / bend * then**3
        d_share += by_raw * held[j] + d_begun * start[j]
        g[at[STEADY] + j] += (d_begun * share - d_turn * then**2) * x[r, at[AT_HABIT] + j]
        d_raw[j], d_held[j] = by_raw, by_raw * share + d_turn * now**2
    for n in range(NODES):
        for j in range(size):
            by = d_raw[j] * x[r, stocks + n * size + j] + d_held[j] * x[r, helds + n * size + j]
            g[weights + n * size + j] += by
    g[KNOWN] += d_share * (1.0 - x[r, JOINED])
    g[NEW] += d_share * x[r, JOINED]

"""Share of the gap left at occasions, compiled, and its gradient carried back (see compiled_rows).

Numba keeps what it compiled as long as this file stays: a change of the layout changes it too (layout 4).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.dose.stock import HOURS_UNIT
from paryield.model import compiled_layout as c


@c.inner
def gap_of(
    x: Any, at: Any, t: Any, n: int, bend: float, begun: Any, raw: Any, held: Any, now: Any, then: Any,
    change: Any, turn: Any, left: Any, turned: Any,
) -> None:  # fmt: skip
    """Share of the gap left (4, lane) and its derivative by the start share; the rest (J, lane) is kept."""
    for i in range(n):
        begun[i] = t[c.KNOWN] + (t[c.NEW] - t[c.KNOWN]) * x[c.JOINED, i]
    for k in range(4):
        for i in range(n):
            left[k, i], turned[k, i] = 0.0, 0.0
    size = at[c.CATEGORIES]
    for j in range(size):
        for i in range(n):
            raw[j, i], held[j, i] = 0.0, 0.0
        for node in range(c.NODES):
            weight = t[at[c.WEIGHTS] + node * size + j]
            stock, then_held = at[c.AT_STOCK] + node * size + j, at[c.AT_HELD] + node * size + j
            for i in range(n):
                raw[j, i] += weight * x[stock, i]
            for i in range(n):
                held[j, i] += weight * x[then_held, i]
        steady, habit = t[at[c.STEADY] + j], at[c.AT_HABIT] + j
        for i in range(n):
            raw[j, i] += begun[i] * held[j, i]
        for i in range(n):
            now[j, i] = 1.0 / (1.0 + max(raw[j, i], 0.0) / bend)
        for i in range(n):
            then[j, i] = 1.0 / (1.0 + begun[i] * steady * x[habit, i] / bend)
        for i in range(n):
            change[j, i] = max(raw[j, i], 0.0) * now[j, i]
        for i in range(n):
            change[j, i] -= begun[i] * steady * x[habit, i] * then[j, i]
        for i in range(n):
            turn[j, i] = held[j, i] * now[j, i] ** 2
        for i in range(n):
            turn[j, i] -= steady * x[habit, i] * then[j, i] ** 2
        for k in range(4):
            rate = t[at[c.RATES] + k * size + j] / HOURS_UNIT
            if rate != 0.0:
                for i in range(n):
                    left[k, i] -= rate * change[j, i]
                for i in range(n):
                    turned[k, i] -= rate * turn[j, i]
    for k in range(4):
        for i in range(n):
            left[k, i] = np.exp(left[k, i])
        for i in range(n):
            turned[k, i] *= left[k, i]


@c.inner
def gap_back(
    x: Any, at: Any, t: Any, g: Any, n: int, bend: float, begun: Any, raw: Any, held: Any, now: Any,
    then: Any, change: Any, turn: Any, left: Any, turned: Any, d_left: Any, d_turned: Any, d_begun: Any,
    d_change: Any, d_turn: Any, by_raw: Any,
) -> None:  # fmt: skip
    """Carry derivatives by left and turned back to the population values; overwrites both.

    By category, with ``start = steady habit``, the slopes of effective hours being ``now^2`` and ``then^2``::

        now = 1 / (1 + raw / bend)                      then = 1 / (1 + begun start / bend)
        raw = sum_node weight stock + begun held        held = sum_node weight held_node
        change = raw now - begun start then             turn = held now^2 - start then^2
        d_raw = (d_change - 2 / bend held now d_turn) now^2, nothing below raw = 0
        d_(begun start) = (2 / bend start then d_turn - d_change) then^2
    """
    size = at[c.CATEGORIES]
    for k in range(4):
        # left = exp(u), turned = left * v.
        for i in range(n):
            d_left[k, i] = d_left[k, i] * left[k, i] + d_turned[k, i] * turned[k, i]
        for i in range(n):
            d_turned[k, i] *= left[k, i]
    for i in range(n):
        d_begun[i] = 0.0
    for j in range(size):
        steady, habit = t[at[c.STEADY] + j], at[c.AT_HABIT] + j
        for i in range(n):
            d_change[i], d_turn[i] = 0.0, 0.0
        for k in range(4):
            rate = t[at[c.RATES] + k * size + j] / HOURS_UNIT
            for i in range(n):
                d_change[i] -= rate * d_left[k, i]
            for i in range(n):
                d_turn[i] -= rate * d_turned[k, i]
            total = 0.0
            for i in range(n):
                total += d_left[k, i] * change[j, i] + d_turned[k, i] * turn[j, i]
            g[at[c.RATES] + k * size + j] -= total / HOURS_UNIT
        for i in range(n):
            by_raw[i] = d_change[i] - d_turn[i] * held[j, i] * (2.0 / bend) * now[j, i]
        for i in range(n):
            by_raw[i] *= now[j, i] ** 2 if raw[j, i] > 0.0 else 0.0
        for i in range(n):
            d_begun[i] += by_raw[i] * held[j, i]
        total = 0.0
        for i in range(n):
            # By the stock at the start, begun * steady * habit; turn holds it over begun as well.
            start = steady * x[habit, i]
            by = (2.0 / bend * d_turn[i] * start * then[j, i] - d_change[i]) * then[j, i] ** 2
            d_begun[i] += by * start
            total += (by * begun[i] - d_turn[i] * then[j, i] ** 2) * x[habit, i]
        g[at[c.STEADY] + j] += total
        for i in range(n):
            d_turn[i] = by_raw[i] * begun[i] + d_turn[i] * now[j, i] ** 2
        for node in range(c.NODES):
            stock, then_held = at[c.AT_STOCK] + node * size + j, at[c.AT_HELD] + node * size + j
            total = 0.0
            for i in range(n):
                total += by_raw[i] * x[stock, i] + d_turn[i] * x[then_held, i]
            g[at[c.WEIGHTS] + node * size + j] += total
    known, new = 0.0, 0.0
    for i in range(n):
        known += d_begun[i] * (1.0 - x[c.JOINED, i])
        new += d_begun[i] * x[c.JOINED, i]
    g[c.KNOWN] += known
    g[c.NEW] += new

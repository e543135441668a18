"""Stock and strokes lost on days ahead, compiled: each draw and day by itself, added up in one order.

So an answer never changes in its last digit with what else is asked. Response and gap are the functions of
:mod:`paryield.dose.response`; a test holds the whole to the same lines in NumPy.
"""

from __future__ import annotations

from math import exp
from typing import Any

import numpy as np

from paryield.dose import response
from paryield.scoring.kernel import compiled

bent, bend_slope = compiled(response.bent), compiled(response.bend_slope)
lost_strokes = compiled(response.lost_strokes)
UNIT = response.HOURS_UNIT


@compiled
def blended(weights: Any, nodes: Any, out: Any) -> None:
    """Fill ``out`` (S, T, J): sum over tabulated half-lives of weights (H, S, J) times values (H, T, J)."""
    count, samples, categories = weights.shape
    days = nodes.shape[1]
    for s in range(samples):
        for t in range(days):
            for j in range(categories):
                out[s, t, j] = weights[0, s, j] * nodes[0, t, j]
        for h in range(1, count):
            for t in range(days):
                for j in range(categories):
                    out[s, t, j] += weights[h, s, j] * nodes[h, t, j]


@compiled
def left_and_turn(
    rates: Any, start: Any, steady: Any, bend: float, stock: Any, held: Any, left: Any, turn: Any
) -> None:
    """Fill the share of each gap left (S, T, K), and how it turns with a start share higher by 1.

    ``rates`` (S, J, K), ``start`` and ``steady`` (S, J), ``stock`` (S, T, J), ``held`` the same or (S, 1, J).
    """
    samples, days, categories = stock.shape
    areas = rates.shape[2]
    wide = held.shape[1] > 1
    at, begun = np.empty(categories), np.empty(categories)
    hours, slope = np.empty(areas), np.empty(areas)
    for s in range(samples):
        for j in range(categories):
            at[j] = bent(start[s, j], bend)
            begun[j] = steady[s, j] * bend_slope(start[s, j], bend)
        for t in range(days):
            hours[:] = 0.0
            slope[:] = 0.0
            for j in range(categories):
                more = (bent(stock[s, t, j], bend) - at[j]) / UNIT
                own = held[s, t if wide else 0, j] * bend_slope(stock[s, t, j], bend)
                turned = (own - begun[j]) / UNIT
                for k in range(areas):
                    hours[k] += more * rates[s, j, k]
                    slope[k] += turned * rates[s, j, k]
            for k in range(areas):
                share = exp(-hours[k])
                left[s, t, k] = share
                turn[s, t, k] = -share * slope[k]


@compiled
def lost_on(
    weights: Any, stock: Any, steady_now: Any, fading: Any, fresh: Any, hours: Any, start: Any, steady: Any,
    rates: Any, bend: float, level: Any, floor: float, response_gap: Any, extra_gap: Any, out: Any,
) -> None:  # fmt: skip
    """Fill strokes lost from level and practice (S, T) under weekly hours (S, J), all areas together.

    What :func:`blended`, :func:`left_and_turn` and :func:`lost_by_area` give one after the other, without
    their arrays. ``weights``, ``stock``, ``steady_now`` (H, S, J): interpolation between half-lives, hours at
    work now, and those of a start share higher by 1; ``fading`` and ``fresh`` (H, T, J): share of an hour
    still at work, and what a weekly hour adds.
    """
    nodes, samples, categories = weights.shape
    days, areas = fading.shape[1], rates.shape[2]
    at, begun = np.empty(categories), np.empty(categories)
    now, extra = np.empty((nodes, categories)), np.empty((nodes, categories))
    closed, turned = np.empty(areas), np.empty(areas)
    for s in range(samples):
        for j in range(categories):
            at[j] = bent(start[s, j], bend)
            begun[j] = steady[s, j] * bend_slope(start[s, j], bend)
            for h in range(nodes):
                now[h, j] = weights[h, s, j] * stock[h, s, j]
                extra[h, j] = weights[h, s, j] * steady_now[h, s, j]
        for t in range(days):
            closed[:] = 0.0
            turned[:] = 0.0
            for j in range(categories):
                left, more, held = 0.0, 0.0, 0.0
                for h in range(nodes):
                    left += now[h, j] * fading[h, t, j]
                    more += weights[h, s, j] * fresh[h, t, j]
                    held += extra[h, j] * fading[h, t, j]
                work = max(left + hours[s, j] * more, 0.0)
                done = (bent(work, bend) - at[j]) / UNIT
                turn = (held * bend_slope(work, bend) - begun[j]) / UNIT
                for k in range(areas):
                    closed[k] += done * rates[s, j, k]
                    turned[k] += turn * rates[s, j, k]
            total = 0.0
            for k in range(areas):
                share = exp(-closed[k])
                total += (
                    lost_strokes(level[s, k], floor, share)
                    + response_gap[s, k] * (share - 1.0)
                    - extra_gap[s, k] * share * turned[k]
                )
            out[s, t] = total


@compiled
def lost_by_area(
    level: Any, floor: float, response_gap: Any, extra_gap: Any, left: Any, turn: Any, out: Any
) -> None:
    """Fill strokes lost by area (S, T, K); level and both products with the gap (S, K)."""
    samples, days, areas = left.shape
    for s in range(samples):
        for t in range(days):
            for k in range(areas):
                share = left[s, t, k]
                out[s, t, k] = (
                    lost_strokes(level[s, k], floor, share)
                    + response_gap[s, k] * (share - 1.0)
                    + extra_gap[s, k] * turn[s, t, k]
                )

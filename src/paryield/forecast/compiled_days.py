"""Stock and strokes lost on days ahead, compiled: each draw and day by itself, added up in one order.

So an answer never changes in its last digit with what else is asked. Response and gap are the functions of
:mod:`paryield.dose.stock`; a test holds the whole to the same lines in NumPy.
"""

from __future__ import annotations

from math import exp
from typing import Any

import numpy as np

from paryield.dose import stock as dose_stock
from paryield.scoring.kernel import compiled

bent, bend_slope = compiled(dose_stock.bent), compiled(dose_stock.bend_slope)
lost_strokes = compiled(dose_stock.lost_strokes)
UNIT = dose_stock.HOURS_UNIT


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
def added_up(weights: Any, columns: Any, ends: Any, out: Any) -> None:
    """Add to ``out`` (S, T), term by term, weights (S, C) times columns (C, T); ``ends`` of the terms' C."""
    part = np.empty(columns.shape[1])
    for s in range(len(weights)):
        first = 0
        for end in ends:
            part[:] = 0.0
            for c in range(first, end):
                weight = weights[s, c]
                for t in range(len(part)):
                    part[t] += weight * columns[c, t]
            for t in range(len(part)):
                out[s, t] += part[t]
            first = end


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
def _closed_by(rates: Any, done: Any, turn: Any, closed: Any, turned: Any) -> None:
    """Add to ``closed`` and ``turned`` (K, N) what work done and its turn (N,) give at the rates (K,)."""
    for k in range(len(rates)):
        rate = rates[k]
        if rate != 0.0:
            for n in range(len(done)):
                closed[k, n] += done[n] * rate
                turned[k, n] += turn[n] * rate


@compiled
def lost_on(
    weights: Any, stock: Any, steady_now: Any, fading: Any, fresh: Any, hours: Any, start: Any, steady: Any,
    rates: Any, bend: float, level: Any, floor: float, response_gap: Any, extra_gap: Any, out: Any,
) -> None:  # fmt: skip
    """Fill strokes lost from level and practice (S, T) under weekly hours (S, J), all areas together.

    What :func:`blended`, :func:`left_and_turn` and :func:`lost_by_area` give one after the other, without
    their arrays and with the days side by side. ``weights``, ``stock``, ``steady_now`` (H, S, J):
    interpolation between half-lives, hours at work now, and those of a start share higher by 1; ``fading``
    and ``fresh`` (H, J, T): share of an hour still at work, and what a weekly hour adds.
    """
    nodes, samples, categories = weights.shape
    days, areas = fading.shape[2], rates.shape[2]
    left, more, held = np.empty(days), np.empty(days), np.empty(days)
    done, turn = np.empty(days), np.empty(days)
    closed, turned = np.empty((areas, days)), np.empty((areas, days))
    for s in range(samples):
        closed[:, :] = 0.0
        turned[:, :] = 0.0
        for j in range(categories):
            left[:] = 0.0
            more[:] = 0.0
            held[:] = 0.0
            for h in range(nodes):
                weight, fade, new = weights[h, s, j], fading[h, j], fresh[h, j]
                now, extra = weight * stock[h, s, j], weight * steady_now[h, s, j]
                for t in range(days):
                    left[t] += now * fade[t]
                    more[t] += weight * new[t]
                    held[t] += extra * fade[t]
            at, asked = bent(start[s, j], bend), hours[s, j]
            begun = steady[s, j] * bend_slope(start[s, j], bend)
            for t in range(days):
                work = max(left[t] + asked * more[t], 0.0)
                done[t] = (bent(work, bend) - at) / UNIT
                turn[t] = (held[t] * bend_slope(work, bend) - begun) / UNIT
            _closed_by(rates[s, j], done, turn, closed, turned)
        out[s, :] = 0.0
        for k in range(areas):
            for t in range(days):
                share = exp(-closed[k, t])
                out[s, t] += (
                    lost_strokes(level[s, k], floor, share)
                    + response_gap[s, k] * (share - 1.0)
                    - extra_gap[s, k] * share * turned[k, t]
                )


@compiled
def lost_under(
    held: Any, per_hour: Any, hours: Any, place: Any, start_held: Any, start: Any, steady: Any, rates: Any,
    bend: float, level: Any, floor: float, response_gap: Any, extra_gap: Any, out: Any,
) -> None:  # fmt: skip
    """Fill strokes lost from level and practice on one day (S, N) under N weeks, all areas together.

    What :func:`left_and_turn` and :func:`lost_by_area` give one after the other for the stock of each week,
    without their arrays and with the weeks side by side. ``held`` and ``per_hour`` (S, J): stock without
    practice, and what a weekly hour adds; ``hours`` (1, N, P) or (S, N, P): hours of each week by category of
    the plan; ``place`` (J,): which of those P a category is, -1 for none; ``start_held`` (S, J).
    """
    samples, categories = held.shape
    weeks, areas = hours.shape[1], rates.shape[2]
    own = hours.shape[0] > 1
    asked, done, turn = np.zeros(weeks), np.empty(weeks), np.empty(weeks)
    closed, turned = np.empty((areas, weeks)), np.empty((areas, weeks))
    for s in range(samples):
        closed[:, :] = 0.0
        turned[:, :] = 0.0
        for j in range(categories):
            column = place[j]
            for n in range(weeks):
                asked[n] = hours[s if own else 0, n, column] if column >= 0 else 0.0
            at, left, more = bent(start[s, j], bend), held[s, j], per_hour[s, j]
            begun, kept = steady[s, j] * bend_slope(start[s, j], bend), start_held[s, j]
            for n in range(weeks):
                work = max(left + more * asked[n], 0.0)
                done[n] = (bent(work, bend) - at) / UNIT
                turn[n] = (kept * bend_slope(work, bend) - begun) / UNIT
            _closed_by(rates[s, j], done, turn, closed, turned)
        out[s, :] = 0.0
        for k in range(areas):
            for n in range(weeks):
                share = exp(-closed[k, n])
                out[s, n] += (
                    lost_strokes(level[s, k], floor, share)
                    + response_gap[s, k] * (share - 1.0)
                    + extra_gap[s, k] * (-share * turned[k, n])
                )


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

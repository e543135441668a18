"""The rows of :mod:`paryield.model.rows` once more, compiled, with their gradient carried back by hand.

A gradient is two passes over the occasions without temporary arrays. A test holds the two forms equal, and
the gradient to differences of the density.

Each occasion has up to 11 measurements in a fixed order, :data:`KINDS`. Measurement m has a residual and a
load over areas that are those of the bare equation less ``mix[m, n]`` times those of earlier
ones n, and a variance; only bare equations, ``mix`` and variances depend on the population values.

Everything known of an occasion stands in one row of ``x`` (R, columns), of the club in ``club``, the
population values in one vector ``t`` and derivatives by them in ``g``; ``at`` says where the parts of
variable length begin. :mod:`paryield.model.packing` fills them.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from paryield.model.compiled_equations import (
    common_of,
    equations,
    equations_back,
    mixed,
    stat_loads,
    stat_loads_back,
)
from paryield.model.compiled_gap import gap_back, gap_of
from paryield.model.compiled_layout import (
    AT_EXPOSURE,
    CATEGORIES,
    COMPETING,
    COMPETITION,
    COS,
    COSINE,
    COUNT,
    FAST,
    GAP,
    HABIT_AREA,
    JOINING,
    LEVEL,
    PROGRAMME_COUNT,
    PROGRAMMES,
    SEEN,
    SELECTION,
    SHARE,
    SHIFT,
    SIN,
    SINE,
    TEST,
    TREND,
    WIDTH,
    YEARS,
)
from paryield.model.rows import LOG_2PI


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def rows_forward(
    x: Any, club: Any, at: Any, t: Any, floor: float, reference: float, bend: float, load_out: Any,
    error_out: Any, left_out: Any, respond: Any, begin: Any,
) -> float:  # fmt: skip
    """Whitened loads and residuals of all measurements.

    Writes ``load_out`` (R, T, L) and ``error_out`` (R, T) where something was measured, and ``left_out``,
    ``respond``, ``begin`` (R, K); they are given by the caller, since fresh memory costs as much as the
    arithmetic.

    Returns
    -------
    float
        Log density of the measurements at effects of zero.
    """
    rounds = x.shape[0]
    work, left, turned = np.zeros((9, at[CATEGORIES])), np.zeros(4), np.zeros(4)
    lost, bare, variance = np.zeros(4), np.zeros(COUNT), np.ones(COUNT)
    load, mix = np.zeros((COUNT, WIDTH)), np.zeros((COUNT, COUNT))
    loads = stat_loads(x, club, at, t)
    each = 0.0
    for r in range(rounds):
        gap_of(x, at, t, r, bend, work, left, turned)
        common = common_of(x, club, at, t, r)
        for k in range(4):
            level = t[SHARE + k] * t[LEVEL] + t[SELECTION] * x[r, HABIT_AREA + k]
            lost[k] = floor + (level - floor) * left[k] + t[SHARE + k] * common
            left_out[r, k] = left[k]
            respond[r, k] = x[r, GAP + k] * (left[k] - 1.0)
            begin[r, k] = x[r, GAP + k] * turned[k]
        equations(x, club, at, t, r, lost, loads, reference, bare, load, mix, variance)
        mixed(x, r, bare, load, mix)
        for m in range(COUNT):
            if x[r, SEEN + m] > 0.0:
                sd = np.sqrt(variance[m])
                error_out[r, m] = bare[m] / sd
                each -= 0.5 * (bare[m] / sd) ** 2 + np.log(sd) + 0.5 * LOG_2PI
                for k in range(WIDTH):
                    load_out[r, m, k] = load[m, k] / sd
    return each


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def rows_backward(
    x: Any, club: Any, at: Any, t: Any, g: Any,
    floor: float, reference: float, bend: float, d_load_out: Any, d_error_out: Any,
    d_left_out: Any, d_respond: Any, d_begin: Any,
) -> None:  # fmt: skip
    """Add to ``d`` (arrays shaped as ``v``) the derivatives of a function of what :func:`rows_forward` gives.

    That function is ``each`` plus whatever has the derivatives ``d_load_out`` and so on.
    """
    rounds = x.shape[0]
    work, left, turned = np.zeros((9, at[CATEGORIES])), np.zeros(4), np.zeros(4)
    lost, bare, variance = np.zeros(4), np.zeros(COUNT), np.ones(COUNT)
    load, mix = np.zeros((COUNT, WIDTH)), np.zeros((COUNT, COUNT))
    d_lost, d_bare, d_variance = np.zeros(4), np.zeros(COUNT), np.zeros(COUNT)
    d_load, d_mix = np.zeros((COUNT, WIDTH)), np.zeros((COUNT, COUNT))
    d_left, d_turned = np.zeros(4), np.zeros(4)
    loads, d_loads = stat_loads(x, club, at, t), np.zeros((5, 4))
    for r in range(rounds):
        share = gap_of(x, at, t, r, bend, work, left, turned)
        common = common_of(x, club, at, t, r)
        for k in range(4):
            level = t[SHARE + k] * t[LEVEL] + t[SELECTION] * x[r, HABIT_AREA + k]
            lost[k] = floor + (level - floor) * left[k] + t[SHARE + k] * common
            d_lost[k] = 0.0
        equations(x, club, at, t, r, lost, loads, reference, bare, load, mix, variance)
        mixed(x, r, bare, load, mix)
        for m in range(COUNT):
            d_bare[m], d_variance[m] = 0.0, 0.0
            d_load[m, :] = 0.0
            if x[r, SEEN + m] > 0.0:
                sd = np.sqrt(variance[m])
                e = bare[m] / sd
                d_bare[m] = (d_error_out[r, m] - e) / sd
                d_sd = (e**2 - 1.0 - d_error_out[r, m] * e) / sd
                for k in range(WIDTH):
                    d_load[m, k] = d_load_out[r, m, k] / sd
                    d_sd -= d_load_out[r, m, k] * load[m, k] / variance[m]
                d_variance[m] = 0.5 * d_sd / sd
        for m in range(TEST - 1, 3, -1):
            if x[r, SEEN + m] > 0.0:
                for n in range(m):
                    d_mix[m, n] = 0.0
                    if x[r, SEEN + n] > 0.0:
                        d_mix[m, n] = -bare[n] * d_bare[m]
                        d_bare[n] -= mix[m, n] * d_bare[m]
                        for k in range(WIDTH):
                            d_mix[m, n] -= load[n, k] * d_load[m, k]
                            d_load[n, k] -= mix[m, n] * d_load[m, k]
        equations_back(
            x,
            club,
            at,
            t,
            g,
            r,
            lost,
            loads,
            reference,
            variance,
            d_bare,
            d_load,
            d_mix,
            d_variance,
            d_lost,
            d_loads,
        )
        d_common = 0.0
        for k in range(4):
            level = t[SHARE + k] * t[LEVEL] + t[SELECTION] * x[r, HABIT_AREA + k]
            d_left[k] = d_left_out[r, k] + d_respond[r, k] * x[r, GAP + k] + d_lost[k] * (level - floor)
            d_turned[k] = d_begin[r, k] * x[r, GAP + k]
            d_level = d_lost[k] * left[k]
            g[SHARE + k] += d_level * t[LEVEL] + d_lost[k] * common
            g[LEVEL] += d_level * t[SHARE + k]
            g[SELECTION] += d_level * x[r, HABIT_AREA + k]
            d_common += d_lost[k] * t[SHARE + k]
        g[COS] += d_common * x[r, COSINE]
        g[SIN] += d_common * x[r, SINE]
        g[TREND] -= d_common * x[r, YEARS]
        g[SHIFT] += d_common * x[r, JOINING]
        g[COMPETITION] += d_common * x[r, COMPETING]
        for place in range(at[PROGRAMME_COUNT]):
            g[at[PROGRAMMES] + place] += d_common * x[r, at[AT_EXPOSURE] + place]
        gap_back(x, at, t, g, r, bend, work, left, turned, share, d_left, d_turned)
    stat_loads_back(club, d_loads, g)

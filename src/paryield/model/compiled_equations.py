"""Measurement equations of an occasion, compiled, and their gradient carried back (see compiled_rows)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from paryield.model.compiled_layout import (
    AREA_DAY,
    AT_COURSE,
    AT_EXPOSURE,
    COMPETING,
    COMPETITION,
    COS,
    COSINE,
    COUNT,
    COURSE_COUNT,
    COURSES,
    DAY,
    DOCUMENTED,
    ERROR,
    FAST,
    GREENS,
    INTERCEPT,
    JOINING,
    NOISE,
    NOISE_GUESS,
    OFFSET,
    PENALTIES,
    PENALTIES_ON_GREENS,
    PROGRAMME_COUNT,
    PROGRAMMES,
    PUTTS,
    PUTTS_ON_GREENS,
    PUTTS_SHORT,
    REPEATS,
    REST,
    SCORE,
    SEEN,
    SHARE,
    SHIFT,
    SIN,
    SINE,
    SLOPE,
    SPREAD,
    STAT,
    STAT_SHARE,
    STAT_SPREAD,
    TEST,
    TEST_AREA,
    TESTS,
    TREND,
    UPDOWNS,
    UPDOWNS_ON_PUTTS,
    VALUE,
    WHICH_TEST,
    WIDTH,
    YEARS,
)


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def common_of(x: Any, club: Any, at: Any, t: Any, r: int) -> float:
    total = t[COS] * x[r, COSINE] + t[SIN] * x[r, SINE] - t[TREND] * x[r, YEARS] + t[SHIFT] * x[r, JOINING]
    total += t[COMPETITION] * x[r, COMPETING]
    for place in range(at[PROGRAMME_COUNT]):
        total += x[r, at[AT_EXPOSURE] + place] * t[at[PROGRAMMES] + place]
    return total


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def _harder(x: Any, at: Any, t: Any, r: int) -> float:
    """Strokes by which the course of an occasion is harder than its rating says."""
    total = 0.0
    for c in range(at[COURSE_COUNT]):
        total += x[r, at[AT_COURSE] + c] * t[at[COURSES] + c]
    return total


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def stat_loads(x: Any, club: Any, at: Any, t: Any) -> Any:
    """How each stat moves with strokes lost by area, shape (stat, area)."""
    out = np.zeros((5, 4))
    out[0, 0], out[0, 1] = -club[COUNT] * t[STAT + 4 * 0 + SLOPE], -t[STAT + 4 * 0 + SLOPE]
    out[1, 2], out[1, 3] = t[PUTTS_SHORT], t[STAT + 4 * 1 + SLOPE]
    out[2, 0] = -t[STAT + 4 * 2 + SLOPE]
    out[3, 2], out[3, 3] = -t[STAT + 4 * 3 + SLOPE], -club[COUNT + 1] * t[STAT + 4 * 3 + SLOPE]
    out[4, 0], out[4, 1] = t[STAT + 4 * 4 + SLOPE], club[COUNT + 2] * t[STAT + 4 * 4 + SLOPE]
    return out


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def stat_loads_back(club: Any, d_loads: Any, g: Any) -> None:
    g[STAT + 4 * 0 + SLOPE] -= club[COUNT] * d_loads[0, 0] + d_loads[0, 1]
    g[PUTTS_SHORT] += d_loads[1, 2]
    g[STAT + 4 * 1 + SLOPE] += d_loads[1, 3]
    g[STAT + 4 * 2 + SLOPE] -= d_loads[2, 0]
    g[STAT + 4 * 3 + SLOPE] -= d_loads[3, 2] + club[COUNT + 1] * d_loads[3, 3]
    g[STAT + 4 * 4 + SLOPE] += d_loads[4, 0] + club[COUNT + 2] * d_loads[4, 1]


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def _luck(x: Any, club: Any, at: Any, t: Any, stat: int) -> float:
    """Variance of a stat's luck in a typical round; 0 where the club does not keep it."""
    return (t[STAT + 4 * stat + SPREAD] * club[4 + stat]) ** 2 if club[4 + stat] > 0.0 else 0.0


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def equations(
    x: Any, club: Any, at: Any, t: Any, r: int, lost: Any,
    loads: Any, reference: float, bare: Any, load: Any, mix: Any, variance: Any
) -> None:  # fmt: skip
    """Bare residual, load, mix and variance of each measurement of an occasion."""
    spread = t[NOISE] * x[r, NOISE_GUESS]
    doc = x[r, DOCUMENTED] > 0.0
    for m in range(COUNT):
        if x[r, SEEN + m] > 0.0:
            for n in range(m):
                mix[m, n] = 0.0
            for k in range(WIDTH):
                load[m, k] = 0.0
    harder = _harder(x, at, t, r)
    for k in range(4):
        if x[r, SEEN + k] > 0.0:
            load[k, k] = 1.0
            bare[k] = x[r, VALUE + k] - t[SHARE + k] * (t[OFFSET] + harder) - lost[k]
            variance[k] = (t[AREA_DAY + k] * spread) ** 2 + x[r, ERROR + k] ** 2
    for stat in range(5):
        m = GREENS + stat
        if not x[r, SEEN + m] > 0.0:
            continue
        bare[m] = x[r, VALUE + m] - t[STAT + 4 * stat + INTERCEPT]
        variance[m] = (t[STAT + 4 * stat + SPREAD] * x[r, ERROR + m]) ** 2
        if doc:
            variance[m] *= t[STAT_SPREAD] ** 2
        if stat != 2 and stat != 4:
            load[m, 4 + min(stat, 2)] = 1.0
        for k in range(4):
            load[m, k] = loads[stat, k]
            bare[m] -= loads[stat, k] * (lost[k] - t[SHARE + k] * reference)
            if doc:
                reach = t[STAT_SHARE] * loads[stat, k]
                if x[r, SEEN + k] > 0.0:
                    mix[m, k] = reach
                else:
                    variance[m] += (reach * t[AREA_DAY + k] * spread) ** 2
    for m, first, name in ((PUTTS, GREENS, PUTTS_ON_GREENS), (UPDOWNS, PUTTS, UPDOWNS_ON_PUTTS),
                           (PENALTIES, GREENS, PENALTIES_ON_GREENS)):  # fmt: skip
        if x[r, SEEN + m] > 0.0 and club[first] > 0.0:
            if x[r, SEEN + first] > 0.0:
                mix[m, first] = t[name]
            else:
                variance[m] += t[name] ** 2 * _luck(x, club, at, t, first - GREENS)
    if x[r, SEEN + SCORE] > 0.0:
        bare[SCORE] = x[r, VALUE + SCORE] - harder
        for k in range(4):
            bare[SCORE] -= lost[k]
            load[SCORE, k] = 1.0
        inner = 0.0
        if doc:
            inner = (t[REST] * spread) ** 2
            for k in range(4):
                luck = (t[AREA_DAY + k] * spread) ** 2
                if x[r, SEEN + k] > 0.0:
                    mix[SCORE, k] = luck / variance[k]
                    inner += luck * (1.0 - luck / variance[k])
                else:
                    inner += luck
        else:
            inner = spread**2 + _lean(x, club, at, t, r, mix)
        variance[SCORE] = x[r, ERROR + SCORE] ** 2 * inner
    if x[r, SEEN + TEST] > 0.0:
        q = int(x[r, WHICH_TEST])
        k = int(x[r, TEST_AREA])
        load[TEST, k] = t[at[TESTS] + 3 * q + 1]
        bare[TEST] = (
            x[r, VALUE + TEST]
            - t[at[TESTS] + 3 * q + 0]
            - t[at[TESTS] + 3 * q + 1] * (lost[k] - t[SHARE + k] * reference)
        )
        variance[TEST] = x[r, ERROR + TEST] ** 2 + t[at[TESTS] + 3 * q + 2] ** 2 * x[r, REPEATS]


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def _lean(x: Any, club: Any, at: Any, t: Any, r: int, mix: Any) -> float:
    """How a score leans on the luck of the stats (into ``mix``), and the variance left open."""
    left = 0.0
    for m in (GREENS, UPDOWNS, PENALTIES):
        if club[m] > 0.0:
            day = t[STAT + 4 * (m - GREENS) + DAY]
            if x[r, SEEN + m] > 0.0:
                mix[SCORE, m] = -day if m == GREENS else day
            else:
                left += day**2 * _luck(x, club, at, t, m - GREENS)
    if club[PUTTS] > 0.0:
        day, own = t[STAT + 4 * 1 + DAY], _luck(x, club, at, t, 1)
        if not x[r, SEEN + PUTTS] > 0.0:
            left += day**2 * own
        elif x[r, SEEN + GREENS] > 0.0 or not club[GREENS] > 0.0:
            mix[SCORE, PUTTS] = day
        else:
            kappa, greens, on = t[PUTTS_ON_GREENS], _luck(x, club, at, t, 0), t[STAT + 4 * 0 + DAY]
            both = own + kappa**2 * greens
            lean = (day * own - on * kappa * greens) / both
            mix[SCORE, PUTTS] = lean
            left += day**2 * own - lean**2 * both
    return left


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def _luck_back(x: Any, club: Any, at: Any, t: Any, g: Any, stat: int, by: float) -> None:
    g[STAT + 4 * stat + SPREAD] += by * 2.0 * t[STAT + 4 * stat + SPREAD] * club[4 + stat] ** 2


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def _lean_back(x: Any, club: Any, at: Any, t: Any, g: Any, r: int, d_mix: Any, d_left: float) -> None:
    for m in (GREENS, UPDOWNS, PENALTIES):
        if club[m] > 0.0:
            stat = m - GREENS
            day = t[STAT + 4 * stat + DAY]
            if x[r, SEEN + m] > 0.0:
                g[STAT + 4 * stat + DAY] += -d_mix[SCORE, m] if m == GREENS else d_mix[SCORE, m]
            else:
                g[STAT + 4 * stat + DAY] += d_left * 2.0 * day * _luck(x, club, at, t, stat)
                _luck_back(x, club, at, t, g, stat, d_left * day**2)
    if club[PUTTS] > 0.0:
        day, own = t[STAT + 4 * 1 + DAY], _luck(x, club, at, t, 1)
        if not x[r, SEEN + PUTTS] > 0.0:
            g[STAT + 4 * 1 + DAY] += d_left * 2.0 * day * own
            _luck_back(x, club, at, t, g, 1, d_left * day**2)
        elif x[r, SEEN + GREENS] > 0.0 or not club[GREENS] > 0.0:
            g[STAT + 4 * 1 + DAY] += d_mix[SCORE, PUTTS]
        else:
            kappa, greens, on = t[PUTTS_ON_GREENS], _luck(x, club, at, t, 0), t[STAT + 4 * 0 + DAY]
            both = own + kappa**2 * greens
            top = day * own - on * kappa * greens
            lean = top / both
            d_lean = d_mix[SCORE, PUTTS] - d_left * 2.0 * lean * both
            d_both = -d_left * lean**2 - d_lean * lean / both
            d_top = d_lean / both
            g[STAT + 4 * 1 + DAY] += d_left * 2.0 * day * own + d_top * own
            g[STAT + 4 * 0 + DAY] -= d_top * kappa * greens
            _luck_back(x, club, at, t, g, 1, d_left * day**2 + d_top * day + d_both)
            _luck_back(x, club, at, t, g, 0, d_both * kappa**2 - d_top * on * kappa)
            g[PUTTS_ON_GREENS] += d_both * 2.0 * kappa * greens - d_top * on * greens


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def equations_back(
    x: Any, club: Any, at: Any, t: Any, g: Any,
    r: int, lost: Any, loads: Any, reference: float, variance: Any, d_bare: Any,
    d_load: Any, d_mix: Any, d_variance: Any, d_lost: Any, d_loads: Any,
) -> None:  # fmt: skip
    """Carry derivatives of the equations back; adds to ``d_lost``, ``d_loads`` and the population's."""
    spread = t[NOISE] * x[r, NOISE_GUESS]
    doc = x[r, DOCUMENTED] > 0.0
    d_spread, d_harder, harder = 0.0, 0.0, _harder(x, at, t, r)
    if x[r, SEEN + TEST] > 0.0:
        q = int(x[r, WHICH_TEST])
        k = int(x[r, TEST_AREA])
        g[at[TESTS] + 3 * q + 0] -= d_bare[TEST]
        g[at[TESTS] + 3 * q + 1] += d_load[TEST, k] - d_bare[TEST] * (lost[k] - t[SHARE + k] * reference)
        g[at[TESTS] + 3 * q + 2] += d_variance[TEST] * 2.0 * t[at[TESTS] + 3 * q + 2] * x[r, REPEATS]
        d_lost[k] -= d_bare[TEST] * t[at[TESTS] + 3 * q + 1]
        g[SHARE + k] += d_bare[TEST] * t[at[TESTS] + 3 * q + 1] * reference
    if x[r, SEEN + SCORE] > 0.0:
        d_harder -= d_bare[SCORE]
        for k in range(4):
            d_lost[k] -= d_bare[SCORE]
        d_inner = d_variance[SCORE] * x[r, ERROR + SCORE] ** 2
        if doc:
            g[REST] += d_inner * 2.0 * t[REST] * spread**2
            d_spread += d_inner * 2.0 * spread * t[REST] ** 2
            for k in range(4):
                luck = (t[AREA_DAY + k] * spread) ** 2
                d_luck = d_inner
                if x[r, SEEN + k] > 0.0:
                    part = luck / variance[k]
                    d_part = d_mix[SCORE, k] - d_inner * luck
                    d_luck = d_inner * (1.0 - part) + d_part / variance[k]
                    d_variance[k] -= d_part * part / variance[k]
                g[AREA_DAY + k] += d_luck * 2.0 * t[AREA_DAY + k] * spread**2
                d_spread += d_luck * 2.0 * spread * t[AREA_DAY + k] ** 2
        else:
            d_spread += d_inner * 2.0 * spread
            _lean_back(x, club, at, t, g, r, d_mix, d_inner)
    for m, first, name in ((PUTTS, GREENS, PUTTS_ON_GREENS), (UPDOWNS, PUTTS, UPDOWNS_ON_PUTTS),
                           (PENALTIES, GREENS, PENALTIES_ON_GREENS)):  # fmt: skip
        if x[r, SEEN + m] > 0.0 and club[first] > 0.0:
            if x[r, SEEN + first] > 0.0:
                g[name] += d_mix[m, first]
            else:
                g[name] += d_variance[m] * 2.0 * t[name] * _luck(x, club, at, t, first - GREENS)
                _luck_back(x, club, at, t, g, first - GREENS, d_variance[m] * t[name] ** 2)
    for stat in range(5):
        m = GREENS + stat
        if not x[r, SEEN + m] > 0.0:
            continue
        g[STAT + 4 * stat + INTERCEPT] -= d_bare[m]
        scale = t[STAT_SPREAD] ** 2 if doc else 1.0
        own = x[r, ERROR + m] ** 2
        g[STAT + 4 * stat + SPREAD] += d_variance[m] * 2.0 * t[STAT + 4 * stat + SPREAD] * own * scale
        if doc:
            g[STAT_SPREAD] += d_variance[m] * 2.0 * t[STAT_SPREAD] * t[STAT + 4 * stat + SPREAD] ** 2 * own
        for k in range(4):
            d_loads[stat, k] += d_load[m, k] - d_bare[m] * (lost[k] - t[SHARE + k] * reference)
            d_lost[k] -= d_bare[m] * loads[stat, k]
            g[SHARE + k] += d_bare[m] * loads[stat, k] * reference
            if doc:
                if x[r, SEEN + k] > 0.0:
                    g[STAT_SHARE] += d_mix[m, k] * loads[stat, k]
                    d_loads[stat, k] += d_mix[m, k] * t[STAT_SHARE]
                else:
                    reach = t[STAT_SHARE] * loads[stat, k]
                    each = d_variance[m] * 2.0
                    d_reach = each * reach * (t[AREA_DAY + k] * spread) ** 2
                    g[STAT_SHARE] += d_reach * loads[stat, k]
                    d_loads[stat, k] += d_reach * t[STAT_SHARE]
                    g[AREA_DAY + k] += each * reach**2 * t[AREA_DAY + k] * spread**2
                    d_spread += each * reach**2 * t[AREA_DAY + k] ** 2 * spread
    for k in range(4):
        if x[r, SEEN + k] > 0.0:
            g[SHARE + k] -= d_bare[k] * (t[OFFSET] + harder)
            g[OFFSET] -= d_bare[k] * t[SHARE + k]
            d_harder -= d_bare[k] * t[SHARE + k]
            d_lost[k] -= d_bare[k]
            g[AREA_DAY + k] += d_variance[k] * 2.0 * t[AREA_DAY + k] * spread**2
            d_spread += d_variance[k] * 2.0 * spread * t[AREA_DAY + k] ** 2
    g[NOISE] += d_spread * x[r, NOISE_GUESS]
    for c in range(at[COURSE_COUNT]):
        g[at[COURSES] + c] += d_harder * x[r, at[AT_COURSE] + c]


@njit(cache=True, nogil=True, fastmath=FAST, error_model="numpy")
def mixed(x: Any, r: int, bare: Any, load: Any, mix: Any) -> None:
    """Take earlier measurements out of later ones, in place."""
    for m in range(4, TEST):
        if x[r, SEEN + m] > 0.0:
            for n in range(m):
                if mix[m, n] != 0.0:
                    bare[m] -= mix[m, n] * bare[n]
                    for k in range(WIDTH):
                        load[m, k] -= mix[m, n] * load[n, k]

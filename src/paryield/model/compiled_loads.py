"""Loads and mixes of a block of occasions, compiled, and their gradient (see compiled_rows).

In one block the same was measured at every occasion, so that these are numbers of the block.

Numba keeps what it compiled as long as this file stays: a change of the layout changes it too (layout 3).
"""

from __future__ import annotations

from typing import Any

from numba import njit

from paryield.model.compiled_layout import (
    COUNT,
    DAY,
    DOCUMENTED,
    GREENS,
    PENALTIES,
    PENALTIES_ON_GREENS,
    PUTTS,
    PUTTS_ON_GREENS,
    PUTTS_SHORT,
    SCORE,
    SEEN,
    SLOPE,
    SPREAD,
    STAT,
    STAT_SHARE,
    TEST,
    TEST_AREA,
    TEST_SLOPE,
    TEST_WIDTH,
    TESTS,
    UPDOWNS,
    UPDOWNS_ON_PUTTS,
    WHICH_TEST,
)


@njit(cache=True, nogil=True, error_model="numpy")
def stat_loads(club: Any, t: Any, out: Any) -> None:
    """How each stat moves with strokes lost by area, shape (stat, area)."""
    out[0, 0], out[0, 1] = -club[COUNT] * t[STAT + 4 * 0 + SLOPE], -t[STAT + 4 * 0 + SLOPE]
    out[1, 2], out[1, 3] = t[PUTTS_SHORT], t[STAT + 4 * 1 + SLOPE]
    out[2, 0] = -t[STAT + 4 * 2 + SLOPE]
    out[3, 2], out[3, 3] = -t[STAT + 4 * 3 + SLOPE], -club[COUNT + 1] * t[STAT + 4 * 3 + SLOPE]
    out[4, 0], out[4, 1] = t[STAT + 4 * 4 + SLOPE], club[COUNT + 2] * t[STAT + 4 * 4 + SLOPE]


@njit(cache=True, nogil=True, error_model="numpy")
def stat_loads_back(club: Any, d_loads: Any, g: Any) -> None:
    g[STAT + 4 * 0 + SLOPE] -= club[COUNT] * d_loads[0, 0] + d_loads[0, 1]
    g[PUTTS_SHORT] += d_loads[1, 2]
    g[STAT + 4 * 1 + SLOPE] += d_loads[1, 3]
    g[STAT + 4 * 2 + SLOPE] -= d_loads[2, 0]
    g[STAT + 4 * 3 + SLOPE] -= d_loads[3, 2] + club[COUNT + 1] * d_loads[3, 3]
    g[STAT + 4 * 4 + SLOPE] += d_loads[4, 0] + club[COUNT + 2] * d_loads[4, 1]


@njit(cache=True, nogil=True, error_model="numpy")
def _luck(club: Any, t: Any, stat: int) -> float:
    """Variance of a stat's luck in a typical round; 0 where the club does not keep it."""
    return (t[STAT + 4 * stat + SPREAD] * club[4 + stat]) ** 2 if club[4 + stat] > 0.0 else 0.0


@njit(cache=True, nogil=True, error_model="numpy")
def _luck_back(club: Any, t: Any, g: Any, stat: int, by: float) -> None:
    g[STAT + 4 * stat + SPREAD] += by * 2.0 * t[STAT + 4 * stat + SPREAD] * club[4 + stat] ** 2


@njit(cache=True, nogil=True, error_model="numpy")
def leans_on(m: int) -> tuple[int, int]:
    """The stat on which another leans, and by which population value; -1 where there is none."""
    if m == PUTTS:
        return GREENS, PUTTS_ON_GREENS
    if m == UPDOWNS:
        return PUTTS, UPDOWNS_ON_PUTTS
    if m == PENALTIES:
        return GREENS, PENALTIES_ON_GREENS
    return -1, -1


@njit(cache=True, nogil=True, error_model="numpy")
def loads_of(block: Any, club: Any, at: Any, t: Any, loads: Any, load: Any, mix: Any, open_: Any) -> None:
    """Loads, mixes and luck left open of a block, before earlier measurements are taken out of later ones."""
    load[:, :], mix[:, :], open_[:] = 0.0, 0.0, 0.0
    for k in range(4):
        if block[SEEN + k]:
            load[k, k] = 1.0
    for stat in range(5):
        m = GREENS + stat
        if not block[SEEN + m]:
            continue
        if stat != 2 and stat != 4:
            load[m, 4 + min(stat, 2)] = 1.0
        for k in range(4):
            load[m, k] = loads[stat, k]
            if block[DOCUMENTED] and block[SEEN + k]:
                mix[m, k] = t[STAT_SHARE] * loads[stat, k]
        first, name = leans_on(m)
        if first >= 0 and club[first] > 0.0:
            if block[SEEN + first]:
                mix[m, first] = t[name]
            else:
                open_[m] = t[name] ** 2 * _luck(club, t, first - GREENS)
    if block[SEEN + SCORE]:
        for k in range(4):
            load[SCORE, k] = 1.0
        if not block[DOCUMENTED]:
            open_[SCORE] = _lean(block, club, t, mix)
    if block[SEEN + TEST]:
        load[TEST, block[TEST_AREA]] = t[at[TESTS] + TEST_WIDTH * block[WHICH_TEST] + TEST_SLOPE]


@njit(cache=True, nogil=True, error_model="numpy")
def _lean(block: Any, club: Any, t: Any, mix: Any) -> float:
    """How a score leans on the luck of the stats (into ``mix``), and the variance left open."""
    left = 0.0
    for m in (GREENS, UPDOWNS, PENALTIES):
        if club[m] > 0.0:
            day = t[STAT + 4 * (m - GREENS) + DAY]
            if block[SEEN + m]:
                mix[SCORE, m] = -day if m == GREENS else day
            else:
                left += day**2 * _luck(club, t, m - GREENS)
    if club[PUTTS] > 0.0:
        day, own = t[STAT + 4 * 1 + DAY], _luck(club, t, 1)
        if not block[SEEN + PUTTS]:
            left += day**2 * own
        elif block[SEEN + GREENS] or not club[GREENS] > 0.0:
            mix[SCORE, PUTTS] = day
        else:
            kappa, greens, on = t[PUTTS_ON_GREENS], _luck(club, t, 0), t[STAT + 4 * 0 + DAY]
            both = own + kappa**2 * greens
            lean = (day * own - on * kappa * greens) / both
            mix[SCORE, PUTTS] = lean
            left += day**2 * own - lean**2 * both
    return left


@njit(cache=True, nogil=True, error_model="numpy")
def _lean_back(block: Any, club: Any, t: Any, g: Any, d_mix: Any, d_left: float) -> None:
    for m in (GREENS, UPDOWNS, PENALTIES):
        if club[m] > 0.0:
            stat = m - GREENS
            day = t[STAT + 4 * stat + DAY]
            if block[SEEN + m]:
                g[STAT + 4 * stat + DAY] += -d_mix[SCORE, m] if m == GREENS else d_mix[SCORE, m]
            else:
                g[STAT + 4 * stat + DAY] += d_left * 2.0 * day * _luck(club, t, stat)
                _luck_back(club, t, g, stat, d_left * day**2)
    if club[PUTTS] > 0.0:
        day, own = t[STAT + 4 * 1 + DAY], _luck(club, t, 1)
        if not block[SEEN + PUTTS]:
            g[STAT + 4 * 1 + DAY] += d_left * 2.0 * day * own
            _luck_back(club, t, g, 1, d_left * day**2)
        elif block[SEEN + GREENS] or not club[GREENS] > 0.0:
            g[STAT + 4 * 1 + DAY] += d_mix[SCORE, PUTTS]
        else:
            kappa, greens, on = t[PUTTS_ON_GREENS], _luck(club, t, 0), t[STAT + 4 * 0 + DAY]
            both = own + kappa**2 * greens
            top = day * own - on * kappa * greens
            lean = top / both
            d_lean = d_mix[SCORE, PUTTS] - d_left * 2.0 * lean * both
            d_both = -d_left * lean**2 - d_lean * lean / both
            d_top = d_lean / both
            g[STAT + 4 * 1 + DAY] += d_left * 2.0 * day * own + d_top * own
            g[STAT + 4 * 0 + DAY] -= d_top * kappa * greens
            _luck_back(club, t, g, 1, d_left * day**2 + d_top * day + d_both)
            _luck_back(club, t, g, 0, d_both * kappa**2 - d_top * on * kappa)
            g[PUTTS_ON_GREENS] += d_both * 2.0 * kappa * greens - d_top * on * greens


@njit(cache=True, nogil=True, error_model="numpy")
def loads_back(
    block: Any, club: Any, at: Any, t: Any, g: Any, loads: Any, d_load: Any, d_mix: Any, d_open: Any,
    d_loads: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`loads_of` back to the population's and to ``d_loads``."""
    for stat in range(5):
        m = GREENS + stat
        if not block[SEEN + m]:
            continue
        for k in range(4):
            d_loads[stat, k] += d_load[m, k]
            if block[DOCUMENTED] and block[SEEN + k]:
                g[STAT_SHARE] += d_mix[m, k] * loads[stat, k]
                d_loads[stat, k] += d_mix[m, k] * t[STAT_SHARE]
        first, name = leans_on(m)
        if first >= 0 and club[first] > 0.0:
            if block[SEEN + first]:
                g[name] += d_mix[m, first]
            else:
                g[name] += d_open[m] * 2.0 * t[name] * _luck(club, t, first - GREENS)
                _luck_back(club, t, g, first - GREENS, d_open[m] * t[name] ** 2)
    if block[SEEN + SCORE] and not block[DOCUMENTED]:
        _lean_back(block, club, t, g, d_mix, d_open[SCORE])
    if block[SEEN + TEST]:
        g[at[TESTS] + TEST_WIDTH * block[WHICH_TEST] + TEST_SLOPE] += d_load[TEST, block[TEST_AREA]]

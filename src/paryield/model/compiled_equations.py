"""Residuals and variances of a block of occasions, compiled, and their gradient (see compiled_rows).

Loads and mixes are numbers of the block (compiled_loads); residuals and variances stand by occasion. The one
exception is a score beside measured areas: it leans on each area by ``part`` (4, lane).

Numba keeps what it compiled as long as this file stays: a change of the layout changes it too (layout 3).
"""

from __future__ import annotations

from typing import Any

from numba import njit

from paryield.model.compiled_layout import (
    AREA_DAY,
    DOCUMENTED,
    ERROR,
    GREENS,
    INTERCEPT,
    NEWNESS,
    NOISE,
    NOISE_GUESS,
    OFFSET,
    REST,
    SCORE,
    SEEN,
    SHARE,
    SPREAD,
    STAT,
    STAT_SHARE,
    STAT_SPREAD,
    TEST,
    TEST_AREA,
    TEST_LUCK,
    TEST_MIDDLE,
    TEST_NEW,
    TEST_SLOPE,
    TEST_WIDTH,
    TESTS,
    VALUE,
    WHICH_TEST,
)


@njit(cache=True, nogil=True, error_model="numpy")
def equations(
    x: Any, block: Any, at: Any, t: Any, n: int, lost: Any, harder: Any, spread: Any, loads: Any,
    open_: Any, reference: float, bare: Any, variance: Any, part: Any,
) -> None:  # fmt: skip
    """Residual (before earlier ones are taken out) and variance of each measurement, (T, lane)."""
    doc = block[DOCUMENTED] > 0
    for k in range(4):
        if block[SEEN + k]:
            share, offset, day = t[SHARE + k], t[SHARE + k] * t[OFFSET], t[AREA_DAY + k] ** 2
            for i in range(n):
                bare[k, i] = x[VALUE + k, i] - offset - share * harder[i] - lost[k, i]
            for i in range(n):
                variance[k, i] = day * spread[i] ** 2 + x[ERROR + k, i] ** 2
            for i in range(n):
                part[k, i] = day * spread[i] ** 2 / variance[k, i]
    for stat in range(5):
        m = GREENS + stat
        if not block[SEEN + m]:
            continue
        middle, scale = t[STAT + 4 * stat + INTERCEPT], t[STAT + 4 * stat + SPREAD] ** 2
        if doc:
            scale *= t[STAT_SPREAD] ** 2
        for k in range(4):
            middle -= loads[stat, k] * t[SHARE + k] * reference
        for i in range(n):
            bare[m, i] = x[VALUE + m, i] - middle
        for i in range(n):
            variance[m, i] = scale * x[ERROR + m, i] ** 2 + open_[m]
        for k in range(4):
            if loads[stat, k] != 0.0:
                for i in range(n):
                    bare[m, i] -= loads[stat, k] * lost[k, i]
                if doc and not block[SEEN + k]:
                    reach = (t[STAT_SHARE] * loads[stat, k] * t[AREA_DAY + k]) ** 2
                    for i in range(n):
                        variance[m, i] += reach * spread[i] ** 2
    if block[SEEN + SCORE]:
        for i in range(n):
            bare[SCORE, i] = x[VALUE + SCORE, i] - harder[i]
        for k in range(4):
            for i in range(n):
                bare[SCORE, i] -= lost[k, i]
        own = t[REST] ** 2 if doc else 1.0
        for i in range(n):
            variance[SCORE, i] = own * spread[i] ** 2 + open_[SCORE]
        if doc:
            for k in range(4):
                day = t[AREA_DAY + k] ** 2
                for i in range(n):
                    known = part[k, i] if block[SEEN + k] else 0.0
                    variance[SCORE, i] += day * spread[i] ** 2 * (1.0 - known)
        for i in range(n):
            variance[SCORE, i] *= x[ERROR + SCORE, i] ** 2
    if block[SEEN + TEST]:
        q, k = at[TESTS] + TEST_WIDTH * block[WHICH_TEST], block[TEST_AREA]
        slope, new = t[q + TEST_SLOPE], t[q + TEST_NEW]
        middle = t[q + TEST_MIDDLE] - slope * t[SHARE + k] * reference
        for i in range(n):
            bare[TEST, i] = x[VALUE + TEST, i] - middle - slope * (lost[k, i] + new * x[NEWNESS, i])
        for i in range(n):
            variance[TEST, i] = (t[TEST_LUCK] * x[ERROR + TEST, i]) ** 2


@njit(cache=True, nogil=True, error_model="numpy")
def equations_back(
    x: Any, block: Any, at: Any, t: Any, g: Any, n: int, lost: Any, harder: Any, spread: Any, loads: Any,
    reference: float, variance: Any, part: Any, d_bare: Any, d_variance: Any, d_part: Any, d_lost: Any,
    d_harder: Any, d_spread: Any, d_loads: Any, d_open: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`equations` back; overwrites those by lost, harder, spread and open."""
    doc = block[DOCUMENTED] > 0
    for i in range(n):
        d_harder[i], d_spread[i] = 0.0, 0.0
        for k in range(4):
            d_lost[k, i] = 0.0
    d_open[:] = 0.0
    if block[SEEN + TEST]:
        _test_back(x, block, at, t, g, n, lost, reference, d_bare, d_variance, d_lost)
    if block[SEEN + SCORE]:
        for i in range(n):
            d_harder[i] -= d_bare[SCORE, i]
        for k in range(4):
            for i in range(n):
                d_lost[k, i] -= d_bare[SCORE, i]
        own, total = t[REST] ** 2 if doc else 1.0, 0.0
        for i in range(n):
            d_variance[SCORE, i] *= x[ERROR + SCORE, i] ** 2
        for i in range(n):
            d_spread[i] += d_variance[SCORE, i] * 2.0 * own * spread[i]
        for i in range(n):
            total += d_variance[SCORE, i]
        d_open[SCORE] = total
        if doc:
            total = 0.0
            for i in range(n):
                total += d_variance[SCORE, i] * spread[i] ** 2
            g[REST] += 2.0 * t[REST] * total
            for k in range(4):
                day, total = t[AREA_DAY + k], 0.0
                for i in range(n):
                    by = d_variance[SCORE, i]
                    if block[SEEN + k]:
                        d_part[k, i] -= by * (day * spread[i]) ** 2
                        by *= 1.0 - part[k, i]
                    total += by * spread[i] ** 2
                    d_spread[i] += by * 2.0 * day**2 * spread[i]
                g[AREA_DAY + k] += 2.0 * day * total
    for stat in range(5):
        if block[SEEN + GREENS + stat]:
            _stat_back(
                x, block, t, g, n, stat, lost, spread, loads, reference, d_bare, d_variance, d_lost, d_spread,
                d_loads, d_open,
            )  # fmt: skip
    for k in range(4):
        if block[SEEN + k]:
            share, day, offset, by_share, by_day = t[SHARE + k], t[AREA_DAY + k], t[OFFSET], 0.0, 0.0
            total = 0.0
            for i in range(n):
                luck = (day * spread[i]) ** 2
                # part = luck / variance
                d_luck = d_part[k, i] / variance[k, i]
                d_luck += d_variance[k, i] - d_part[k, i] * part[k, i] / variance[k, i]
                by_day += d_luck * luck
                d_spread[i] += 2.0 * d_luck * day**2 * spread[i]
            for i in range(n):
                total += d_bare[k, i]
                by_share += d_bare[k, i] * (offset + harder[i])
                d_harder[i] -= share * d_bare[k, i]
            for i in range(n):
                d_lost[k, i] -= d_bare[k, i]
            g[AREA_DAY + k] += 2.0 * by_day / day
            g[SHARE + k] -= by_share
            g[OFFSET] -= share * total
    total = 0.0
    for i in range(n):
        total += d_spread[i] * x[NOISE_GUESS, i]
    g[NOISE] += total


@njit(cache=True, nogil=True, error_model="numpy")
def _stat_back(
    x: Any, block: Any, t: Any, g: Any, n: int, stat: int, lost: Any, spread: Any, loads: Any,
    reference: float, d_bare: Any, d_variance: Any, d_lost: Any, d_spread: Any, d_loads: Any, d_open: Any,
) -> None:  # fmt: skip
    m, doc = GREENS + stat, block[DOCUMENTED] > 0
    bares, luck, opened = 0.0, 0.0, 0.0
    for i in range(n):
        bares += d_bare[m, i]
        opened += d_variance[m, i]
        luck += d_variance[m, i] * x[ERROR + m, i] ** 2
    g[STAT + 4 * stat + INTERCEPT] -= bares
    d_open[m] = opened
    sd, tighter = t[STAT + 4 * stat + SPREAD], t[STAT_SPREAD] if doc else 1.0
    g[STAT + 4 * stat + SPREAD] += 2.0 * sd * tighter**2 * luck
    if doc:
        g[STAT_SPREAD] += 2.0 * tighter * sd**2 * luck
    for k in range(4):
        load, total = loads[stat, k], 0.0
        for i in range(n):
            total += d_bare[m, i] * lost[k, i]
        d_loads[stat, k] += bares * t[SHARE + k] * reference - total
        g[SHARE + k] += bares * load * reference
        if load != 0.0:
            for i in range(n):
                d_lost[k, i] -= load * d_bare[m, i]
        if doc and not block[SEEN + k]:
            reach, total = t[STAT_SHARE] * load * t[AREA_DAY + k], 0.0
            for i in range(n):
                total += d_variance[m, i] * spread[i] ** 2
                d_spread[i] += d_variance[m, i] * 2.0 * reach**2 * spread[i]
            g[STAT_SHARE] += 2.0 * reach * load * t[AREA_DAY + k] * total
            d_loads[stat, k] += 2.0 * reach * t[STAT_SHARE] * t[AREA_DAY + k] * total
            g[AREA_DAY + k] += 2.0 * reach * t[STAT_SHARE] * load * total


@njit(cache=True, nogil=True, error_model="numpy")
def _test_back(
    x: Any, block: Any, at: Any, t: Any, g: Any, n: int, lost: Any, reference: float, d_bare: Any,
    d_variance: Any, d_lost: Any,
) -> None:  # fmt: skip
    q, k = at[TESTS] + TEST_WIDTH * block[WHICH_TEST], block[TEST_AREA]
    slope, new = t[q + TEST_SLOPE], t[q + TEST_NEW]
    bares, by_lost, by_new, luck = 0.0, 0.0, 0.0, 0.0
    for i in range(n):
        bares += d_bare[TEST, i]
        by_lost += d_bare[TEST, i] * lost[k, i]
        by_new += d_bare[TEST, i] * x[NEWNESS, i]
        luck += d_variance[TEST, i] * x[ERROR + TEST, i] ** 2
        d_lost[k, i] -= d_bare[TEST, i] * slope
    g[q + TEST_MIDDLE] -= bares
    g[q + TEST_SLOPE] += bares * t[SHARE + k] * reference - by_lost - new * by_new
    g[q + TEST_NEW] -= slope * by_new
    g[TEST_LUCK] += 2.0 * t[TEST_LUCK] * luck
    g[SHARE + k] += bares * slope * reference

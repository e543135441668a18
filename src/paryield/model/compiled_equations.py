"""Residuals and variances of a block of occasions, compiled, and their gradient (see compiled_rows).

Loads and mixes are numbers of the block (compiled_loads); residuals and variances stand by occasion. The one
exception is a score beside measured areas: it leans on each area by ``part`` (4, lane).

Numba keeps what it compiled as long as this file stays: a change of the layout changes it too (layout 4).
"""

from __future__ import annotations

from typing import Any

from paryield.model import compiled_layout as c


@c.inner
def equations(
    x: Any, block: Any, at: Any, t: Any, n: int, lost: Any, harder: Any, spread: Any, loads: Any,
    open_: Any, reference: float, bare: Any, variance: Any, part: Any,
) -> None:  # fmt: skip
    """Residual (before earlier ones are taken out) and variance of each measurement, (T, lane)."""
    doc = block[c.DOCUMENTED] > 0
    for k in range(4):
        if block[c.SEEN + k]:
            share, offset, day = t[c.SHARE + k], t[c.SHARE + k] * t[c.OFFSET], t[c.AREA_DAY + k] ** 2
            for i in range(n):
                bare[k, i] = x[c.VALUE + k, i] - offset - share * harder[i] - lost[k, i]
            for i in range(n):
                variance[k, i] = day * spread[i] ** 2 + x[c.ERROR + k, i] ** 2
            for i in range(n):
                part[k, i] = day * spread[i] ** 2 / variance[k, i]
    for stat in range(5):
        m = c.GREENS + stat
        if not block[c.SEEN + m]:
            continue
        middle, scale = t[c.STAT + 4 * stat + c.INTERCEPT], t[c.STAT + 4 * stat + c.SPREAD] ** 2
        if doc:
            scale *= t[c.STAT_SPREAD] ** 2
        for k in range(4):
            middle -= loads[stat, k] * t[c.SHARE + k] * reference
        for i in range(n):
            bare[m, i] = x[c.VALUE + m, i] - middle
        for i in range(n):
            variance[m, i] = scale * x[c.ERROR + m, i] ** 2 + open_[m]
        for k in range(4):
            if loads[stat, k] != 0.0:
                for i in range(n):
                    bare[m, i] -= loads[stat, k] * lost[k, i]
                if doc and not block[c.SEEN + k]:
                    reach = (t[c.STAT_SHARE] * loads[stat, k] * t[c.AREA_DAY + k]) ** 2
                    for i in range(n):
                        variance[m, i] += reach * spread[i] ** 2
    if block[c.SEEN + c.SCORE]:
        for i in range(n):
            bare[c.SCORE, i] = x[c.VALUE + c.SCORE, i] - harder[i]
        for k in range(4):
            for i in range(n):
                bare[c.SCORE, i] -= lost[k, i]
        own = t[c.REST] ** 2 if doc else 1.0
        for i in range(n):
            variance[c.SCORE, i] = own * spread[i] ** 2 + open_[c.SCORE]
        if doc:
            for k in range(4):
                day = t[c.AREA_DAY + k] ** 2
                for i in range(n):
                    known = part[k, i] if block[c.SEEN + k] else 0.0
                    variance[c.SCORE, i] += day * spread[i] ** 2 * (1.0 - known)
        for i in range(n):
            variance[c.SCORE, i] *= x[c.ERROR + c.SCORE, i] ** 2
    if block[c.SEEN + c.TEST]:
        q, k = at[c.TESTS] + c.TEST_WIDTH * block[c.WHICH_TEST], block[c.TEST_AREA]
        slope, new = t[q + c.TEST_SLOPE], t[q + c.TEST_NEW]
        middle = t[q + c.TEST_MIDDLE] - slope * t[c.SHARE + k] * reference
        for i in range(n):
            bare[c.TEST, i] = x[c.VALUE + c.TEST, i] - middle - slope * (lost[k, i] + new * x[c.NEWNESS, i])
        for i in range(n):
            variance[c.TEST, i] = (t[c.TEST_LUCK] * x[c.ERROR + c.TEST, i]) ** 2


@c.inner
def equations_back(
    x: Any, block: Any, at: Any, t: Any, g: Any, n: int, lost: Any, harder: Any, spread: Any, loads: Any,
    reference: float, variance: Any, part: Any, d_bare: Any, d_variance: Any, d_part: Any, d_lost: Any,
    d_harder: Any, d_spread: Any, d_loads: Any, d_open: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`equations` back; overwrites those by lost, harder, spread and open.

    Of a score, in a documented round and in others, and of an area, with ``luck = (day spread)^2``::

        bare = value - harder - sum_k lost_k
        variance = error^2 (rest^2 spread^2 + open + sum_k luck_k (1 - part_k)) or error^2 (spread^2 + open)
        bare = value - share (offset + harder) - lost
        variance = luck + error^2        part = luck / variance
    """
    doc = block[c.DOCUMENTED] > 0
    for i in range(n):
        d_harder[i], d_spread[i] = 0.0, 0.0
        for k in range(4):
            d_lost[k, i] = 0.0
    d_open[:] = 0.0
    if block[c.SEEN + c.TEST]:
        _test_back(x, block, at, t, g, n, lost, reference, d_bare, d_variance, d_lost)
    if block[c.SEEN + c.SCORE]:
        for i in range(n):
            d_harder[i] -= d_bare[c.SCORE, i]
        for k in range(4):
            for i in range(n):
                d_lost[k, i] -= d_bare[c.SCORE, i]
        own, total = t[c.REST] ** 2 if doc else 1.0, 0.0
        for i in range(n):
            d_variance[c.SCORE, i] *= x[c.ERROR + c.SCORE, i] ** 2
        for i in range(n):
            d_spread[i] += d_variance[c.SCORE, i] * 2.0 * own * spread[i]
        for i in range(n):
            total += d_variance[c.SCORE, i]
        d_open[c.SCORE] = total
        if doc:
            total = 0.0
            for i in range(n):
                total += d_variance[c.SCORE, i] * spread[i] ** 2
            g[c.REST] += 2.0 * t[c.REST] * total
            for k in range(4):
                day, total = t[c.AREA_DAY + k], 0.0
                for i in range(n):
                    by = d_variance[c.SCORE, i]
                    if block[c.SEEN + k]:
                        d_part[k, i] -= by * (day * spread[i]) ** 2
                        by *= 1.0 - part[k, i]
                    total += by * spread[i] ** 2
                    d_spread[i] += by * 2.0 * day**2 * spread[i]
                g[c.AREA_DAY + k] += 2.0 * day * total
    for stat in range(5):
        if block[c.SEEN + c.GREENS + stat]:
            _stat_back(
                x, block, t, g, n, stat, lost, spread, loads, reference, d_bare, d_variance, d_lost, d_spread,
                d_loads, d_open,
            )  # fmt: skip
    for k in range(4):
        if block[c.SEEN + k]:
            share, day, offset, by_share, by_day = t[c.SHARE + k], t[c.AREA_DAY + k], t[c.OFFSET], 0.0, 0.0
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
            g[c.AREA_DAY + k] += 2.0 * by_day / day
            g[c.SHARE + k] -= by_share
            g[c.OFFSET] -= share * total
    total = 0.0
    for i in range(n):
        total += d_spread[i] * x[c.NOISE_GUESS, i]
    g[c.NOISE] += total


@c.inner
def _stat_back(
    x: Any, block: Any, t: Any, g: Any, n: int, stat: int, lost: Any, spread: Any, loads: Any,
    reference: float, d_bare: Any, d_variance: Any, d_lost: Any, d_spread: Any, d_loads: Any, d_open: Any,
) -> None:  # fmt: skip
    """Of a stat, the last sum over areas that were not measured::

    bare = value - intercept - sum_k load_k (lost_k - share_k reference)
    variance = (sd tighter error)^2 + open + sum_k (stat_share load_k day_k spread)^2
    """
    m, doc = c.GREENS + stat, block[c.DOCUMENTED] > 0
    bares, luck, opened = 0.0, 0.0, 0.0
    for i in range(n):
        bares += d_bare[m, i]
        opened += d_variance[m, i]
        luck += d_variance[m, i] * x[c.ERROR + m, i] ** 2
    g[c.STAT + 4 * stat + c.INTERCEPT] -= bares
    d_open[m] = opened
    sd, tighter = t[c.STAT + 4 * stat + c.SPREAD], t[c.STAT_SPREAD] if doc else 1.0
    g[c.STAT + 4 * stat + c.SPREAD] += 2.0 * sd * tighter**2 * luck
    if doc:
        g[c.STAT_SPREAD] += 2.0 * tighter * sd**2 * luck
    for k in range(4):
        load, total = loads[stat, k], 0.0
        for i in range(n):
            total += d_bare[m, i] * lost[k, i]
        d_loads[stat, k] += bares * t[c.SHARE + k] * reference - total
        g[c.SHARE + k] += bares * load * reference
        if load != 0.0:
            for i in range(n):
                d_lost[k, i] -= load * d_bare[m, i]
        if doc and not block[c.SEEN + k]:
            reach, total = t[c.STAT_SHARE] * load * t[c.AREA_DAY + k], 0.0
            for i in range(n):
                total += d_variance[m, i] * spread[i] ** 2
                d_spread[i] += d_variance[m, i] * 2.0 * reach**2 * spread[i]
            g[c.STAT_SHARE] += 2.0 * reach * load * t[c.AREA_DAY + k] * total
            d_loads[stat, k] += 2.0 * reach * t[c.STAT_SHARE] * t[c.AREA_DAY + k] * total
            g[c.AREA_DAY + k] += 2.0 * reach * t[c.STAT_SHARE] * load * total


@c.inner
def _test_back(
    x: Any, block: Any, at: Any, t: Any, g: Any, n: int, lost: Any, reference: float, d_bare: Any,
    d_variance: Any, d_lost: Any,
) -> None:  # fmt: skip
    """Of ``bare = value - middle - slope (lost - share reference + new newness)``; ``(luck error)^2``."""
    q, k = at[c.TESTS] + c.TEST_WIDTH * block[c.WHICH_TEST], block[c.TEST_AREA]
    slope, new = t[q + c.TEST_SLOPE], t[q + c.TEST_NEW]
    bares, by_lost, by_new, luck = 0.0, 0.0, 0.0, 0.0
    for i in range(n):
        bares += d_bare[c.TEST, i]
        by_lost += d_bare[c.TEST, i] * lost[k, i]
        by_new += d_bare[c.TEST, i] * x[c.NEWNESS, i]
        luck += d_variance[c.TEST, i] * x[c.ERROR + c.TEST, i] ** 2
        d_lost[k, i] -= d_bare[c.TEST, i] * slope
    g[q + c.TEST_MIDDLE] -= bares
    g[q + c.TEST_SLOPE] += bares * t[c.SHARE + k] * reference - by_lost - new * by_new
    g[q + c.TEST_NEW] -= slope * by_new
    g[c.TEST_LUCK] += 2.0 * t[c.TEST_LUCK] * luck
    g[c.SHARE + k] += bares * slope * reference

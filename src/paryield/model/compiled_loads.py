"""Loads and mixes of a block of occasions, compiled, and their gradient (see compiled_rows).

In one block the same was measured at every occasion, so that these are numbers of the block.

Numba keeps what it compiled as long as this file stays: a change of the layout changes it too (layout 4).
"""

from __future__ import annotations

from typing import Any

from paryield.model import compiled_layout as c


@c.inner
def stat_loads(club: Any, t: Any, out: Any) -> None:
    """How each stat moves with strokes lost by area, shape (stat, area)."""
    out[0, 0], out[0, 1] = -club[c.COUNT] * t[c.STAT + 4 * 0 + c.SLOPE], -t[c.STAT + 4 * 0 + c.SLOPE]
    out[1, 2], out[1, 3] = t[c.PUTTS_SHORT], t[c.STAT + 4 * 1 + c.SLOPE]
    out[2, 0] = -t[c.STAT + 4 * 2 + c.SLOPE]
    out[3, 2], out[3, 3] = -t[c.STAT + 4 * 3 + c.SLOPE], -club[c.COUNT + 1] * t[c.STAT + 4 * 3 + c.SLOPE]
    out[4, 0], out[4, 1] = t[c.STAT + 4 * 4 + c.SLOPE], club[c.COUNT + 2] * t[c.STAT + 4 * 4 + c.SLOPE]


@c.inner
def stat_loads_back(club: Any, d_loads: Any, g: Any) -> None:
    """A load of :func:`stat_loads` is a constant times a value: that gets the constant times d_load."""
    g[c.STAT + 4 * 0 + c.SLOPE] -= club[c.COUNT] * d_loads[0, 0] + d_loads[0, 1]
    g[c.PUTTS_SHORT] += d_loads[1, 2]
    g[c.STAT + 4 * 1 + c.SLOPE] += d_loads[1, 3]
    g[c.STAT + 4 * 2 + c.SLOPE] -= d_loads[2, 0]
    g[c.STAT + 4 * 3 + c.SLOPE] -= d_loads[3, 2] + club[c.COUNT + 1] * d_loads[3, 3]
    g[c.STAT + 4 * 4 + c.SLOPE] += d_loads[4, 0] + club[c.COUNT + 2] * d_loads[4, 1]


@c.inner
def _luck(club: Any, t: Any, stat: int) -> float:
    """Variance of a stat's luck in a typical round; 0 where the club does not keep it."""
    return (t[c.STAT + 4 * stat + c.SPREAD] * club[4 + stat]) ** 2 if club[4 + stat] > 0.0 else 0.0


@c.inner
def _luck_back(club: Any, t: Any, g: Any, stat: int, by: float) -> None:
    """Of ``luck = (sd typical)^2``: ``d_sd = 2 sd typical^2``."""
    g[c.STAT + 4 * stat + c.SPREAD] += by * 2.0 * t[c.STAT + 4 * stat + c.SPREAD] * club[4 + stat] ** 2


@c.inner
def leans_on(m: int) -> tuple[int, int]:
    """The stat on which another leans, and by which population value; -1 where there is none."""
    if m == c.PUTTS:
        return c.GREENS, c.PUTTS_ON_GREENS
    if m == c.UPDOWNS:
        return c.PUTTS, c.UPDOWNS_ON_PUTTS
    if m == c.PENALTIES:
        return c.GREENS, c.PENALTIES_ON_GREENS
    return -1, -1


@c.inner
def loads_of(block: Any, club: Any, at: Any, t: Any, loads: Any, load: Any, mix: Any, open_: Any) -> None:
    """Loads, mixes and luck left open of a block, before earlier measurements are taken out of later ones."""
    load[:, :], mix[:, :], open_[:] = 0.0, 0.0, 0.0
    for k in range(4):
        if block[c.SEEN + k]:
            load[k, k] = 1.0
    for stat in range(5):
        m = c.GREENS + stat
        if not block[c.SEEN + m]:
            continue
        if stat != 2 and stat != 4:
            load[m, 4 + min(stat, 2)] = 1.0
        for k in range(4):
            load[m, k] = loads[stat, k]
            if block[c.DOCUMENTED] and block[c.SEEN + k]:
                mix[m, k] = t[c.STAT_SHARE] * loads[stat, k]
        first, name = leans_on(m)
        if first >= 0 and club[first] > 0.0:
            if block[c.SEEN + first]:
                mix[m, first] = t[name]
            else:
                open_[m] = t[name] ** 2 * _luck(club, t, first - c.GREENS)
    if block[c.SEEN + c.SCORE]:
        for k in range(4):
            load[c.SCORE, k] = 1.0
        if not block[c.DOCUMENTED]:
            open_[c.SCORE] = _lean(block, club, t, mix)
    if block[c.SEEN + c.TEST]:
        load[c.TEST, block[c.TEST_AREA]] = t[at[c.TESTS] + c.TEST_WIDTH * block[c.WHICH_TEST] + c.TEST_SLOPE]


@c.inner
def _lean(block: Any, club: Any, t: Any, mix: Any) -> float:
    """How a score leans on the luck of the stats (into ``mix``), and the variance left open."""
    left = 0.0
    for m in (c.GREENS, c.UPDOWNS, c.PENALTIES):
        if club[m] > 0.0:
            day = t[c.STAT + 4 * (m - c.GREENS) + c.DAY]
            if block[c.SEEN + m]:
                mix[c.SCORE, m] = -day if m == c.GREENS else day
            else:
                left += day**2 * _luck(club, t, m - c.GREENS)
    if club[c.PUTTS] > 0.0:
        day, own = t[c.STAT + 4 * 1 + c.DAY], _luck(club, t, 1)
        if not block[c.SEEN + c.PUTTS]:
            left += day**2 * own
        elif block[c.SEEN + c.GREENS] or not club[c.GREENS] > 0.0:
            mix[c.SCORE, c.PUTTS] = day
        else:
            kappa, greens, on = t[c.PUTTS_ON_GREENS], _luck(club, t, 0), t[c.STAT + 4 * 0 + c.DAY]
            both = own + kappa**2 * greens
            lean = (day * own - on * kappa * greens) / both
            mix[c.SCORE, c.PUTTS] = lean
            left += day**2 * own - lean**2 * both
    return left


@c.inner
def _lean_back(block: Any, club: Any, t: Any, g: Any, d_mix: Any, d_left: float) -> None:
    """Carry derivatives of :func:`_lean` back.

    A stat that was counted: ``mix = day`` (greens: ``-day``). One that was not: ``left += day^2 luck``. Putts
    without greens, ``own`` and ``greens`` their lucks::

        lean = top / both        top = day own - on kappa greens        both = own + kappa^2 greens
        left += day^2 own - lean^2 both
        d_lean = d_mix - 2 lean both d_left
        d_both = -lean^2 d_left - lean / both d_lean        d_top = d_lean / both
    """
    for m in (c.GREENS, c.UPDOWNS, c.PENALTIES):
        if club[m] > 0.0:
            stat = m - c.GREENS
            day = t[c.STAT + 4 * stat + c.DAY]
            if block[c.SEEN + m]:
                g[c.STAT + 4 * stat + c.DAY] += -d_mix[c.SCORE, m] if m == c.GREENS else d_mix[c.SCORE, m]
            else:
                g[c.STAT + 4 * stat + c.DAY] += d_left * 2.0 * day * _luck(club, t, stat)
                _luck_back(club, t, g, stat, d_left * day**2)
    if club[c.PUTTS] > 0.0:
        day, own = t[c.STAT + 4 * 1 + c.DAY], _luck(club, t, 1)
        if not block[c.SEEN + c.PUTTS]:
            g[c.STAT + 4 * 1 + c.DAY] += d_left * 2.0 * day * own
            _luck_back(club, t, g, 1, d_left * day**2)
        elif block[c.SEEN + c.GREENS] or not club[c.GREENS] > 0.0:
            g[c.STAT + 4 * 1 + c.DAY] += d_mix[c.SCORE, c.PUTTS]
        else:
            kappa, greens, on = t[c.PUTTS_ON_GREENS], _luck(club, t, 0), t[c.STAT + 4 * 0 + c.DAY]
            both = own + kappa**2 * greens
            top = day * own - on * kappa * greens
            lean = top / both
            d_lean = d_mix[c.SCORE, c.PUTTS] - d_left * 2.0 * lean * both
            d_both = -d_left * lean**2 - d_lean * lean / both
            d_top = d_lean / both
            g[c.STAT + 4 * 1 + c.DAY] += d_left * 2.0 * day * own + d_top * own
            g[c.STAT + 4 * 0 + c.DAY] -= d_top * kappa * greens
            _luck_back(club, t, g, 1, d_left * day**2 + d_top * day + d_both)
            _luck_back(club, t, g, 0, d_both * kappa**2 - d_top * on * kappa)
            g[c.PUTTS_ON_GREENS] += d_both * 2.0 * kappa * greens - d_top * on * greens


@c.inner
def loads_back(
    block: Any, club: Any, at: Any, t: Any, g: Any, loads: Any, d_load: Any, d_mix: Any, d_open: Any,
    d_loads: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`loads_of` back to the population's and to ``d_loads``.

    Of ``load = loads``, ``mix = stat_share loads`` on measured areas, ``mix = by`` on an earlier stat and
    ``open = by^2 luck`` where that was not counted; the load of a test is its slope.
    """
    for stat in range(5):
        m = c.GREENS + stat
        if not block[c.SEEN + m]:
            continue
        for k in range(4):
            d_loads[stat, k] += d_load[m, k]
            if block[c.DOCUMENTED] and block[c.SEEN + k]:
                g[c.STAT_SHARE] += d_mix[m, k] * loads[stat, k]
                d_loads[stat, k] += d_mix[m, k] * t[c.STAT_SHARE]
        first, name = leans_on(m)
        if first >= 0 and club[first] > 0.0:
            if block[c.SEEN + first]:
                g[name] += d_mix[m, first]
            else:
                g[name] += d_open[m] * 2.0 * t[name] * _luck(club, t, first - c.GREENS)
                _luck_back(club, t, g, first - c.GREENS, d_open[m] * t[name] ** 2)
    if block[c.SEEN + c.SCORE] and not block[c.DOCUMENTED]:
        _lean_back(block, club, t, g, d_mix, d_open[c.SCORE])
    if block[c.SEEN + c.TEST]:
        g[at[c.TESTS] + c.TEST_WIDTH * block[c.WHICH_TEST] + c.TEST_SLOPE] += d_load[
            c.TEST, block[c.TEST_AREA]
        ]

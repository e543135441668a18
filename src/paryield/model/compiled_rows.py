"""The rows of :mod:`paryield.model.rows` once more, compiled, with their gradient carried back by hand.

Compiled by a general tool the rows cost several times as much as all the rest of a gradient. A test holds
the two forms equal, and the gradient to differences of the density.

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

from paryield.dose.response import HOURS_UNIT
from paryield.dose.stock import HALF_LIFE_NODES
from paryield.model.rows import KINDS, LOG_2PI

COUNT, NODES = len(KINDS), len(HALF_LIFE_NODES)
GREENS, PUTTS, FAIRWAYS, UPDOWNS, PENALTIES, SCORE, TEST = 4, 5, 6, 7, 8, 9, 10

SCALARS = (
    "level_mean", "selection", "season_cos", "season_sin", "trend", "start_shift", "competition",
    "noise_scale", "start_known", "start_new", "area_offset", "area_rest", "stat_share", "stat_spread",
    "putts_per_green", "up_and_downs_on_putts", "penalties_on_greens", "putts_short_game",
)  # fmt: skip
"""Population values that come first in ``t``, in this order; 0 where the club does not need one."""
(
    LEVEL, SELECTION, COS, SIN, TREND, SHIFT, COMPETITION, NOISE, KNOWN, NEW, OFFSET, REST, STAT_SHARE,
    STAT_SPREAD, PUTTS_ON_GREENS, UPDOWNS_ON_PUTTS, PENALTIES_ON_GREENS, PUTTS_SHORT,
) = range(len(SCALARS))  # fmt: skip
STAT_VALUES = ("intercept", "sd", "slope", "day")
INTERCEPT, SPREAD, SLOPE, DAY = range(4)
STAT = len(SCALARS)
SHARE = STAT + 5 * len(STAT_VALUES)
AREA_DAY = SHARE + 4
REST_OF_THETA = AREA_DAY + 4

SEEN, VALUE, ERROR = 0, COUNT, 2 * COUNT
(
    DOCUMENTED, COMPETING, YEARS, JOINING, JOINED, COSINE, SINE, NOISE_GUESS, REPEATS, WHICH_TEST, TEST_AREA,
) = range(3 * COUNT, 3 * COUNT + 11)  # fmt: skip
HABIT_AREA = TEST_AREA + 1
GAP = HABIT_AREA + 4
REST_OF_TABLE = GAP + 4

AT = (
    "CATEGORIES", "COURSE_COUNT", "PROGRAMME_COUNT", "COURSES", "PROGRAMMES", "TESTS", "WEIGHTS", "STEADY",
    "RATES", "AT_COURSE", "AT_EXPOSURE", "AT_HABIT", "AT_STOCK", "AT_HELD",
)  # fmt: skip
"""What the places of ``at`` hold: three lengths, beginnings in ``t``, beginnings in ``x``."""
(
    CATEGORIES, COURSE_COUNT, PROGRAMME_COUNT, COURSES, PROGRAMMES, TESTS, WEIGHTS, STEADY, RATES,
    AT_COURSE, AT_EXPOSURE, AT_HABIT, AT_STOCK, AT_HELD,
) = range(len(AT))  # fmt: skip

_FAST = {"reassoc", "contract", "nsz"}


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _gap(x: Any, at: Any, t: Any, r: int, bend: float, work: Any, left: Any, turned: Any) -> float:
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _gap_back(
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _common(x: Any, club: Any, at: Any, t: Any, r: int) -> float:
    total = t[COS] * x[r, COSINE] + t[SIN] * x[r, SINE] - t[TREND] * x[r, YEARS] + t[SHIFT] * x[r, JOINING]
    total += t[COMPETITION] * x[r, COMPETING]
    for place in range(at[PROGRAMME_COUNT]):
        total += x[r, at[AT_EXPOSURE] + place] * t[at[PROGRAMMES] + place]
    return total


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def stat_loads(x: Any, club: Any, at: Any, t: Any) -> Any:
    """How each stat moves with strokes lost by area, shape (stat, area)."""
    out = np.zeros((5, 4))
    out[0, 0], out[0, 1] = -club[COUNT] * t[STAT + 4 * 0 + SLOPE], -t[STAT + 4 * 0 + SLOPE]
    out[1, 2], out[1, 3] = t[PUTTS_SHORT], t[STAT + 4 * 1 + SLOPE]
    out[2, 0] = -t[STAT + 4 * 2 + SLOPE]
    out[3, 2], out[3, 3] = -t[STAT + 4 * 3 + SLOPE], -club[COUNT + 1] * t[STAT + 4 * 3 + SLOPE]
    out[4, 0], out[4, 1] = t[STAT + 4 * 4 + SLOPE], club[COUNT + 2] * t[STAT + 4 * 4 + SLOPE]
    return out


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _stat_loads_back(club: Any, d_loads: Any, g: Any) -> None:
    g[STAT + 4 * 0 + SLOPE] -= club[COUNT] * d_loads[0, 0] + d_loads[0, 1]
    g[PUTTS_SHORT] += d_loads[1, 2]
    g[STAT + 4 * 1 + SLOPE] += d_loads[1, 3]
    g[STAT + 4 * 2 + SLOPE] -= d_loads[2, 0]
    g[STAT + 4 * 3 + SLOPE] -= d_loads[3, 2] + club[COUNT + 1] * d_loads[3, 3]
    g[STAT + 4 * 4 + SLOPE] += d_loads[4, 0] + club[COUNT + 2] * d_loads[4, 1]


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _luck(x: Any, club: Any, at: Any, t: Any, stat: int) -> float:
    """Variance of a stat's luck in a typical round; 0 where the club does not keep it."""
    return (t[STAT + 4 * stat + SPREAD] * club[4 + stat]) ** 2 if club[4 + stat] > 0.0 else 0.0


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _equations(
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
            for k in range(4):
                load[m, k] = 0.0
    for k in range(4):
        if x[r, SEEN + k] > 0.0:
            load[k, k] = 1.0
            bare[k] = x[r, VALUE + k] - t[SHARE + k] * t[OFFSET] - lost[k]
            variance[k] = (t[AREA_DAY + k] * spread) ** 2 + x[r, ERROR + k] ** 2
    for stat in range(5):
        m = GREENS + stat
        if not x[r, SEEN + m] > 0.0:
            continue
        bare[m] = x[r, VALUE + m] - t[STAT + 4 * stat + INTERCEPT]
        variance[m] = (t[STAT + 4 * stat + SPREAD] * x[r, ERROR + m]) ** 2
        if doc:
            variance[m] *= t[STAT_SPREAD] ** 2
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
        bare[SCORE] = x[r, VALUE + SCORE]
        for c in range(at[COURSE_COUNT]):
            bare[SCORE] -= x[r, at[AT_COURSE] + c] * t[at[COURSES] + c]
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _luck_back(x: Any, club: Any, at: Any, t: Any, g: Any, stat: int, by: float) -> None:
    g[STAT + 4 * stat + SPREAD] += by * 2.0 * t[STAT + 4 * stat + SPREAD] * club[4 + stat] ** 2


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _equations_back(
    x: Any, club: Any, at: Any, t: Any, g: Any,
    r: int, lost: Any, loads: Any, reference: float, variance: Any, d_bare: Any,
    d_load: Any, d_mix: Any, d_variance: Any, d_lost: Any, d_loads: Any,
) -> None:  # fmt: skip
    """Carry derivatives of the equations back; adds to ``d_lost``, ``d_loads`` and the population's."""
    spread = t[NOISE] * x[r, NOISE_GUESS]
    doc = x[r, DOCUMENTED] > 0.0
    d_spread = 0.0
    if x[r, SEEN + TEST] > 0.0:
        q = int(x[r, WHICH_TEST])
        k = int(x[r, TEST_AREA])
        g[at[TESTS] + 3 * q + 0] -= d_bare[TEST]
        g[at[TESTS] + 3 * q + 1] += d_load[TEST, k] - d_bare[TEST] * (lost[k] - t[SHARE + k] * reference)
        g[at[TESTS] + 3 * q + 2] += d_variance[TEST] * 2.0 * t[at[TESTS] + 3 * q + 2] * x[r, REPEATS]
        d_lost[k] -= d_bare[TEST] * t[at[TESTS] + 3 * q + 1]
        g[SHARE + k] += d_bare[TEST] * t[at[TESTS] + 3 * q + 1] * reference
    if x[r, SEEN + SCORE] > 0.0:
        for c in range(at[COURSE_COUNT]):
            g[at[COURSES] + c] -= x[r, at[AT_COURSE] + c] * d_bare[SCORE]
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
            g[SHARE + k] -= d_bare[k] * t[OFFSET]
            g[OFFSET] -= d_bare[k] * t[SHARE + k]
            d_lost[k] -= d_bare[k]
            g[AREA_DAY + k] += d_variance[k] * 2.0 * t[AREA_DAY + k] * spread**2
            d_spread += d_variance[k] * 2.0 * spread * t[AREA_DAY + k] ** 2
    g[NOISE] += d_spread * x[r, NOISE_GUESS]


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _mixed(x: Any, r: int, bare: Any, load: Any, mix: Any) -> None:
    """Take earlier measurements out of later ones, in place."""
    for m in range(4, TEST):
        if x[r, SEEN + m] > 0.0:
            for n in range(m):
                if mix[m, n] != 0.0:
                    bare[m] -= mix[m, n] * bare[n]
                    for k in range(4):
                        load[m, k] -= mix[m, n] * load[n, k]


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def rows_forward(
    x: Any, club: Any, at: Any, t: Any, floor: float, reference: float, bend: float, load_out: Any,
    error_out: Any, left_out: Any, respond: Any, begin: Any,
) -> float:  # fmt: skip
    """Whitened loads and residuals of all measurements.

    Writes ``load_out`` (R, T, K) and ``error_out`` (R, T) where something was measured, and ``left_out``,
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
    load, mix = np.zeros((COUNT, 4)), np.zeros((COUNT, COUNT))
    loads = stat_loads(x, club, at, t)
    each = 0.0
    for r in range(rounds):
        _gap(x, at, t, r, bend, work, left, turned)
        common = _common(x, club, at, t, r)
        for k in range(4):
            level = t[SHARE + k] * t[LEVEL] + t[SELECTION] * x[r, HABIT_AREA + k]
            lost[k] = floor + (level - floor) * left[k] + t[SHARE + k] * common
            left_out[r, k] = left[k]
            respond[r, k] = x[r, GAP + k] * (left[k] - 1.0)
            begin[r, k] = x[r, GAP + k] * turned[k]
        _equations(x, club, at, t, r, lost, loads, reference, bare, load, mix, variance)
        _mixed(x, r, bare, load, mix)
        for m in range(COUNT):
            if x[r, SEEN + m] > 0.0:
                sd = np.sqrt(variance[m])
                error_out[r, m] = bare[m] / sd
                each -= 0.5 * (bare[m] / sd) ** 2 + np.log(sd) + 0.5 * LOG_2PI
                for k in range(4):
                    load_out[r, m, k] = load[m, k] / sd
    return each


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
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
    load, mix = np.zeros((COUNT, 4)), np.zeros((COUNT, COUNT))
    d_lost, d_bare, d_variance = np.zeros(4), np.zeros(COUNT), np.zeros(COUNT)
    d_load, d_mix = np.zeros((COUNT, 4)), np.zeros((COUNT, COUNT))
    d_left, d_turned = np.zeros(4), np.zeros(4)
    loads, d_loads = stat_loads(x, club, at, t), np.zeros((5, 4))
    for r in range(rounds):
        share = _gap(x, at, t, r, bend, work, left, turned)
        common = _common(x, club, at, t, r)
        for k in range(4):
            level = t[SHARE + k] * t[LEVEL] + t[SELECTION] * x[r, HABIT_AREA + k]
            lost[k] = floor + (level - floor) * left[k] + t[SHARE + k] * common
            d_lost[k] = 0.0
        _equations(x, club, at, t, r, lost, loads, reference, bare, load, mix, variance)
        _mixed(x, r, bare, load, mix)
        for m in range(COUNT):
            d_bare[m], d_variance[m] = 0.0, 0.0
            d_load[m, :] = 0.0
            if x[r, SEEN + m] > 0.0:
                sd = np.sqrt(variance[m])
                e = bare[m] / sd
                d_bare[m] = (d_error_out[r, m] - e) / sd
                d_sd = (e**2 - 1.0 - d_error_out[r, m] * e) / sd
                for k in range(4):
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
                        for k in range(4):
                            d_mix[m, n] -= load[n, k] * d_load[m, k]
                            d_load[n, k] -= mix[m, n] * d_load[m, k]
        _equations_back(
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
        _gap_back(x, at, t, g, r, bend, work, left, turned, share, d_left, d_turned)
    _stat_loads_back(club, d_loads, g)

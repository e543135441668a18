"""The rows of :mod:`paryield.model.likelihood` once more, compiled, with their gradient carried back by hand.

A gradient is two passes over the occasions without temporary arrays. A test holds the two forms equal, and
the gradient to differences of the density.

Each occasion has up to 11 measurements in a fixed order, :data:`KINDS`. Measurement m has a residual and a
load over areas that are those of the bare equation less ``mix[m, n]`` times those of earlier
ones n, and a variance; only bare equations, ``mix`` and variances depend on the population values.

Occasions at which the same was measured are worked on side by side, in blocks of up to 64 lanes. Everything
known of a block stands in one table ``x`` (columns, lane), of the club in ``club``, the population values in
one vector ``t`` and derivatives by them in ``g``; ``at`` says where the parts of variable length begin.
:mod:`paryield.model.packing` fills them.

Numba keeps what it compiled as long as this file stays: a change of the layout changes it too (layout 4).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from paryield.model import compiled_layout as c
from paryield.model.compiled_equations import equations, equations_back
from paryield.model.compiled_gap import gap_back, gap_of
from paryield.model.compiled_loads import leans_on, loads_back, loads_of, stat_loads, stat_loads_back
from paryield.model.likelihood import LOG_2PI

RESPOND, BEGIN, FORM = 8, 9, 10
"""Places of response, start share and the first knot among a golfer's effects; level and drift come first."""


@c.inner
def _path(
    x: Any, at: Any, t: Any, n: int, floor: float, left: Any, common: Any, harder: Any, spread: Any, lost: Any
) -> None:
    """Strokes lost by area, what they have in common, the course and the spread of a block."""
    for i in range(n):
        common[i], harder[i], spread[i] = 0.0, 0.0, t[c.NOISE] * x[c.NOISE_GUESS, i]
    for place in range(at[c.TERM_COUNT]):
        weight, column = t[at[c.TERM_WEIGHTS] + place], at[c.AT_TERMS] + place
        for i in range(n):
            common[i] += weight * x[column, i]
    for course in range(at[c.COURSE_COUNT]):
        weight, column = t[at[c.COURSES] + course], at[c.AT_COURSE] + course
        for i in range(n):
            harder[i] += weight * x[column, i]
    for k in range(4):
        share, level = t[c.SHARE + k], t[c.SHARE + k] * t[c.LEVEL] - floor
        for i in range(n):
            lost[k, i] = floor + share * common[i]
        for i in range(n):
            lost[k, i] += (level + t[c.SELECTION] * x[c.HABIT_AREA + k, i]) * left[k, i]


@c.inner
def _linked(block: Any, m: int, e: int) -> bool:
    """Whether a mix of the block takes measurement e out of the later m."""
    if not block[c.SEEN + e]:
        return False
    if m == c.SCORE:
        return e >= c.GREENS and not block[c.DOCUMENTED]
    return e < c.GREENS or e == leans_on(m)[0]


@c.inner
def _mixed(block: Any, n: int, bare: Any, load: Any, mix: Any, part: Any) -> None:
    """Take earlier measurements out of later ones, in place."""
    for m in range(c.GREENS, c.TEST):
        if block[c.SEEN + m]:
            for e in range(m):
                if mix[m, e] != 0.0:
                    for i in range(n):
                        bare[m, i] -= mix[m, e] * bare[e, i]
                    for k in range(c.WIDTH):
                        load[m, k] -= mix[m, e] * load[e, k]
    if block[c.SEEN + c.SCORE] and block[c.DOCUMENTED]:
        for k in range(4):
            if block[c.SEEN + k]:
                for i in range(n):
                    bare[c.SCORE, i] -= part[k, i] * bare[k, i]


@c.inner
def _mixed_back(
    block: Any, n: int, bare: Any, load: Any, mix: Any, part: Any, d_bare: Any, d_load: Any, d_mix: Any,
    d_part: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`_mixed` back, the last measurement first.

    Of ``bare_m -= mix bare_e`` and ``load_m -= mix load_e``; a score leans by ``part`` in place of a mix::

        d_mix = -bare_e . d_bare_m - load_e . d_load_m
        d_bare_e -= mix d_bare_m        d_load_e -= mix d_load_m
    """
    d_mix[:, :] = 0.0
    if block[c.SEEN + c.SCORE] and block[c.DOCUMENTED]:
        for k in range(4):
            if block[c.SEEN + k]:
                for i in range(n):
                    d_part[k, i] -= bare[k, i] * d_bare[c.SCORE, i]
                for i in range(n):
                    d_bare[k, i] -= part[k, i] * d_bare[c.SCORE, i]
    for m in range(c.TEST - 1, c.GREENS - 1, -1):
        if block[c.SEEN + m]:
            for e in range(m):
                if _linked(block, m, e):
                    total = 0.0
                    for i in range(n):
                        total += bare[e, i] * d_bare[m, i]
                    for k in range(c.WIDTH):
                        total += load[e, k] * d_load[m, k]
                        d_load[e, k] -= mix[m, e] * d_load[m, k]
                    d_mix[m, e] = -total
                    if mix[m, e] != 0.0:
                        for i in range(n):
                            d_bare[e, i] -= mix[m, e] * d_bare[m, i]


class _BlockValues(NamedTuple):
    """What is worked out of a block: by lane; by category, area, measurement and lane; by block."""

    begun: Any
    common: Any
    harder: Any
    spread: Any
    raw: Any
    held: Any
    now: Any
    then: Any
    change: Any
    turn: Any
    left: Any
    turned: Any
    lost: Any
    part: Any
    bare: Any
    variance: Any
    loads: Any
    load: Any
    mix: Any
    open: Any


@c.inner
def _block_values(club: Any, at: Any, t: Any) -> Any:
    """Memory for one block after another, with the loads of the stats, which all blocks share."""
    size, loads = at[c.CATEGORIES], np.zeros((5, 4))
    stat_loads(club, t, loads)
    return _BlockValues(
        np.zeros(c.LANES), np.zeros(c.LANES), np.zeros(c.LANES), np.zeros(c.LANES),
        np.zeros((size, c.LANES)), np.zeros((size, c.LANES)), np.zeros((size, c.LANES)),
        np.zeros((size, c.LANES)), np.zeros((size, c.LANES)), np.zeros((size, c.LANES)),
        np.zeros((4, c.LANES)), np.zeros((4, c.LANES)), np.zeros((4, c.LANES)), np.zeros((4, c.LANES)),
        np.zeros((c.COUNT, c.LANES)), np.zeros((c.COUNT, c.LANES)),
        loads, np.zeros((c.COUNT, c.WIDTH)), np.zeros((c.COUNT, c.COUNT)), np.zeros(c.COUNT),
    )  # fmt: skip


@c.inner
def _work_out(
    x: Any, block: Any, club: Any, at: Any, t: Any, floor: float, reference: float, bend: float, w: Any
) -> None:
    """Residuals, variances and loads of a block, earlier measurements taken out of later ones."""
    n = block[c.LENGTH]
    gap_of(
        x, at, t, n, bend, w.begun, w.raw, w.held, w.now, w.then, w.change, w.turn, w.left, w.turned
    )  # fmt: skip
    _path(x, at, t, n, floor, w.left, w.common, w.harder, w.spread, w.lost)
    loads_of(block, club, at, t, w.loads, w.load, w.mix, w.open)
    equations(
        x, block, at, t, n, w.lost, w.harder, w.spread, w.loads, w.open, reference, w.bare, w.variance, w.part
    )  # fmt: skip
    _mixed(block, n, w.bare, w.load, w.mix, w.part)


@njit(cache=True, nogil=True, error_model="numpy")
def rows_forward(
    x: Any, blocks: Any, first: Any, knots: Any, club: Any, at: Any, t: Any, floor: float, reference: float,
    bend: float, direction: Any, error: Any, apart: Any, form_: Any,
) -> float:  # fmt: skip
    """Directions and residuals, over their errors, of all measurements.

    Parameters
    ----------
    x : array, shape (block, column, lane)
    blocks : int array, shape (block, 5 + T)
    first, knots : int arrays, shape (block, lane)
        Place of an occasion's first measurement, and the knot before it.
    direction : array, shape (M, D)
        Written to, zeros before: fresh memory costs as much as the arithmetic.
    error, apart, form_ : arrays, shape (M,)
        Written to; ``apart`` is how tests move, over their errors, with a golfer's lasting mismatch,
        ``form_`` with his form at tests.

    Returns
    -------
    float
        Log density of the measurements at effects of zero.
    """
    w, one = _block_values(club, at, t), np.zeros(4)
    left, turned, bare, variance, part, load = w.left, w.turned, w.bare, w.variance, w.part, w.load
    own = direction.shape[1] - (c.WIDTH - 4)
    each = 0.0
    for b in range(len(blocks)):
        block, y = blocks[b], x[b]
        n = block[c.LENGTH]
        _work_out(y, block, club, at, t, floor, reference, bend, w)
        turn_ = 0
        for m in range(c.COUNT):
            if not block[c.SEEN + m]:
                continue
            leaning = m == c.SCORE and block[c.DOCUMENTED] > 0
            q = at[c.TESTS] + c.TEST_WIDTH * block[c.WHICH_TEST]
            mismatch = t[q + c.TEST_SD] if m == c.TEST else 0.0
            spell = t[q + c.TEST_SLOPE] * t[c.TEST_FORM] if m == c.TEST else 0.0
            for i in range(n):
                scale = 1.0 / np.sqrt(variance[m, i])
                e = bare[m, i] * scale
                each += np.log(scale) - 0.5 * e**2
                place = first[b, i] + turn_
                error[place] = e
                apart[place], form_[place] = scale * mismatch, scale * spell
                respond, begin, form = 0.0, 0.0, 0.0
                for k in range(4):
                    one[k] = load[m, k] * scale
                    if leaning and block[c.SEEN + k]:
                        one[k] *= 1.0 - part[k, i]
                    direction[place, k] = left[k, i] * one[k]
                    direction[place, 4 + k] = y[c.DRIFT, i] * one[k]
                    respond += y[c.GAP + k, i] * (left[k, i] - 1.0) * one[k]
                    begin += y[c.GAP + k, i] * turned[k, i] * one[k]
                    form += t[c.SHARE + k] * one[k]
                direction[place, RESPOND], direction[place, BEGIN] = respond, begin
                knot = FORM + knots[b, i]
                direction[place, knot] = (1.0 - y[c.LATE, i]) * form
                direction[place, knot + 1] = y[c.LATE, i] * form
                for k in range(c.WIDTH - 4):
                    direction[place, own + k] = load[m, 4 + k] * scale
            turn_ += 1
        each -= 0.5 * LOG_2PI * turn_ * n
    return each


@njit(cache=True, nogil=True, error_model="numpy")
def rows_backward(
    x: Any, blocks: Any, first: Any, knots: Any, club: Any, at: Any, t: Any, floor: float, reference: float,
    bend: float, d_direction: Any, d_error: Any, d_apart: Any, d_form: Any, g: Any,
) -> None:  # fmt: skip
    """Add to ``g`` the derivatives, by the population values, of a function of what the rows give.

    That function is ``each`` of :func:`rows_forward` plus whatever has the derivatives ``d_direction``,
    ``d_error``, ``d_apart`` and ``d_form``. By area, with ``one = load scale`` (less ``part`` where a score
    leans)::

        directions: left one, drift one; summed: gap (left - 1) one, gap turned one, share one (form)
        d_one = left d_level + drift d_drift + gap ((left - 1) d_respond + turned d_begin) + share d_form
        d_left = (d_level + gap d_respond) one        d_turned = gap d_begin one        d_share = d_form one
    """
    w, one, d_one = _block_values(club, at, t), np.zeros(4), np.zeros(4)
    left, turned, bare, variance, part, load = w.left, w.turned, w.bare, w.variance, w.part, w.load
    d_bare, d_variance, d_part = (
        np.zeros((c.COUNT, c.LANES)),
        np.zeros((c.COUNT, c.LANES)),
        np.zeros((4, c.LANES)),
    )
    d_left, d_turned, d_lost = np.zeros((4, c.LANES)), np.zeros((4, c.LANES)), np.zeros((4, c.LANES))
    d_harder, d_spread, d_common = np.zeros(c.LANES), np.zeros(c.LANES), np.zeros(c.LANES)
    d_begun, d_change, d_turn, by_raw = (
        np.zeros(c.LANES),
        np.zeros(c.LANES),
        np.zeros(c.LANES),
        np.zeros(c.LANES),
    )
    d_loads, d_load, d_mix = np.zeros((5, 4)), np.zeros((c.COUNT, c.WIDTH)), np.zeros((c.COUNT, c.COUNT))
    d_open, d_share = np.zeros(c.COUNT), np.zeros(4)
    own = d_direction.shape[1] - (c.WIDTH - 4)
    for b in range(len(blocks)):
        block, y = blocks[b], x[b]
        n = block[c.LENGTH]
        _work_out(y, block, club, at, t, floor, reference, bend, w)
        d_load[:, :] = 0.0
        for k in range(4):
            for i in range(n):
                d_left[k, i], d_turned[k, i], d_part[k, i] = 0.0, 0.0, 0.0
        turn_ = 0
        for m in range(c.COUNT):
            if not block[c.SEEN + m]:
                continue
            leaning = m == c.SCORE and block[c.DOCUMENTED] > 0
            q = at[c.TESTS] + c.TEST_WIDTH * block[c.WHICH_TEST]
            slope, wide = q + c.TEST_SLOPE, c.TEST_FORM
            for i in range(n):
                scale = 1.0 / np.sqrt(variance[m, i])
                e = bare[m, i] * scale
                place, knot = first[b, i] + turn_, FORM + knots[b, i]
                by_error = d_error[place]
                form = (1.0 - y[c.LATE, i]) * d_direction[place, knot]
                form += y[c.LATE, i] * d_direction[place, knot + 1]
                respond, begin = d_direction[place, RESPOND], d_direction[place, BEGIN]
                by_scale = by_error * bare[m, i]
                if m == c.TEST:
                    by_scale += d_apart[place] * t[q + c.TEST_SD] + d_form[place] * t[slope] * t[wide]
                    g[q + c.TEST_SD] += d_apart[place] * scale
                    g[slope] += d_form[place] * scale * t[wide]
                    g[wide] += d_form[place] * scale * t[slope]
                for k in range(4):
                    bare_load = load[m, k]
                    if leaning and block[c.SEEN + k]:
                        bare_load *= 1.0 - part[k, i]
                    one[k] = bare_load * scale
                    guess = y[c.GAP + k, i]
                    d_one[k] = (
                        left[k, i] * d_direction[place, k]
                        + y[c.DRIFT, i] * d_direction[place, 4 + k]
                        + guess * ((left[k, i] - 1.0) * respond + turned[k, i] * begin)
                        + t[c.SHARE + k] * form
                    )
                    d_left[k, i] += (d_direction[place, k] + guess * respond) * one[k]
                    d_turned[k, i] += guess * begin * one[k]
                    d_share[k] += form * one[k]
                    by_scale += d_one[k] * bare_load
                    if leaning and block[c.SEEN + k]:
                        d_part[k, i] -= d_one[k] * scale * load[m, k]
                    else:
                        d_load[m, k] += d_one[k] * scale
                for k in range(c.WIDTH - 4):
                    by = d_direction[place, own + k]
                    by_scale += by * load[m, 4 + k]
                    d_load[m, 4 + k] += by * scale
                d_bare[m, i] = (by_error - e) * scale
                # scale = variance^(-1/2); log density adds log(scale) - (bare scale)^2 / 2.
                d_variance[m, i] = -0.5 * scale**3 * (by_scale + (1.0 - e**2) / scale)
            turn_ += 1
        _mixed_back(block, n, bare, load, w.mix, part, d_bare, d_load, d_mix, d_part)
        equations_back(
            y, block, at, t, g, n, w.lost, w.harder, w.spread, w.loads, reference, variance, part, d_bare,
            d_variance, d_part, d_lost, d_harder, d_spread, d_loads, d_open,
        )  # fmt: skip
        loads_back(block, club, at, t, g, w.loads, d_load, d_mix, d_open, d_loads)
        _path_back(y, at, t, g, n, floor, left, w.common, d_lost, d_harder, d_common, d_left)
        gap_back(
            y, at, t, g, n, bend, w.begun, w.raw, w.held, w.now, w.then, w.change, w.turn, left, turned,
            d_left, d_turned, d_begun, d_change, d_turn, by_raw,
        )  # fmt: skip
    for k in range(4):
        g[c.SHARE + k] += d_share[k]
    stat_loads_back(club, d_loads, g)


@c.inner
def _path_back(
    x: Any, at: Any, t: Any, g: Any, n: int, floor: float, left: Any, common: Any, d_lost: Any, d_harder: Any,
    d_common: Any, d_left: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`_path` back.

    Of ``lost = floor + share common + (share level_mean - floor + selection habit) left``; ``common`` and
    ``harder`` are sums of weights times columns.
    """
    for i in range(n):
        d_common[i] = 0.0
    for k in range(4):
        share, level = t[c.SHARE + k], t[c.SHARE + k] * t[c.LEVEL] - floor
        by_level, by_common, by_habit = 0.0, 0.0, 0.0
        for i in range(n):
            by_level += d_lost[k, i] * left[k, i]
            by_common += d_lost[k, i] * common[i]
            by_habit += d_lost[k, i] * left[k, i] * x[c.HABIT_AREA + k, i]
        for i in range(n):
            d_left[k, i] += d_lost[k, i] * (level + t[c.SELECTION] * x[c.HABIT_AREA + k, i])
        for i in range(n):
            d_common[i] += d_lost[k, i] * share
        g[c.SHARE + k] += by_level * t[c.LEVEL] + by_common
        g[c.LEVEL] += by_level * share
        g[c.SELECTION] += by_habit
    for place in range(at[c.TERM_COUNT]):
        total, column = 0.0, at[c.AT_TERMS] + place
        for i in range(n):
            total += d_common[i] * x[column, i]
        g[at[c.TERM_WEIGHTS] + place] += total
    for course in range(at[c.COURSE_COUNT]):
        total, column = 0.0, at[c.AT_COURSE] + course
        for i in range(n):
            total += d_harder[i] * x[column, i]
        g[at[c.COURSES] + course] += total

"""Compiled sums over measurements: every golfer's own effects integrated out, with the gradient written out.

Sizes: golfer N, measurement M (sorted by golfer), effect D of a golfer. Over its error, a measurement is
``direction . effects + error`` with an error of one; golfers' effects are ``N(0, prior^-1)``.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from paryield.arrays import INTS
from paryield.model.compiled_layout import inner
from paryield.model.design import Observations
from paryield.model.sheet import seen_table


@inner
def _factor(matrix: Any, size: int) -> bool:
    """Lower Cholesky factor in place of the lower triangle; False when not positive definite."""
    for j in range(size):
        for i in range(j, size):
            total = matrix[i, j]
            for k in range(j):
                total -= matrix[i, k] * matrix[j, k]
            if i == j:
                if not total > 0.0:
                    return False
                matrix[j, j] = np.sqrt(total)
            else:
                matrix[i, j] = total / matrix[j, j]
    return True


@inner
def _inverse(factor: Any, size: int, half: Any, out: Any) -> None:
    """Inverse of ``L L'`` from L, by ``half = L^-1`` (kept by rows of its transpose) and half' half."""
    for j in range(size):
        half[j, j] = 1.0 / factor[j, j]
        for i in range(j + 1, size):
            total = 0.0
            for k in range(j, i):
                total += factor[i, k] * half[j, k]
            half[j, i] = -total / factor[i, i]
    for i in range(size):
        for j in range(i + 1):
            total = 0.0
            for k in range(i, size):
                total += half[i, k] * half[j, k]
            out[i, j] = total
            out[j, i] = total


class Latents(NamedTuple):
    """What moves a golfer's tests beside his effects: by kind of test K his mismatch, by spell S his form.

    With the columns ``a`` of a kind and ``c`` of a spell, over the errors of the tests, ``X`` their
    directions and ``e`` their errors. Of a spell, ``toward = X'c``, ``off = e'c``, ``total = 1 + c'c`` and
    ``both = a'c``, and ``kind`` says whose it is. Of a kind the same of ``a``, what its spells take already
    taken out: ``toward = X'V a``, ``off = e'V a``, ``total = 1 + a'V a`` with ``V`` the inverse of the sum of
    ``1`` and all ``c c'``.
    """

    toward: Any
    off: Any
    total: Any
    spell_toward: Any
    spell_off: Any
    spell_total: Any
    both: Any
    kind: Any


@inner
def latent_memory(alike: Any, during: Any, size: int) -> Any:
    """Memory of :func:`without_latents`, and of the derivatives by it, for D effects."""
    kinds, spells = 0, 0
    for m in range(len(alike)):
        kinds, spells = max(kinds, alike[m] + 1), max(spells, during[m] + 1)
    return Latents(
        np.zeros((kinds, size)), np.zeros(kinds), np.zeros(kinds), np.zeros((spells, size)), np.zeros(spells),
        np.zeros(spells), np.zeros(spells), np.zeros(spells, dtype=np.int64),
    )  # fmt: skip


@inner
def _add_outer(matrix: Any, score: Any, toward: Any, off: float, total: float) -> float:
    """Integrate one latent out of ``matrix`` and ``score``; return what that adds to the log density."""
    size = len(score)
    for i in range(size):
        part = toward[i] / total
        score[i] -= part * off
        for j in range(size):
            matrix[i, j] -= part * toward[j]
    return 0.5 * (off**2 / total - np.log(total))


@inner
def without_latents(
    alike: Any, during: Any, direction: Any, error: Any, apart: Any, form: Any, matrix: Any, score: Any,
    w: Any,
) -> float:  # fmt: skip
    """Integrate a golfer's mismatch in each kind of test, and his form in each spell, out of ``matrix`` and
    ``score``, in place.

    Results are ``z apart + y form + direction . effects + error`` over their errors, with one ``z ~ N(0, 1)``
    a kind and one ``y ~ N(0, 1)`` a spell, which is one kind's: first the spells go, then the kinds, each by
    ``(1 + c c')^-1 = 1 - c c' / (1 + c'c)`` (Sherman & Morrison 1950); a test holds it to the plain form of
    :func:`paryield.model.golfers.information`. Returns what that adds to the log density.
    """
    size, added, kinds, spells = len(score), 0.0, len(w.off), len(w.spell_off)
    if not kinds:
        return 0.0
    w.toward[:, :], w.off[:], w.total[:] = 0.0, 0.0, 1.0
    w.spell_toward[:, :], w.spell_off[:], w.spell_total[:], w.both[:] = 0.0, 0.0, 1.0, 0.0
    for m in range(len(alike)):
        kind = alike[m]
        if kind < 0:
            continue
        spell, a, c = during[m], apart[m], form[m]
        w.kind[spell] = kind
        w.total[kind] += a**2
        w.off[kind] += a * error[m]
        w.spell_total[spell] += c**2
        w.spell_off[spell] += c * error[m]
        w.both[spell] += a * c
        for i in range(size):
            w.toward[kind, i] += a * direction[m, i]
            w.spell_toward[spell, i] += c * direction[m, i]
    for spell in range(spells):
        total = w.spell_total[spell]
        if total == 1.0:
            continue
        kind, part = w.kind[spell], w.both[spell] / total
        w.total[kind] -= w.both[spell] * part
        w.off[kind] -= w.spell_off[spell] * part
        for i in range(size):
            w.toward[kind, i] -= w.spell_toward[spell, i] * part
        added += _add_outer(matrix, score, w.spell_toward[spell], w.spell_off[spell], total)
    for kind in range(kinds):
        if w.total[kind] != 1.0:
            added += _add_outer(matrix, score, w.toward[kind], w.off[kind], w.total[kind])
    return added


@inner
def _outer_back(
    twice: Any, centre: Any, toward: Any, off: float, total: float, d_toward: Any
) -> tuple[float, float]:
    """Add to ``d_toward`` what :func:`_add_outer` has; return the derivatives by ``off`` and ``total``.

    Of ``-w w' / u`` in the matrix, ``-w v / u`` in the score and ``v^2 / 2u - log(u) / 2``, with ``u`` the
    total, ``v = off`` and ``w = toward``, where derivatives are ``T / 2`` by the matrix and ``c`` by the
    score::

        d_w = -(T w + c v) / u        d_v = (v - w'c) / u
        d_u = (w'T w / 2 + w'c v - v^2 / 2) / u^2 - 1 / 2u
    """
    size, along, bend = len(centre), 0.0, 0.0
    for i in range(size):
        part = 0.0
        for j in range(size):
            part += twice[i, j] * toward[j]
        d_toward[i] -= (part + centre[i] * off) / total
        along += toward[i] * centre[i]
        bend += toward[i] * part
    by_total = (0.5 * bend + along * off - 0.5 * off**2) / total**2 - 0.5 / total
    return (off - along) / total, by_total


@inner
def _without_latents_back(
    alike: Any, during: Any, direction: Any, error: Any, apart: Any, form: Any, twice: Any, centre: Any,
    w: Any, d_direction: Any, d_error: Any, d_apart: Any, d_form: Any, g: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`without_latents` back: ``T / 2`` by the matrix, ``c`` by the score.

    ``g`` is memory like ``w``. What a spell takes out of its kind, with ``t`` its total and ``b = both``::

        u -= b^2 / t        v -= b h / t        w -= b g / t        (h = off, g = toward of the spell)
        d_b = -(2 b d_u + h d_v + g'd_w) / t        d_h -= b d_v / t        d_g -= b d_w / t
        d_t += b (b d_u + h d_v + g'd_w) / t^2

    and of the sums over tests ``c'c``, ``e'c``, ``X'c``, ``a'c`` and the same of ``a``::

        d_c = 2 c d_t + e d_h + X d_g + a d_b        d_a = 2 a d_u + e d_v + X d_w + c d_b
        d_e = a d_v + c d_h        d_X = a d_w' + c d_g'
    """
    size = len(centre)
    g.toward[:, :], g.spell_toward[:, :] = 0.0, 0.0
    for kind in range(len(w.off)):
        g.off[kind], g.total[kind] = 0.0, 0.0
        if w.total[kind] != 1.0:
            g.off[kind], g.total[kind] = _outer_back(
                twice, centre, w.toward[kind], w.off[kind], w.total[kind], g.toward[kind]
            )
    for spell in range(len(w.spell_off)):
        g.spell_off[spell], g.spell_total[spell], g.both[spell] = 0.0, 0.0, 0.0
        t, b, h, kind = w.spell_total[spell], w.both[spell], w.spell_off[spell], w.kind[spell]
        if t == 1.0:
            continue
        by_off, by_total = _outer_back(twice, centre, w.spell_toward[spell], h, t, g.spell_toward[spell])
        along = h * g.off[kind]
        for i in range(size):
            along += w.spell_toward[spell, i] * g.toward[kind, i]
            g.spell_toward[spell, i] -= b / t * g.toward[kind, i]
        g.spell_off[spell] = by_off - b / t * g.off[kind]
        g.spell_total[spell] = by_total + b * (b * g.total[kind] + along) / t**2
        g.both[spell] = -(2.0 * b * g.total[kind] + along) / t
    for m in range(len(alike)):
        kind, spell = alike[m], during[m]
        if kind < 0:
            continue
        a, c, e = apart[m], form[m], error[m]
        by_a = e * g.off[kind] + 2.0 * a * g.total[kind] + c * g.both[spell]
        by_c = e * g.spell_off[spell] + 2.0 * c * g.spell_total[spell] + a * g.both[spell]
        d_error[m] += a * g.off[kind] + c * g.spell_off[spell]
        for i in range(size):
            by_a += direction[m, i] * g.toward[kind, i]
            by_c += direction[m, i] * g.spell_toward[spell, i]
            d_direction[m, i] += a * g.toward[kind, i] + c * g.spell_toward[spell, i]
        d_apart[m], d_form[m] = by_a, by_c


@njit(cache=True, nogil=True, error_model="numpy")
def evidence(
    bounds: Any, alike: Any, during: Any, direction: Any, error: Any, apart: Any, form: Any, prior: Any,
    d_direction: Any, d_error: Any, d_apart: Any, d_form: Any,
) -> tuple[float, Any]:  # fmt: skip
    """``sum_n -log det(P_n) / 2 + s_n' P_n^-1 s_n / 2`` with ``P_n = prior + G_n``, and its gradient.

    Measurements of golfer n are ``bounds[n]`` to ``bounds[n + 1]``; ``direction`` (M, D) says how each, over
    its error, moves with the golfer's effects, ``apart`` (M,) with his mismatch in the kind ``alike`` (M,) of
    test (-1 for what is no test; both may be empty where there is none); ``error`` (M,) is the measurement
    minus its population part, over its error, ``prior`` the prior precision of a golfer's effects, (D, D).
    ``d_direction`` (M, D), ``d_error`` and ``d_apart`` (M,) receive the derivatives: given by the caller,
    since fresh memory costs as much as the arithmetic. With ``P = prior + X'X``, ``s = X'e`` and
    ``m = P^-1 s``::

        d_prior = -(P^-1 + m m') / 2        d_X = 2 X d_prior + e m'        d_e = X m

    Returns
    -------
    value : float
        NaN when a matrix is not positive definite.
    d_prior : array, shape (D, D)
    """
    golfers, size = len(bounds) - 1, prior.shape[0]
    d_prior, matrix, half = np.zeros((size, size)), np.zeros((size, size)), np.zeros((size, size))
    inverse, score, centre = np.zeros((size, size)), np.zeros(size), np.zeros(size)
    value = 0.0
    w, g = latent_memory(alike, during, size), latent_memory(alike, during, size)
    tested = len(w.off) > 0
    for n in range(golfers):
        first, last = bounds[n], bounds[n + 1]
        mine, errors = direction[first:last], error[first:last]
        if last > first:
            np.dot(mine.T, mine, matrix)
            np.dot(errors, mine, score)
        else:
            matrix[:, :] = 0.0
            score[:] = 0.0
        if tested:
            value += without_latents(
                alike[first:last], during[first:last], mine, errors, apart[first:last], form[first:last],
                matrix, score, w,
            )  # fmt: skip
        for i in range(size):
            for j in range(i + 1):
                matrix[i, j] += prior[i, j]
        if not _factor(matrix, size):
            return np.nan, d_prior
        _inverse(matrix, size, half, inverse)
        for i in range(size):
            value -= np.log(matrix[i, i])
            at = 0.0
            for j in range(size):
                at += inverse[i, j] * score[j]
            centre[i] = at
            value += 0.5 * score[i] * at
        for i in range(size):
            for j in range(size):
                inverse[i, j] = -inverse[i, j] - centre[i] * centre[j]
                d_prior[i, j] += 0.5 * inverse[i, j]
        if last > first:
            np.dot(mine, inverse, d_direction[first:last])
            np.dot(mine, centre, d_error[first:last])
            for m in range(first, last):
                for i in range(size):
                    d_direction[m, i] += error[m] * centre[i]
            if tested:
                _without_latents_back(
                    alike[first:last], during[first:last], mine, errors, apart[first:last], form[first:last],
                    inverse, centre, w, d_direction[first:last], d_error[first:last], d_apart[first:last],
                    d_form[first:last], g,
                )  # fmt: skip
    return value, d_prior


@njit(cache=True, nogil=True, error_model="numpy")
def solve_lower(matrix: Any, score: Any, first: Any, shocks: Any, out: Any) -> tuple[float, float]:
    """Draw ``N(P^-1 s, P^-1)`` into ``out``; return ``s' P^-1 s`` and ``log det P``, NaN where it has none.

    ``matrix`` holds P and then its factor, ``first`` is memory, (D,).
    """
    size = len(score)
    if not _factor(matrix, size):
        out[:] = np.nan
        return np.nan, np.nan
    squares, log_det = 0.0, 0.0
    for i in range(size):
        total = score[i]
        for k in range(i):
            total -= matrix[i, k] * first[k]
        first[i] = total / matrix[i, i]
        squares += first[i] ** 2
        log_det += 2.0 * np.log(matrix[i, i])
    for i in range(size - 1, -1, -1):
        total = first[i] + shocks[i]
        for k in range(i + 1, size):
            total -= matrix[k, i] * out[k]
        out[i] = total / matrix[i, i]
    return squares, log_det


def measurements(data: Observations) -> tuple[INTS, INTS, INTS]:
    """Everything measured, in the order of occasions and kinds.

    Returns
    -------
    bounds : int array, shape (N + 1,)
        Which measurements are whose.
    occasion, kind : int arrays, shape (M,)
    """
    occasion, kind = np.nonzero(seen_table(data))
    owner = data.owner[occasion]
    bounds = np.searchsorted(owner, np.arange(len(data.golfers) + 1))
    return bounds.astype(np.int64), occasion.astype(np.int64), kind.astype(np.int64)

"""Compiled sums over measurements: every golfer's own effects integrated out, with the gradient written out.

Sizes: golfer N, measurement M (sorted by golfer), effect D of a golfer. Over its error, a measurement is
``direction . effects + error`` with an error of one; golfers' effects are ``N(0, prior^-1)``.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

from paryield.model.design import Observations
from paryield.model.sheet import KINDS

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]


@njit(cache=True, nogil=True, error_model="numpy")
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


@njit(cache=True, nogil=True, error_model="numpy")
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


@njit(cache=True, nogil=True, error_model="numpy")
def mismatch_memory(alike: Any, size: int) -> tuple[Any, Any, Any]:
    """Memory of :func:`without_mismatch`: by kind of test, effects (G, D), errors and total (G,)."""
    kinds = 0
    for one in alike:
        kinds = max(kinds, one + 1)
    return np.zeros((kinds, size)), np.zeros(kinds), np.zeros(kinds)


@njit(cache=True, nogil=True, error_model="numpy")
def without_mismatch(
    alike: Any, direction: Any, error: Any, apart: Any, matrix: Any, score: Any, toward: Any, off: Any,
    total: Any,
) -> float:  # fmt: skip
    """Integrate a golfer's lasting mismatch in each kind of test out of ``matrix`` and ``score``, in place.

    Results of a kind are ``z apart + direction . effects + error`` over their errors, with one
    ``z ~ N(0, 1)``: the inverse of their covariance is ``1 - a a' / (1 + a'a)``, see
    :func:`paryield.model.golfers.information`. Returns what that adds to the log density.
    """
    size, added, kinds = len(score), 0.0, len(off)
    if not kinds:
        return 0.0
    toward[:, :], off[:], total[:] = 0.0, 0.0, 1.0
    for m in range(len(alike)):
        kind = alike[m]
        if kind >= 0:
            total[kind] += apart[m] ** 2
            off[kind] += apart[m] * error[m]
            for i in range(size):
                toward[kind, i] += apart[m] * direction[m, i]
    for kind in range(kinds):
        if total[kind] == 1.0:
            continue
        added += 0.5 * (off[kind] ** 2 / total[kind] - np.log(total[kind]))
        for i in range(size):
            part = toward[kind, i] / total[kind]
            score[i] -= part * off[kind]
            for j in range(size):
                matrix[i, j] -= part * toward[kind, j]
    return added


@njit(cache=True, nogil=True, error_model="numpy")
def _without_mismatch_back(
    alike: Any, direction: Any, error: Any, apart: Any, twice: Any, centre: Any, toward: Any, off: Any,
    total: Any, d_direction: Any, d_error: Any, d_apart: Any, d_toward: Any,
) -> None:  # fmt: skip
    """Carry derivatives of :func:`without_mismatch` back: ``twice`` / 2 by the matrix, ``centre`` by score.

    ``off`` and ``total`` receive the derivatives by themselves.
    """
    size = len(centre)
    for kind in range(len(off)):
        if total[kind] == 1.0:
            d_toward[kind], total[kind] = 0.0, 0.0
            continue
        along, bend = 0.0, 0.0
        for i in range(size):
            part = 0.0
            for j in range(size):
                part += twice[i, j] * toward[kind, j]
            d_toward[kind, i] = -(part + centre[i] * off[kind]) / total[kind]
            along += toward[kind, i] * centre[i]
            bend += toward[kind, i] * part
        by_off = (off[kind] - along) / total[kind]
        by_total = (0.5 * bend + along * off[kind] - 0.5 * off[kind] ** 2) / total[kind] ** 2
        off[kind], total[kind] = by_off, by_total - 0.5 / total[kind]
    for m in range(len(alike)):
        kind = alike[m]
        if kind >= 0:
            d_apart[m] = error[m] * off[kind] + 2.0 * apart[m] * total[kind]
            d_error[m] += apart[m] * off[kind]
            for i in range(size):
                d_apart[m] += direction[m, i] * d_toward[kind, i]
                d_direction[m, i] += apart[m] * d_toward[kind, i]


@njit(cache=True, nogil=True, error_model="numpy")
def evidence(
    bounds: Any, alike: Any, direction: Any, error: Any, apart: Any, prior: Any, d_direction: Any,
    d_error: Any, d_apart: Any,
) -> tuple[float, Any]:  # fmt: skip
    """``sum_n -log det(P_n) / 2 + s_n' P_n^-1 s_n / 2`` with ``P_n = prior + G_n``, and its gradient.

    Measurements of golfer n are ``bounds[n]`` to ``bounds[n + 1]``; ``direction`` (M, D) says how each, over
    its error, moves with the golfer's effects, ``apart`` (M,) with his mismatch in the kind ``alike`` (M,) of
    test (-1 for what is no test; both may be empty where there is none); ``error`` (M,) is the measurement
    minus its population part, over its error, ``prior`` the prior precision of a golfer's effects, (D, D).
    ``d_direction`` (M, D), ``d_error`` and ``d_apart`` (M,) receive the derivatives: given by the caller,
    since fresh memory costs as much as the arithmetic.

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
    toward, off, total = mismatch_memory(alike, size)
    d_toward, tested = np.zeros(toward.shape), len(off) > 0
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
            value += without_mismatch(
                alike[first:last], mine, errors, apart[first:last], matrix, score, toward, off, total
            )
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
                _without_mismatch_back(
                    alike[first:last], mine, errors, apart[first:last], inverse, centre, toward, off, total,
                    d_direction[first:last], d_error[first:last], d_apart[first:last], d_toward,
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


def seen_table(data: Observations) -> npt.NDArray[np.bool_]:
    """Whether an occasion has a measurement of each kind, shape (R, T)."""
    none = np.zeros(len(data.owner))
    return np.stack([data.seen.get(kind, none) > 0 for kind in KINDS], axis=1)


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

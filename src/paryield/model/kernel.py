"""Compiled sums over rounds: every golfer's own effects integrated out, with the gradient written out.

Sizes: golfer N, occasion R (a round or a test, sorted by golfer), kind of measurement T, area K = 4, knot W,
column of a load L = K + 3.
A golfer's effects D = K + K + 2 + W + 3 stand in the order level, drift, response, start share, wander at the
knots, own differences of stats. An occasion sees them through L directions only (strokes lost by area, then
the differences as they are), and only two knots:

    path = left * level + drift_shape * drift + respond * response + begin * start + share * wander

so that each measurement, with load vector ``l`` and whitened error ``e``, adds to an L x L matrix
``sum l l'`` and a vector ``sum l e`` of its occasion, which are then spread over the effects.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

from paryield.model.design import Observations
from paryield.model.rows import KINDS, OWN_STATS, WIDTH

FLOATS = npt.NDArray[np.float64]
OWN = len(OWN_STATS)
RESPOND, BEGIN, FORM = 8, 9, 10
"""Places of response, start share and the first knot among a golfer's effects."""

_FAST = {"reassoc", "contract", "nsz"}


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _occasion(seen: Any, load: Any, error: Any, r: int, square: Any, pull: Any) -> bool:
    """Sum of l l' and of l e over the measurements of one occasion; False when there are none."""
    found = False
    square[:, :] = 0.0
    pull[:] = 0.0
    for t in range(seen.shape[1]):
        if seen[r, t]:
            found = True
            for i in range(WIDTH):
                pull[i] += load[r, t, i] * error[r, t]
                for j in range(i + 1):
                    square[i, j] += load[r, t, i] * load[r, t, j]
    for i in range(WIDTH):
        for j in range(i):
            square[j, i] = square[i, j]
    return found


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _spread(
    square: Any, pull: Any, left: Any, respond: Any, begin: Any, share: Any, drift: float, knot: int,
    weight: float, r: int, gram: Any, score: Any,
) -> None:  # fmt: skip
    """Add one occasion to the lower triangle of a golfer's Gram matrix and to the score."""
    sa, ss = 0.0, 0.0
    aa, ab, bb, as_, bs = 0.0, 0.0, 0.0, 0.0, 0.0
    first, second = FORM + knot, FORM + knot + 1
    early, late = 1.0 - weight, weight
    for i in range(4):
        wa, wb, ws = 0.0, 0.0, 0.0
        for j in range(4):
            w = square[i, j]
            wa += w * respond[r, j]
            wb += w * begin[r, j]
            ws += w * share[j]
            if j <= i:
                gram[i, j] += left[r, i] * w * left[r, j]
                gram[4 + i, 4 + j] += drift * drift * w
            gram[4 + i, j] += drift * w * left[r, j]
        gram[RESPOND, i] += left[r, i] * wa
        gram[RESPOND, 4 + i] += drift * wa
        gram[BEGIN, i] += left[r, i] * wb
        gram[BEGIN, 4 + i] += drift * wb
        gram[first, i] += early * left[r, i] * ws
        gram[first, 4 + i] += early * drift * ws
        gram[second, i] += late * left[r, i] * ws
        gram[second, 4 + i] += late * drift * ws
        aa += respond[r, i] * wa
        ab += begin[r, i] * wa
        bb += begin[r, i] * wb
        as_ += respond[r, i] * ws
        bs += begin[r, i] * ws
        ss += share[i] * ws
        score[i] += left[r, i] * pull[i]
        score[4 + i] += drift * pull[i]
        score[RESPOND] += respond[r, i] * pull[i]
        score[BEGIN] += begin[r, i] * pull[i]
        sa += share[i] * pull[i]
    gram[RESPOND, RESPOND] += aa
    gram[BEGIN, RESPOND] += ab
    gram[BEGIN, BEGIN] += bb
    gram[first, RESPOND] += early * as_
    gram[first, BEGIN] += early * bs
    gram[second, RESPOND] += late * as_
    gram[second, BEGIN] += late * bs
    gram[first, first] += early * early * ss
    gram[second, first] += early * late * ss
    gram[second, second] += late * late * ss
    score[first] += early * sa
    score[second] += late * sa
    for i in range(OWN):
        row = len(score) - OWN + i
        wa, wb, ws = 0.0, 0.0, 0.0
        for j in range(4):
            w = square[4 + i, j]
            gram[row, j] += w * left[r, j]
            gram[row, 4 + j] += w * drift
            wa += w * respond[r, j]
            wb += w * begin[r, j]
            ws += w * share[j]
        gram[row, RESPOND] += wa
        gram[row, BEGIN] += wb
        gram[row, first] += early * ws
        gram[row, second] += late * ws
        for j in range(i + 1):
            gram[row, len(score) - OWN + j] += square[4 + i, 4 + j]
        score[row] += pull[4 + i]


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
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


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _back(
    slope: Any, centre: Any, square: Any, pull: Any, left: Any, respond: Any, begin: Any, share: Any,
    drift: float, knot: int, weight: float, r: int, across: Any, d_square: Any, d_pull: Any, d_left: Any,
    d_respond: Any, d_begin: Any, d_share: Any,
) -> None:  # fmt: skip
    """Carry a golfer's gradient (``slope`` by the Gram matrix, ``centre`` by the score) to one occasion."""
    first, second = FORM + knot, FORM + knot + 1
    early, late = 1.0 - weight, weight
    own = len(centre) - OWN
    for row in range(12 + OWN):
        i = row if row < FORM else (first if row == FORM else second)
        if row >= 12:
            i = own + row - 12
        form = early * slope[i, first] + late * slope[i, second]
        for j in range(4):
            across[row, j] = (
                slope[i, j] * left[r, j]
                + slope[i, 4 + j] * drift
                + slope[i, RESPOND] * respond[r, j]
                + slope[i, BEGIN] * begin[r, j]
                + form * share[j]
            )
        for j in range(OWN):
            across[row, 4 + j] = slope[i, own + j]
    u_form = early * centre[first] + late * centre[second]
    for j in range(4):
        d_pull[j] = (
            left[r, j] * centre[j]
            + drift * centre[4 + j]
            + respond[r, j] * centre[RESPOND]
            + begin[r, j] * centre[BEGIN]
            + share[j] * u_form
        )
        for m in range(WIDTH):
            d_square[j, m] = (
                left[r, j] * across[j, m]
                + drift * across[4 + j, m]
                + respond[r, j] * across[RESPOND, m]
                + begin[r, j] * across[BEGIN, m]
                + share[j] * (early * across[10, m] + late * across[11, m])
            )
    for j in range(OWN):
        d_pull[4 + j] = centre[own + j]
        for m in range(WIDTH):
            d_square[4 + j, m] = across[12 + j, m]
    for j in range(4):
        in_left, in_respond, in_begin, in_share = 0.0, 0.0, 0.0, 0.0
        for m in range(WIDTH):
            w = square[m, j]
            in_left += across[j, m] * w
            in_respond += across[RESPOND, m] * w
            in_begin += across[BEGIN, m] * w
            in_share += (early * across[10, m] + late * across[11, m]) * w
        d_left[r, j] = 2.0 * in_left + centre[j] * pull[j]
        d_respond[r, j] = 2.0 * in_respond + centre[RESPOND] * pull[j]
        d_begin[r, j] = 2.0 * in_begin + centre[BEGIN] * pull[j]
        d_share[j] += 2.0 * in_share + u_form * pull[j]


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def gram_matrices(
    bounds: Any, seen: Any, drift: Any, knot: Any, weight: Any, load: Any, error: Any, left: Any,
    respond: Any, begin: Any, share: Any, size: int,
) -> tuple[Any, Any]:  # fmt: skip
    """Gram matrix and score of every golfer's effects.

    Parameters
    ----------
    bounds : int array, shape (N + 1,)
        Occasions of golfer n are ``bounds[n]`` to ``bounds[n + 1]``.
    seen : bool array, shape (R, T)
    load : array, shape (R, T, L)
        How a whitened measurement moves with strokes lost by area and with the stats' own differences.
    error : array, shape (R, T)
        Whitened measurement minus its population part.
    left, respond, begin : arrays, shape (R, K)
    share : array, shape (K,)
    drift, weight : arrays, shape (R,)
    knot : int array, shape (R,)
        The knot before the occasion; ``weight`` is that of the next.
    size : int
        Number of effects D.

    Returns
    -------
    gram : array, shape (N, D, D)
    score : array, shape (N, D)
    """
    golfers = len(bounds) - 1
    gram = np.zeros((golfers, size, size))
    score = np.zeros((golfers, size))
    square, pull = np.zeros((WIDTH, WIDTH)), np.zeros(WIDTH)
    for n in range(golfers):
        for r in range(bounds[n], bounds[n + 1]):
            if _occasion(seen, load, error, r, square, pull):
                _spread(
                    square, pull, left, respond, begin, share, drift[r], knot[r], weight[r], r,
                    gram[n], score[n],
                )  # fmt: skip
        for i in range(size):
            for j in range(i):
                gram[n, j, i] = gram[n, i, j]
    return gram, score


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def evidence(
    bounds: Any, seen: Any, drift: Any, knot: Any, weight: Any, load: Any, error: Any, left: Any,
    respond: Any, begin: Any, share: Any, prior: Any, d_load: Any, d_error: Any,
    d_left: Any, d_respond: Any, d_begin: Any,
) -> tuple[Any, ...]:  # fmt: skip
    """``sum_n -log det(P_n) / 2 + s_n' P_n^-1 s_n / 2`` with ``P_n = prior + G_n``, and its gradient.

    Arguments as in :func:`gram_matrices`; ``prior`` is the prior precision of a golfer's effects, (D, D).
    ``d_load`` (R, T, L), ``d_error`` (R, T), ``d_left``, ``d_respond``, ``d_begin`` (R, K) receive the
    derivatives (where something was seen): given by the caller, since fresh memory costs as much as the
    arithmetic.

    Returns
    -------
    value : float
        NaN when a matrix is not positive definite.
    d_share, d_prior : arrays, shapes (K,) and (D, D)
    """
    golfers, size = len(bounds) - 1, prior.shape[0]
    d_share, d_prior = np.zeros(4), np.zeros((size, size))
    matrix, half, inverse = np.zeros((size, size)), np.zeros((size, size)), np.zeros((size, size))
    score, centre = np.zeros(size), np.zeros(size)
    square, pull, across = np.zeros((WIDTH, WIDTH)), np.zeros(WIDTH), np.zeros((12 + OWN, WIDTH))
    d_square, d_pull = np.zeros((WIDTH, WIDTH)), np.zeros(WIDTH)
    value = 0.0
    for n in range(golfers):
        matrix[:, :] = prior
        score[:] = 0.0
        for r in range(bounds[n], bounds[n + 1]):
            if _occasion(seen, load, error, r, square, pull):
                _spread(
                    square, pull, left, respond, begin, share, drift[r], knot[r], weight[r], r,
                    matrix, score,
                )  # fmt: skip
        if not _factor(matrix, size):
            return np.nan, d_share, d_prior
        _inverse(matrix, size, half, inverse)
        for i in range(size):
            value -= np.log(matrix[i, i])
        for i in range(size):
            total = 0.0
            for j in range(size):
                total += inverse[i, j] * score[j]
            centre[i] = total
        for i in range(size):
            value += 0.5 * score[i] * centre[i]
        for i in range(size):
            for j in range(size):
                inverse[i, j] = -0.5 * (inverse[i, j] + centre[i] * centre[j])
                d_prior[i, j] += inverse[i, j]
        for r in range(bounds[n], bounds[n + 1]):
            if not _occasion(seen, load, error, r, square, pull):
                for i in range(4):
                    d_left[r, i], d_respond[r, i], d_begin[r, i] = 0.0, 0.0, 0.0
                continue
            _back(
                inverse, centre, square, pull, left, respond, begin, share, drift[r], knot[r], weight[r], r,
                across, d_square, d_pull, d_left, d_respond, d_begin, d_share,
            )  # fmt: skip
            for t in range(seen.shape[1]):
                if seen[r, t]:
                    d_error[r, t] = 0.0
                    for i in range(WIDTH):
                        total = d_pull[i] * error[r, t]
                        for m in range(WIDTH):
                            total += (d_square[i, m] + d_square[m, i]) * load[r, t, m]
                        d_load[r, t, i] = total
                        d_error[r, t] += d_pull[i] * load[r, t, i]
    return value, d_share, d_prior


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def draw_effects(gram: Any, score: Any, prior: Any, shocks: Any) -> Any:
    """Draw every golfer's effects from ``N(P^-1 s, P^-1)``, ``P = prior + gram``; shape (N, D).

    ``shocks`` are standard normal draws of the same shape.
    """
    golfers, size = score.shape
    out = np.zeros((golfers, size))
    matrix, first = np.zeros((size, size)), np.zeros(size)
    for n in range(golfers):
        matrix[:, :] = prior + gram[n]
        if not _factor(matrix, size):
            out[n, :] = np.nan
            continue
        for i in range(size):
            total = score[n, i]
            for k in range(i):
                total -= matrix[i, k] * first[k]
            first[i] = total / matrix[i, i]
        for i in range(size):
            first[i] += shocks[n, i]
        for i in range(size - 1, -1, -1):
            total = first[i]
            for k in range(i + 1, size):
                total -= matrix[k, i] * out[n, k]
            out[n, i] = total / matrix[i, i]
    return out


def kernel_data(data: Observations) -> tuple[Any, ...]:
    """What the kernel reads that does not change: bounds, seen, drift, knot, weight of the next knot."""
    none = np.zeros(len(data.owner))
    seen = np.ascontiguousarray(np.stack([data.seen.get(kind, none) > 0 for kind in KINDS], axis=1))
    return data.bounds, seen, data.drift, data.knot, data.knot_weight

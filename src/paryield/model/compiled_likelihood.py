"""The likelihood and its gradient, compiled: rows forward, the golfers' evidence, rows backward.

The kernels work on some golfers at a time: what one pass over a few hundred occasions touches stays in the
processor's near memory for the next. Numba keeps what it compiled as long as this file stays: a change of
the layout changes it too (layout 4).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from paryield.model.compiled_rows import rows_backward, rows_forward
from paryield.model.kernel import evidence


@njit(cache=True, nogil=True, error_model="numpy")
def likelihood(
    batches: Any, bounds: Any, alike: Any, during: Any, x: Any, blocks: Any, first: Any, knots: Any,
    club: Any, at: Any, floor: float, reference: float, bend: float, t: Any, prior: Any, direction: Any,
    error: Any, apart: Any, form: Any, d_direction: Any, d_error: Any, d_apart: Any, d_form: Any, g: Any,
) -> tuple[float, Any]:  # fmt: skip
    """Log likelihood but for the determinant of the golfers' prior, with its derivatives.

    Parameters
    ----------
    batches : int array, shape (batch + 1, 2)
        Where each batch begins among the golfers and among the blocks.
    bounds : int array, shape (N + 1,)
        Which measurements are whose.
    alike, during : int arrays, shape (M,)
        Kind of test of each and the golfer's spell of form, -1 for what is none.
    x, blocks, first, knots, club, at, floor, reference, bend
        As :func:`paryield.model.compiled_rows.rows_forward` takes them.
    t : array
        Population values.
    prior : array, shape (D, D)
    direction, error, apart, form and d_ of each : arrays, shapes (M, D), (M,), (M,) and (M,)
        Memory of the caller; ``direction`` begins with zeros.
    g : array, shaped as ``t``
        The derivatives by the population values are added to it.

    Returns
    -------
    value : float
    d_prior : array, shape (D, D)
    """
    value, d_prior = 0.0, np.zeros(prior.shape)
    for batch in range(len(batches) - 1):
        start, stop = batches[batch, 1], batches[batch + 1, 1]
        begin, end = batches[batch, 0], batches[batch + 1, 0] + 1
        mine = (x[start:stop], blocks[start:stop], first[start:stop], knots[start:stop])
        value += rows_forward(*mine, club, at, t, floor, reference, bend, direction, error, apart, form)
        found, d_here = evidence(
            bounds[begin:end], alike, during, direction, error, apart, form, prior, d_direction, d_error,
            d_apart, d_form,
        )  # fmt: skip
        value += found
        d_prior += d_here
        rows_backward(*mine, club, at, t, floor, reference, bend, d_direction, d_error, d_apart, d_form, g)
    return value, d_prior

"""Whose change was it: the change that practice made between two days, shared out over the categories.

Categories act together, because each closes a share of the gap that the others left. Along the straight
line from the first state to the second every small step belongs to one category; summed up, the shares are
exact and do not depend on an order (Aumann & Shapley 1974, Values of Non-Atomic Games; for products of
factors the same as the logarithmic mean Divisia index, Ang 2004, Energy Policy 32:1131; both from memory).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from paryield.dose.stock import HOURS_UNIT, bend_slope, bent
from paryield.forecast.past import Past

FLOATS = npt.NDArray[np.float64]
POINTS, WEIGHTS = np.polynomial.legendre.leggauss(5)


def practice_credit(past: Past, reference: int) -> FLOATS:
    """Change of strokes lost that each category made since a reference day.

    Parameters
    ----------
    past : Past
    reference : int
        Place of the reference day among ``past.days``.

    Returns
    -------
    array, shape (S, T, J)
        Strokes, negative where scores fell; over categories they sum to the change of
        :func:`paryield.forecast.outlook.practised`.
    """
    golfer = past.golfer
    rates = golfer.rate_area / HOURS_UNIT
    begun = bend_slope(golfer.start, golfer.bend_hours) * golfer.steady
    done = bent(past.stock, golfer.bend_hours) - bent(golfer.start, golfer.bend_hours)[:, None, :]
    turn = past.extra * bend_slope(past.stock, golfer.bend_hours) - begun[:, None, :]
    closed, turned = done @ rates, turn @ rates
    # Written out over all days once: operations that repeat four areas at a time are slow.
    gap, extra, first_closed, first_turned = (
        np.ascontiguousarray(np.broadcast_to(value, closed.shape))
        for value in (
            (golfer.level - golfer.floor + golfer.response[:, None] * golfer.gap)[:, None, :],
            (golfer.start_extra[:, None] * golfer.gap)[:, None, :],
            closed[:, [reference]],
            turned[:, [reference]],
        )
    )
    by_done, by_turn = np.zeros_like(closed), np.zeros_like(closed)
    closing, turning = closed - first_closed, turned - first_turned
    for point, weight in zip((POINTS + 1.0) / 2.0, WEIGHTS / 2.0, strict=True):
        left = weight * np.exp(-(first_closed + point * closing))
        by_done -= left * (gap - extra * (first_turned + point * turning))
        by_turn -= left * extra
    step, twist = done - done[:, [reference]], turn - turn[:, [reference]]
    back = rates.transpose(0, 2, 1)
    credit: FLOATS = step * (by_done @ back) + twist * (by_turn @ back)
    return credit

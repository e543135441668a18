"""Rounds of one golfer hang together: weights for a regression on rounds."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.linalg import solve_triangular

from paryield.arrays import FLOATS
from paryield.units import DAYS_PER_YEAR

LEVEL_SD, TREND_SD = 7.0, 0.3
FORM_SD, FORM_DAYS = 0.8, 70.0
"""Spread of golfers' levels (strokes) and trends (strokes a year), and form that comes and goes (strokes,
days). [judgement]; they set weights only: the errors of the regression do not rest on them."""
LUCK_SD = 3.3
"""Spread of one round where it cannot be seen, about an index of 16: 2.6 + 0.043 x index (computed from the
USGA odds table, verified)."""


def cover(days: FLOATS, luck: float) -> FLOATS:
    """Covariance of one golfer's rounds, shape (n, n): level, trend, form and luck.

    Parameters
    ----------
    days : array, shape (n,)
    luck : float
        Spread of one round, strokes.
    """
    years = (days - days.min()) / DAYS_PER_YEAR
    apart = np.abs(days[:, None] - days[None, :])
    whole = LEVEL_SD**2 + TREND_SD**2 * np.outer(years, years) + FORM_SD**2 * np.exp(-apart / FORM_DAYS)
    out: FLOATS = whole + luck**2 * np.eye(len(days))
    return out


def luck_sd(scores: FLOATS, who: npt.NDArray[np.intp], days: FLOATS) -> float:
    """Spread of one round: half the mean squared difference of successive rounds of one golfer (von
    Neumann), which slow changes of level hardly touch."""
    order = np.lexsort((days, who))
    step, same = np.diff(scores[order]), np.diff(who[order]) == 0
    return float(np.sqrt(0.5 * np.mean(step[same] ** 2))) if same.sum() >= 10 else LUCK_SD


def whitened(
    design: FLOATS, outcome: FLOATS, who: npt.NDArray[np.intp], days: FLOATS
) -> tuple[FLOATS, FLOATS]:
    """Design and outcome with every golfer's rounds made independent and of unit variance.

    Parameters
    ----------
    design : array, shape (rounds, columns)
    outcome : array, shape (rounds,)
    who : int array, shape (rounds,)
        Number of the golfer.
    days : array, shape (rounds,)

    Returns
    -------
    tuple of array
        Ordinary least squares on them is generalised least squares on the rounds.
    """
    both = np.column_stack([design, outcome])
    luck = max(luck_sd(outcome, who, days), 0.5)
    turned = np.empty_like(both)
    for number in range(int(who.max()) + 1):
        rows = np.flatnonzero(who == number)
        lower = np.linalg.cholesky(cover(days[rows], luck))
        turned[rows] = solve_triangular(lower, both[rows], lower=True)
    return turned[:, :-1], turned[:, -1]

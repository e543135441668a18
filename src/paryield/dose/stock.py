"""Carry-over and its effect: hours of practice still at work on a day, and the gap that they leave open.

An hour practised ``d`` days ago counts ``2 ** (-d / half_life)``. A constant weekly habit kept up for ever
reaches the steady stock ``hours_per_week / 7 / (1 - 2 ** (-1 / half_life))``.

From stock to strokes there are operators only, so that the same lines run on arrays and on model tensors.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS, INTS

HALF_LIFE_NODES: tuple[float, ...] = (0.359, 0.652, 1.518, 2.758)
"""Multiples of a category's prior half-life at which stocks are tabulated (Chebyshev points of the log
range 0.33-3.0, which holds 99.8 % of the prior)."""

HOURS_UNIT = 20.0
"""Rates are stated per 20 hours of practice at work."""


def stock(hours: FLOATS, half_life_days: float, axis: int = 1) -> FLOATS:
    """Hours still at work at the start of each day, from practice on the days before.

    Parameters
    ----------
    hours : array
        Hours a day along ``axis``.
    half_life_days : float
        Days after which half is left; must be positive.

    Returns
    -------
    array
        Same shape; the first day is 0.
    """
    if half_life_days <= 0:
        raise ValueError(f"half-life must be positive, found {half_life_days}")
    along = np.moveaxis(hours, axis, -1)[..., None]
    return np.moveaxis(stocks_by_day(along, np.array([half_life_days]))[..., 0], -1, axis)


def stocks_by_day(hours: FLOATS, half_lives: FLOATS) -> FLOATS:
    """Stock of every category, as :func:`stock`: hours a day (..., day, category), half-lives (category,)."""
    keep, out = 2.0 ** (-1.0 / half_lives), np.zeros(hours.shape)
    # An hour of yesterday has decayed by one day.
    for day in range(1, hours.shape[-2]):
        out[..., day, :] = keep * (hours[..., day - 1, :] + out[..., day - 1, :])
    return out


def stock_on(hours: FLOATS, half_lives: FLOATS, days: INTS) -> FLOATS:
    """Hours still at work at the start of asked days only: the sum that :func:`stock` runs day by day.

    Parameters
    ----------
    hours : array, shape (day, category)
        Hours a day.
    half_lives : array, shape (category,)
        Days, positive.
    days : int array, shape (T,)
        Rows of ``hours``; one past the last row is the day after.

    Returns
    -------
    array, shape (T, category)
    """
    ago = days[:, None] - np.arange(len(hours))[None, :]
    keep = -1.0 / half_lives
    out = np.empty((len(days), hours.shape[1]))
    for place in range(hours.shape[1]):
        left = np.where(ago > 0, np.exp2(keep[place] * np.maximum(ago, 0)), 0.0)
        out[:, place] = left @ hours[:, place]
    return out


def steady_stock(hours_per_week: Any, half_life_days: Any) -> Any:
    """Stock of a weekly habit kept up for ever, in hours."""
    keep = 2.0 ** (-1.0 / half_life_days)
    return hours_per_week / 7.0 * keep / (1.0 - keep)


def node_weights(log_multiple: Any) -> list[Any]:
    """Lagrange weights that interpolate a stock between the tabulated half-lives.

    Parameters
    ----------
    log_multiple : float, array or tensor
        Natural logarithm of half-life over the category's prior half-life.

    Returns
    -------
    list
        One weight per node, of the shape of the input; they sum to 1.
    """
    nodes = np.log(np.asarray(HALF_LIFE_NODES))
    weights = []
    for here, node in enumerate(nodes):
        weight: Any = 1.0
        for other, far in enumerate(nodes):
            if other != here:
                weight = weight * ((log_multiple - far) / (node - far))
        weights.append(weight)
    return weights


def bent(stock_hours: Any, bend_hours: Any) -> Any:
    """Concave effective hours ``S / (1 + S / c)`` (Michaelis-Menten): S while well below the bend ``c``."""
    return stock_hours / (1.0 + stock_hours / bend_hours)


def bend_slope(stock_hours: Any, bend_hours: Any) -> Any:
    """Derivative of :func:`bent` by the stock."""
    return 1.0 / (1.0 + stock_hours / bend_hours) ** 2


def lost_strokes(level: Any, floor: Any, left: Any) -> Any:
    """Strokes lost in an area: floor + (level at the start - floor) x share of the gap left."""
    return floor + (level - floor) * left

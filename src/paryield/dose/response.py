"""From stock to gain: the share of a gap that is still open.

Operators only, so that the same lines run on NumPy arrays and on model tensors.
"""

from __future__ import annotations

from typing import Any

HOURS_UNIT = 20.0
"""Rates are stated per 20 hours of practice at work."""


def bent(stock_hours: Any, bend_hours: Any) -> Any:
    """Concave effective hours ``S / (1 + S / c)`` (Michaelis-Menten): S while well below the bend ``c``."""
    return stock_hours / (1.0 + stock_hours / bend_hours)


def bend_slope(stock_hours: Any, bend_hours: Any) -> Any:
    """Derivative of :func:`bent` by the stock."""
    return 1.0 / (1.0 + stock_hours / bend_hours) ** 2


def lost_strokes(level: Any, floor: Any, left: Any) -> Any:
    """Strokes lost in an area: floor + (level at the start - floor) x share of the gap left."""
    return floor + (level - floor) * left

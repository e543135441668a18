"""Units: conversions at the border and the constants that carry a unit in their name."""

from __future__ import annotations

FEET_PER_YARD = 3.0
"""Exact by definition of the international yard and foot (1959 agreement)."""

METRES_PER_YARD = 0.9144
"""Exact by definition of the international yard (1959 agreement)."""

MINUTES_PER_HOUR = 60.0
DAYS_PER_YEAR = 365.25
DAYS_PER_MONTH = DAYS_PER_YEAR / 12.0

YARDS_PER_UNIT: dict[str, float] = {"yd": 1.0, "ft": 1.0 / FEET_PER_YARD, "m": 1.0 / METRES_PER_YARD}


def to_yards(distance: float, unit: str) -> float:
    """Convert a distance to yards, the one unit used inside.

    Parameters
    ----------
    distance : float
        Distance in ``unit``.
    unit : {"yd", "ft", "m"}
        Unit of the distance.

    Raises
    ------
    KeyError
        When the unit is not one of the three.
    """
    return distance * YARDS_PER_UNIT[unit]

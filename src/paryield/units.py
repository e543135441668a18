"""Units: conversions at the border and the constants that carry a unit in their name."""

from __future__ import annotations

FEET_PER_YARD = 3.0
"""Exact by definition of the international yard and foot (1959 agreement)."""

METRES_PER_YARD = 0.9144
"""Exact by definition of the international yard (1959 agreement)."""

MINUTES_PER_HOUR = 60.0
DAYS_PER_YEAR = 365.25
DAYS_PER_MONTH = DAYS_PER_YEAR / 12.0

METRES_PER_SECOND_PER_UNIT: dict[str, float] = {
    "m/s": 1.0,
    "km/h": 1.0 / 3.6,
    "mph": 1760.0 * METRES_PER_YARD / 3600.0,
}
"""A mile is 1760 yards (exact)."""

YARDS_PER_UNIT: dict[str, float] = {"yd": 1.0, "ft": 1.0 / FEET_PER_YARD, "m": 1.0 / METRES_PER_YARD}

METRES_PER_UNIT: dict[str, float] = {unit: yards * METRES_PER_YARD for unit, yards in YARDS_PER_UNIT.items()}


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


def from_yards(distance: float, unit: str) -> float:
    """Convert a distance in yards to a unit that a reader uses.

    Parameters
    ----------
    distance : float
        Distance in yards.
    unit : {"yd", "ft", "m"}
        Unit wanted.

    Raises
    ------
    KeyError
        When the unit is not one of the three.
    """
    return distance / YARDS_PER_UNIT[unit]


WORDS: dict[str, str] = {
    **dict.fromkeys(("yd", "yds", "yard", "yards"), "yd"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("ft", "foot", "feet"), "ft"),
    **dict.fromkeys(("mph", "mi/h", "miles per hour"), "mph"),
    **dict.fromkeys(("km/h", "kmh", "kph", "kilometres per hour", "kilometers per hour"), "km/h"),
    **dict.fromkeys(("m/s", "mps", "metres per second", "meters per second"), "m/s"),
}


def unit_of(word: str) -> str | None:
    """Return the unit that a word stands for: yd, m, ft, mph, km/h or m/s; None for any other."""
    return WORDS.get(" ".join(word.strip().lower().rstrip(".").split()))


def hours_words(hours: float) -> str:
    """Return hours as a person says them, to the minute: 34 min, 1 h 22 min, 3 h."""
    whole, rest = divmod(round(hours * MINUTES_PER_HOUR), int(MINUTES_PER_HOUR))
    if not whole:
        return f"{rest} min"
    return f"{whole} h {rest} min" if rest else f"{whole} h"


def counted(count: int, one: str) -> str:
    """Return how many with their noun, given for a single one: "1 golfer", "3 golfers"."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"


def listed(items: list[str]) -> str:
    """Return the items as a list in a sentence: a, b and c."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"

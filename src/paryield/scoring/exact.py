"""Exact numbers and the one rounding rule: to the nearest tenth, a half goes up towards +infinity.

Rule 5.1c of the Rules of Handicapping: "rounding is made upward towards 0" for negative values
(-1.55 becomes -1.5; read in the published rule, verified). Binary floats miss half-tenths, so every
value is read as the decimal it shows and handled as a fraction or as a whole number of tenths.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from math import isfinite

from paryield.errors import InputError

type Number = int | float | Fraction


def exact(value: Number, name: str = "value") -> Fraction:
    """Return the decimal that a number shows as an exact fraction.

    Parameters
    ----------
    value : int, float or Fraction
        A finite number; 3.45 means 345/100, not the nearest binary fraction.
    name : str
        What the number is, for the message.

    Raises
    ------
    InputError
        When the value is not a finite number.
    """
    if isinstance(value, Fraction):
        return value
    try:
        if isinstance(value, bool) or not isfinite(value):
            raise ValueError
        return _decimal(str(value))
    except (TypeError, ValueError):
        raise InputError(
            f"{name} must be a finite number, found {value!r}", remedy=f"give {name} as a plain number"
        ) from None


@lru_cache(maxsize=4096)
def _decimal(text: str) -> Fraction:
    """Scores, ratings and indexes come again and again; reading one takes longer than all the rest."""
    return Fraction(text)


def in_range(value: Number, low: Number, high: Number, name: str) -> Fraction:
    """Return the value as an exact fraction, or say which range it misses."""
    number = exact(value, name)
    # A float lies on the same side of a whole number as the decimal that it shows.
    if not low <= value <= high:
        raise InputError(
            f"{name} must be between {low} and {high}, found {value}", remedy=f"check the {name}"
        )
    return number


def whole(value: Number) -> int:
    """Round to the nearest whole number, a half upwards."""
    number = exact(value)
    return (2 * number.numerator + number.denominator) // (2 * number.denominator)


def tenths(value: Number) -> int:
    """Round to the nearest tenth, a half upwards, and return the number of tenths."""
    number = exact(value)
    return (20 * number.numerator + number.denominator) // (2 * number.denominator)


def from_tenths(value: int) -> float:
    """Return a whole number of tenths as the float nearest to it."""
    return value / 10

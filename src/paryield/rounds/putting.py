"""The geometry of a putt: how likely it drops, given the golfer's spreads; and putts tried and made.

Gelman & Nolan 2002, Teaching Statistics 24(3); the model with distance as in the golf case study of Stan
(github.com/stan-dev/example-models, knitr/golf/golf.Rmd, read). Everything is written with operators, and
takes the functions that are not, so that it runs on arrays and on model tensors.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from paryield.arrays import BOOLS, FLOATS
from paryield.errors import InputError

BALL_RADIUS_FEET = 1.68 / 24.0
HOLE_RADIUS_FEET = 4.25 / 24.0
"""Diameters 1.68 and 4.25 inches (constants of the Stan golf case study, verified)."""

HOLE_MINUS_BALL_FEET = HOLE_RADIUS_FEET - BALL_RADIUS_FEET

OVERSHOT_FEET = 1.0
TOLERANCE_FEET = 3.0
"""A putt is aimed 1 ft past the hole, and drops when it would stop between the hole and 3 ft past it
(constants of the Stan golf case study, verified)."""

TINY = 1e-300

Function = Callable[[Any], Any]


def normal_cdf(value: Any) -> Any:
    """Return the normal distribution function of an array."""
    from scipy.special import ndtr  # here, so that answers without putts need not wait for it

    return ndtr(value)


def threshold_angle(distance_ft: Any, arcsin: Function = np.arcsin) -> Any:
    """Return the largest error of direction, in radians, with which a ball still meets the hole.

    Parameters
    ----------
    distance_ft : array
        Feet, at least :data:`HOLE_MINUS_BALL_FEET`.
    arcsin : callable
        Inverse sine of the array library in use.
    """
    return arcsin(HOLE_MINUS_BALL_FEET / distance_ft)


def miss_by_angle(
    distance_ft: Any, sigma_angle: Any, *, cdf: Function = normal_cdf, arcsin: Function = np.arcsin
) -> Any:
    """Return the chance that the direction is too far off; ``sigma_angle`` in radians."""
    return 2.0 * cdf(-threshold_angle(distance_ft, arcsin) / sigma_angle)


def miss_by_distance(distance_ft: Any, sigma_distance: Any, *, cdf: Function = normal_cdf) -> Any:
    """Return the chance to be too short or too long; the sd of the roll is ``sigma_distance`` of it."""
    sd_feet = (distance_ft + OVERSHOT_FEET) * sigma_distance
    return cdf(-OVERSHOT_FEET / sd_feet) + cdf(-(TOLERANCE_FEET - OVERSHOT_FEET) / sd_feet)


def make_probability(
    distance_ft: Any,
    sigma_angle: Any,
    sigma_distance: Any = None,
    *,
    cdf: Function = normal_cdf,
    arcsin: Function = np.arcsin,
) -> Any:
    """Return the chance to hole a putt.

    Parameters
    ----------
    distance_ft : array
        Feet from ball to hole.
    sigma_angle : array
        Standard deviation of the direction, radians; broadcast against the distance.
    sigma_distance : array or None
        Standard deviation of the length of the roll as a share of it; None leaves length out.
    cdf, arcsin : callable
        Standard normal distribution function and inverse sine of the array library in use.
    """
    made = 1.0 - miss_by_angle(distance_ft, sigma_angle, cdf=cdf, arcsin=arcsin)
    if sigma_distance is None:
        return made
    return made * (1.0 - miss_by_distance(distance_ft, sigma_distance, cdf=cdf))


def log_likelihood(
    distance_ft: Any,
    tried: Any,
    made: Any,
    sigma_angle: Any,
    sigma_distance: Any = None,
    *,
    cdf: Function = normal_cdf,
    arcsin: Function = np.arcsin,
    log: Function = np.log,
) -> Any:
    """Return the binomial log-likelihood of each row, without the binomial coefficient.

    Parameters are those of :func:`make_probability`, with ``tried`` putts of which ``made`` were holed.
    The chance to miss is summed from its parts, so that short putts lose no precision.
    """
    wide = miss_by_angle(distance_ft, sigma_angle, cdf=cdf, arcsin=arcsin)
    if sigma_distance is None:
        return made * log(1.0 - wide + TINY) + (tried - made) * log(wide + TINY)
    off = miss_by_distance(distance_ft, sigma_distance, cdf=cdf)
    hit = log(1.0 - wide + TINY) + log(1.0 - off + TINY)
    return made * hit + (tried - made) * log(wide + off - wide * off + TINY)


@dataclass(frozen=True, eq=False)
class Putts:
    """Putts tried and made, one row per distance; a distance may stand more than once.

    Parameters
    ----------
    distance_ft : array, shape (D,)
        Feet, more than the 0.107 by which the hole's radius passes the ball's.
    tried, made : array, shape (D,)
        Whole numbers, ``made`` at most ``tried``.

    Raises
    ------
    InputError
        When there is no putt, or a value cannot be; the row (from 1) is named.
    """

    distance_ft: FLOATS
    tried: FLOATS
    made: FLOATS

    def __post_init__(self) -> None:
        columns = {}
        for name in ("distance_ft", "tried", "made"):
            columns[name] = np.array(getattr(self, name), dtype=float, ndmin=1)
            columns[name].setflags(write=False)
            object.__setattr__(self, name, columns[name])
        if any(column.shape != self.distance_ft.shape or column.ndim != 1 for column in columns.values()):
            raise InputError(
                "distance_ft, tried and made differ in length", remedy="give one value of each a row"
            )
        for name, column in columns.items():
            _refuse(~np.isfinite(column), name, column, "is not a number", "give a number")
        too_short = self.distance_ft <= HOLE_MINUS_BALL_FEET
        remedy = f"give feet, more than {HOLE_MINUS_BALL_FEET:.3f}"
        _refuse(too_short, "distance_ft", self.distance_ft, "is no distance to putt from", remedy)
        for name in ("tried", "made"):
            wrong = (columns[name] < 0) | (columns[name] != np.floor(columns[name]))
            _refuse(wrong, name, columns[name], "is not a count", "give a whole number, 0 or more")
        _refuse(self.made > self.tried, "made", self.made, "is more than tried", "check made and tried")
        if not self.tried.sum():
            raise InputError("there is not one putt", remedy="give putts tried and made by distance in feet")


def _refuse(wrong: BOOLS, name: str, column: FLOATS, message: str, remedy: str) -> None:
    if wrong.any():
        row = int(np.flatnonzero(wrong)[0])
        raise InputError(f"{name} {column[row]:g} {message}", where=f"row {row + 1}", remedy=remedy)

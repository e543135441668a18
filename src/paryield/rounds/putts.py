"""Putts tried and made by distance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from paryield.arrays import BOOLS, FLOATS
from paryield.errors import InputError
from paryield.rounds.putting import HOLE_MINUS_BALL_FEET


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

"""The holes of made-up courses: par, length and stroke index."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS

Ints = npt.NDArray[np.intp]

NINE_PARS = (4, 3, 5, 4, 4, 3, 4, 5, 4)
NINE_YARDS = (385.0, 165.0, 500.0, 345.0, 410.0, 185.0, 370.0, 525.0, 425.0)
"""A nine of par 36; the other nine has the same lengths turned round, so that nines are alike (made up)."""

STROKE_INDEX = (9, 17, 3, 13, 1, 15, 11, 7, 5, 6, 8, 12, 16, 2, 14, 4, 18, 10)

USUAL_RATING, YARDS_PER_STROKE = 72.0, 0.025
"""A course is longer by this share for each stroke of its rating above the usual one (made up)."""


@dataclass(frozen=True)
class Layout:
    """Holes in order; ``par`` and ``stroke_index`` are whole numbers, ``yards`` whole yards."""

    par: Ints
    yards: FLOATS
    stroke_index: Ints

    def front(self, holes: int) -> Layout:
        """Return the first holes."""
        return Layout(self.par[:holes], self.yards[:holes], self.stroke_index[:holes])


def layout(rating: float) -> Layout:
    """Return 18 holes of a course by its rating (strokes, 18 holes)."""
    longer = 1.0 + YARDS_PER_STROKE * (rating - USUAL_RATING)
    yards = np.round(longer * np.array([*NINE_YARDS, *NINE_YARDS[::-1]]))
    par = np.array([*NINE_PARS, *NINE_PARS[::-1]])
    return Layout(par, yards, np.array(STROKE_INDEX))

"""Season: a wave a year and a smaller one of half a year, the club's own; the hemisphere follows the data.

It is the course, the weather and the ground: rounds have it. A test on the same green, mat or bay has not.
"""

from __future__ import annotations

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Term
from paryield.units import DAYS_PER_YEAR

SD = Constant(
    "season_sd",
    1.0,
    "strokes",
    source="a weak prior on half the range over a year: no association's statistic of it was found, and a"
    " winter is seen once or twice, in few rounds. With 0.5 winters were believed too little",
)


class Season(Term):
    """``season_cos cos(2 pi t / year) + season_sin sin(2 pi t / year)``."""

    name, part, label, at_tests = "season", "season", "time of year", False
    values = (
        Value("season_cos", Normal(0.0, SD), "strokes", label="season, summer against winter"),
        Value("season_sin", Normal(0.0, SD), "strokes", label="season, spring against autumn"),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Cosine and sine of the day in the year."""
        angle = 2 * np.pi * at.day / DAYS_PER_YEAR
        return np.stack([np.cos(angle), np.sin(angle)])


HALF_YEAR_SD = Constant(
    "season_half_year_sd", 0.3, "strokes", source="a season is no pure wave: a long winter, a short summer"
)


class HalfYear(Term):
    """``season_cos2 cos(4 pi t / year) + season_sin2 sin(4 pi t / year)``."""

    name, part, label, at_tests = "season_half_year", "season", "time of year", False
    values = (
        Value(
            "season_cos2",
            Normal(0.0, HALF_YEAR_SD),
            "strokes",
            label="season, both ends against both middles",
        ),
        Value(
            "season_sin2", Normal(0.0, HALF_YEAR_SD), "strokes", label="season, between its ends and middles"
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Cosine and sine of twice the day in the year."""
        angle = 4 * np.pi * at.day / DAYS_PER_YEAR
        return np.stack([np.cos(angle), np.sin(angle)])

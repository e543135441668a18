"""Background: what changes without practice, pooled over the club."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Term, Values
from paryield.units import DAYS_PER_YEAR

TREND_FADES_YEARS = 0.5
"""A pooled trend is not drawn on in a straight line: it fades with this time constant. [judgement]"""
UNIT = "strokes a year"


class Background(Term):
    """``-trend x years since the start of the record``, fading beyond the last day of the data."""

    name, part, label = "background", "background", "change without practice"
    values = (
        Value(
            "trend",
            Normal(
                Constant("trend_mean", 0.2, UNIT, source="improvement without practice"),
                Constant("trend_sd", 0.4, UNIT),
            ),
            "strokes a year gained without practice",
            label="change without practice",
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Years since the start of the golfer's record."""
        ahead = np.maximum(at.day - at.as_of, 0.0) / DAYS_PER_YEAR
        known = (np.minimum(at.day, at.as_of) - at.start) / DAYS_PER_YEAR
        years: FLOATS = known + TREND_FADES_YEARS * (1.0 - np.exp(-ahead / TREND_FADES_YEARS))
        return years[None, :]

    def weights(self, p: Values, xp: Any) -> Any:
        """A trend is improvement, so it takes strokes away."""
        return -p["trend"][..., None]

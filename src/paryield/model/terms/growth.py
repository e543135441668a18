"""Growth: juniors gain strokes as they grow, whatever they practise."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Term, Values
from paryield.units import DAYS_PER_YEAR

WHOLE_UNTIL, NONE_FROM = 16.0, 20.0
"""Age in years up to which growth is whole, and from which there is none; between them it falls in a straight
line. [judgement: boys and girls reach their height between 15 and 18, and their strength some years later]"""
UNIT = "strokes a year"


class Growth(Term):
    """``-growth x years of youth since the start of the record``; nothing where the birth year is unknown."""

    name, part, label = "growth", "growth", "growing up"
    kept = "born"
    values = (
        Value(
            "growth",
            Normal(
                Constant("growth_mean", 0.7, UNIT, source="juniors improve faster than adults do"),
                Constant("growth_sd", 0.8, UNIT, source="wide: nothing published could be read"),
            ),
            "strokes a year that a junior gains by growing",
            label="what juniors gain by growing",
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Years of youth from the start of the golfer's record to each day."""
        return self._youth(at, _born(at))

    def now(self, today: Moments, played: Moments) -> FLOATS:
        """Birth year of each golfer, 0 where unknown."""
        return _born(today)[None, :]

    def ahead(self, at: Moments) -> FLOATS:
        """The same on days to come, from the birth year that was kept."""
        born = np.asarray(at.kept.get(self.name, np.zeros(1)), dtype=float)
        return self._youth(at, np.full(len(at.day), born[0] if len(born) else 0.0))

    def weights(self, p: Values, xp: Any) -> Any:
        """Growth takes strokes away."""
        return -p["growth"][..., None]

    def _youth(self, at: Moments, born: FLOATS) -> FLOATS:
        year = 1970.0 + np.stack([at.start, at.day]) / DAYS_PER_YEAR
        first, last = _youth_years(year - (born + 0.5))
        return np.where(born > 0.0, last - first, 0.0)[None, :]


def _youth_years(age: FLOATS) -> FLOATS:
    """Years of whole growth lived by an age: the integral of the share of growth at each age."""
    falling = np.clip(age - WHOLE_UNTIL, 0.0, NONE_FROM - WHOLE_UNTIL)
    lived: FLOATS = np.minimum(age, WHOLE_UNTIL) + falling - falling**2 / (2.0 * (NONE_FROM - WHOLE_UNTIL))
    return lived


def _born(at: Moments) -> FLOATS:
    """Birth year at each moment, 0.0 where it is not on record, shape (T,)."""
    if at.tables is None or at.tables.golfers.empty:
        return np.zeros(len(at.day))
    people = at.tables.golfers.set_index("golfer_id")["birth_year"]
    found = people.reindex(at.golfer).astype("Float64").to_numpy(float, na_value=0.0)
    return np.asarray(found, dtype=float)

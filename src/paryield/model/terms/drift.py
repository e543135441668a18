"""Drift: a golfer's own slow change in one area over his record."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.model.prior import Constant, HalfNormal, Value
from paryield.model.terms.term import Effect, Here, Values, Weighed, independent
from paryield.tables.categories import AREAS

SHORTEST_DAYS = 180.0
"""A shorter record is taken for one of this length."""


def come(elapsed: Any, record: Any) -> npt.NDArray[np.float64]:
    """Share of the drift that has come so many days into a record of this length, shape of ``elapsed``.

    The first term of the Karhunen-Loeve series of a random walk over the record.
    """
    share: npt.NDArray[np.float64] = np.sin(
        np.pi / 2 * np.clip(elapsed / np.maximum(record, SHORTEST_DAYS), 0, 1)
    )
    return share


class Drift(Effect):
    """``drift x sin(pi / 2 x share of the record gone)`` in each area."""

    name = "drift"
    stored = ("drift", ("golfer", "area"), "strokes by the end of the record")
    values = (
        Value(
            "sd_drift",
            HalfNormal(
                Constant("drift_sd", 0.4, "strokes", source="scale of a golfer's own drift over the record")
            ),
            "strokes",
        ),
    )

    def size(self, data: Any) -> int:
        """One a scoring area."""
        return len(AREAS)

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """Independent from area to area."""
        return independent([p["sd_drift"]] * len(AREAS), xp)

    def weighed(self, here: Here) -> Weighed:
        """As far as it has come."""
        return [[here.drift if k == own else None for k in range(len(AREAS))] for own in range(len(AREAS))]

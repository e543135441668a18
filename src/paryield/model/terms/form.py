"""Form: a golfer's own slow ups and downs in all areas, which forget themselves."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.model.prior import Constant, LogNormal, Value
from paryield.model.terms.term import Effect, Here, Values, Weighed
from paryield.tables.categories import AREAS

SOURCE = "judgement; skill drifts over time on tour too (read, its values were not readable)"


class Form(Effect):
    """A mean-reverting wander, at knots and straight between them, by area as the shares say."""

    name = "form"
    stored = ("wander", ("golfer", "knot"), "strokes of form at the knots")
    values = (
        Value(
            "sd_wander",
            LogNormal(
                Constant("wander_sd", 0.9, "strokes", source=SOURCE), Constant("wander_sd_log", 0.5, "log")
            ),
            "strokes",
            label="size of good and bad spells",
        ),
        Value(
            "wander_days",
            LogNormal(
                Constant("wander_days", 120.0, "days", source=SOURCE),
                Constant("wander_days_log", 0.5, "log"),
            ),
            "days in which a golfer's form forgets itself to 37 %",
            label="length of good and bad spells",
        ),
    )

    def size(self, data: Any) -> int:
        """One a knot."""
        return len(data.knots)

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """``sd^2 exp(-days between the knots / wander_days)``."""
        apart = np.abs(data.knots[:, None] - data.knots[None, :])
        return p["sd_wander"][..., None, None] ** 2 * xp.exp(-apart / p["wander_days"][..., None, None])

    def weighed(self, here: Here) -> Weighed:
        """By the shares of the areas."""
        return [[here.share[..., k, None] + 0.0 * here.drift for k in range(len(AREAS))]]

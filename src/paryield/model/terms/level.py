"""Level: strokes lost by area at the start of a golfer's record."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.model.prior import COMPUTED, JUDGED, READ, Constant, LogNormal, Normal, Shares, Value
from paryield.model.terms.term import Effect, Here, Values, Weighed
from paryield.tables.categories import AREAS

SHARE = Constant(
    "share",
    (5.0, 7.0, 4.0, 3.0),
    "weights of the areas in a score gap between amateurs",
    COMPUTED,
    "from Broadie 2012 and others",
)


class Level(Effect):
    """``share x level_mean + selection x habit`` and the golfer's own: one part in all areas, one in each."""

    name = "level"
    stored = ("level", ("golfer", "area"), "strokes lost in an area at the start of the record")
    values = (
        Value(
            "level_mean",
            Normal(
                Constant(
                    "level_mean",
                    17.0,
                    "strokes",
                    READ,
                    "men's mean Handicap Index 14.2 (USGA counts), plus 2.5-4 for the mean differential",
                ),
                Constant("level_mean_sd", 5.0, "strokes"),
            ),
            "strokes, mean differential of the club at the start of records",
        ),
        Value(
            "sd_level",
            LogNormal(Constant("level_sd", 6.0, "strokes"), Constant("level_sd_log", 0.4, "log")),
            "strokes between golfers",
        ),
        Value("share", Shares(SHARE), "share of a score gap", ("area",), "share of strokes by area"),
        Value(
            "sd_area",
            LogNormal(
                Constant("area_sd", 0.8, "strokes", JUDGED, "spread of golfers of one level between areas"),
                Constant("area_sd_log", 0.5, "log"),
            ),
            "strokes between golfers of one level",
            ("area",),
        ),
        Value(
            "selection",
            Normal(
                0.0,
                Constant(
                    "selection_sd",
                    0.4,
                    "strokes lost in an area per weekly hour practised there",
                    JUDGED,
                    "people practise what is weak",
                ),
            ),
            "strokes lost in an area per weekly hour practised there",
        ),
    )

    def size(self, data: Any) -> int:
        """One a scoring area."""
        return len(AREAS)

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """Golfers differ in all areas by their shares, and in each."""
        together = p["sd_level"][..., None] * p["share"]
        own = p["sd_area"][..., :, None] ** 2 * np.eye(len(AREAS))
        return together[..., :, None] * together[..., None, :] + own

    def weighed(self, here: Here) -> Weighed:
        """As far as the gap is still open."""
        return [
            [here.left[..., k, :] if k == own else None for k in range(len(AREAS))]
            for own in range(len(AREAS))
        ]


def mean_level(p: Values, habit: Any) -> Any:
    """Strokes lost by area before anything is seen of a golfer, (..., K, T), for habits by area (K, T)."""
    mean = p["share"] * p["level_mean"][..., None]
    return mean[..., None] + p["selection"][..., None, None] * habit

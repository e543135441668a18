"""The score of a round and measured areas: luck of the day, and what stands in both."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from paryield.model.prior import COMPUTED, JUDGED, Constant, LogNormal, Normal, Value
from paryield.model.terms.term import Part, Values

NOISE = (
    "sd of a golfer's differentials = 2.6 + 0.043 x index, own multiplier log-sd 0.2, from the USGA "
    "odds table "
    "(read); the multiplier is estimated from successive rounds and shrunk before the fit"
)
LUCK = "luck of the day by area, and what no area holds"
EXPLAINED = "how much of a stat's luck the measured areas of the same round explain"


class Score(Part):
    """A score differential is the sum of the areas, the course and the golfer's luck of the day."""

    name = "score"
    values = (
        Value(
            "noise_scale",
            LogNormal(1.0, Constant("noise_scale_log", 0.15, "log")),
            "ratio to the published spread of rounds",
            label="spread of rounds, club",
        ),
    )
    constants = (
        Constant("noise_base", 2.6, "strokes", COMPUTED, NOISE),
        Constant("noise_slope", 0.043, "strokes per stroke of index", COMPUTED, NOISE),
        Constant("noise_golfer_log", 0.2, "log", COMPUTED, NOISE),
    )


class MeasuredAreas(Part):
    """Strokes lost by area as measured: the baseline may be off, and each area has luck of its own."""

    name = "areas"
    values = (
        Value(
            "area_day",
            LogNormal(
                Constant(
                    "area_day", (0.45, 0.6, 0.4, 0.45), "multiples of the golfer's spread", JUDGED, LUCK
                ),
                Constant("area_day_log", 0.35, "log"),
            ),
            "multiples of the golfer's spread",
            ("area",),
        ),
        Value(
            "area_rest",
            LogNormal(
                Constant("area_rest", 0.4, "multiples of the golfer's spread", JUDGED, LUCK),
                Constant("area_rest_log", 0.4, "log"),
            ),
            "multiples of the golfer's spread",
        ),
        Value(
            "area_offset",
            Normal(
                0.0,
                Constant(
                    "area_offset_sd",
                    1.0,
                    "strokes",
                    JUDGED,
                    "how far the baseline of measured area strokes may lie from the course ratings",
                ),
            ),
            "strokes between the baseline of measured areas and the course ratings",
        ),
        Value(
            "stat_share",
            Normal(
                Constant("stat_share", 0.8, "share", JUDGED, EXPLAINED),
                Constant("stat_share_sd", 0.4, "share"),
            ),
            "share of a stat's luck that measured areas explain",
        ),
        Value(
            "stat_spread",
            LogNormal(
                Constant("stat_spread", 0.9, "ratio", JUDGED, EXPLAINED),
                Constant("stat_spread_log", 0.15, "log"),
            ),
            "ratio of a stat's spread beside measured areas to that without",
        ),
    )

    def declare(self, p: Values, data: Any, priors: Mapping[str, Any]) -> Values:
        """Declare the values in the current PyMC model where the club has measured areas."""
        return super().declare(p, data, priors) if data.documents else p

"""Tests of the coach, and successes counted in practice: how each moves with strokes lost in its area."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from paryield.model.prior import JUDGED, Constant, Value

UNITS = "strokes, probits, club spreads, logs"
SOURCE = (
    "putting tests (in strokes), counts (on the probit scale, a stroke lost in the area), values "
    "such as speed "
    "(in club spreads) and spreads of measured balls (log; slopes of paryield.rounds.strikes): error "
    "that all "
    "tests share, what a stroke is worth (see paryield.rounds.coach_tests), and how far a golfer's tests may "
    "differ from his course for good; a stroke lost off the tee goes with 0.4 of a club's spread of carries: "
    "drives of 239, 220, 200 and 177 yd at an index below 6, 6-12, 13-20 and above 20 (distance report 2019, "
    "from memory) are 2.8 yd a point, so 11 yd a stroke lost there, and carries spread by about 25 yd"
)


class CoachTests:
    """``test_intercept + test_slope x strokes lost in the area``, and a golfer's own mismatch."""

    name, label = "tests", "tests"
    fixed = ()
    values = (
        Value("test_intercept", None, UNITS, ("test",)),
        Value("test_slope", None, f"{UNITS} a stroke lost in the area", ("test",)),
        Value("test_sd", None, UNITS, ("test",)),
    )
    constants = (
        Constant(
            "test_reading_sd",
            2.0,
            "strokes",
            JUDGED,
            "spread of strokes lost in an area with which the counts of a test are read",
        ),
        Constant("test_intercept_sd", (0.9, 0.8, 1.0, 0.4), UNITS, JUDGED, SOURCE),
        Constant("test_slope", (1.0, -0.17, -0.4, 0.14), f"{UNITS} a stroke", JUDGED, SOURCE),
        Constant("test_slope_log", (0.2, 0.5, 0.5, 0.4), "log", JUDGED, SOURCE),
        Constant("test_sd", (0.5, 0.2, 0.8, 0.15), UNITS, JUDGED, SOURCE),
        Constant("test_sd_log", 0.5, "log", JUDGED, SOURCE),
        Constant(
            "diary_doubt",
            2.0,
            "ratio",
            JUDGED,
            "how many times wider offsets and mismatch are for successes counted in practice",
        ),
    )

    def known(self) -> tuple[Constant, ...]:
        """All constants of the term."""
        return self.constants

    def declare(self, p: dict[str, Any], data: Any, priors: Mapping[str, Any]) -> None:
        """Declare the tests in the current PyMC model, shape (test,) each."""
        if not data.tests:
            return
        import pymc as pm
        import pytensor.tensor as pt

        form = np.array([task.form for task in data.tests])
        doubt = np.array([priors["diary_doubt"] if task.practice else 1.0 for task in data.tests])
        ease = np.array([task.ease for task in data.tests])
        centre = pt.where(form == 0, data.reference_level * (data.test_area @ p["share"]), ease)
        spread = np.array(priors["test_intercept_sd"])[form] * doubt
        p["test_intercept"] = pm.Normal("test_intercept", centre, spread, dims="test")
        middle = np.array(priors["test_slope"])[form]
        wide = np.array(priors["test_slope_log"])[form]
        size = pm.LogNormal("test_size", np.log(np.abs(middle)), wide, dims="test")
        p["test_slope"] = pm.Deterministic("test_slope", np.sign(middle) * size, dims="test")
        mismatch = np.log(np.array(priors["test_sd"])[form] * doubt)
        p["test_sd"] = pm.LogNormal("test_sd", mismatch, priors["test_sd_log"], dims="test")

"""Tests of the coach, and successes counted in practice: how each moves with strokes lost in its area."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from paryield.model.prior import JUDGED, Constant, LogNormal, Normal, Value, constants_in

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


BY_TEST = ("test_intercept", "test_slope", "test_sd", "test_new")
"""Population values that each test has of its own, in the order of the compiled rows."""
LUCK = "days, lies and circles differ between tests of one golfer (judgement)"
FAMILIAR = (
    "who takes a test for the first times does worse than he would once it is no news to him, whatever he "
    "practised in between (common practice, no source)"
)


def newness(earlier: Any, priors: Mapping[str, Any]) -> Any:
    """Share of the first time's handicap that is left when a test was taken so many times before."""
    return np.exp(-np.asarray(earlier, dtype=float) / priors["test_familiar"])


class CoachTests:
    """``test_intercept + test_slope x (strokes lost in the area + test_new x newness)``, and what is the
    golfer's own: how far his results in a kind of test lie from his course, the same in all his tests of that
    kind, ``test_sd`` wide between golfers. It is integrated out exactly beside his other effects."""

    name, label = "tests", "tests"
    fixed = ()
    values = (
        Value("test_intercept", None, UNITS, ("test",)),
        Value("test_slope", None, f"{UNITS} a stroke lost in the area", ("test",)),
        Value("test_sd", None, UNITS, ("test",)),
        Value(
            "test_new",
            Normal(
                Constant("test_new", 0.3, "strokes lost in the area", JUDGED, FAMILIAR),
                Constant("test_new_sd", 0.4, "strokes lost in the area", JUDGED, FAMILIAR),
            ),
            "strokes lost in the area by which a first test is worse",
            ("test",),
        ),
        Value(
            "test_luck",
            LogNormal(
                Constant("test_luck", 1.1, "multiple of its sampling error", JUDGED, LUCK),
                Constant("test_luck_log", 0.15, "log", JUDGED, LUCK),
            ),
            "spread of a golfer's results about his skill, in sampling errors",
        ),
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
        Constant("test_familiar", 2.0, "tests of the kind", JUDGED, FAMILIAR),
    )

    def known(self) -> tuple[Constant, ...]:
        """All constants of the term."""
        return (*self.constants, *(one for value in self.values for one in constants_in(value.law)))

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
        for value in self.values:
            if value.law is not None:
                p[value.name] = value.law.declare(value.name, priors, value.dims[0] if value.dims else None)

"""Tests of the coach, and successes counted in practice: how each moves with strokes lost in its area."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from paryield.model.prior import JUDGED, Constant, LogNormal, Normal, Value
from paryield.model.terms.term import Part, Values, declared

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
SPELL = (
    "form in one area comes and goes: for weeks a golfer tests better or worse than his level has it "
    "(judgement)"
)
SPELL_DAYS = 42
"""Days for which a golfer's form at one kind of test is taken to stay the same. [judgement]"""
FAMILIAR = (
    "who takes a test for the first times does worse than he would once it is no news to him, whatever he "
    "practised in between (common practice, no source)"
)


def newness(earlier: Any, priors: Mapping[str, Any]) -> Any:
    """Share of the first time's handicap that is left when a test was taken so many times before."""
    return np.exp(-np.asarray(earlier, dtype=float) / priors["test_familiar"])


class CoachTests(Part):
    """``test_intercept + test_slope x (strokes lost in the area + test_new x newness)``, and what is the
    golfer's own: how far his results in a kind of test lie from his course, the same in all his tests of that
    kind, ``test_sd`` wide between golfers, and his form at it, ``test_form`` strokes wide, the same for
    :data:`SPELL_DAYS`. Both are integrated out exactly beside his other effects."""

    name = "tests"
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
        Value(
            "test_form",
            LogNormal(
                Constant("test_form", 0.4, "strokes lost in the area", JUDGED, SPELL),
                Constant("test_form_log", 0.5, "log", JUDGED, SPELL),
            ),
            "strokes lost in the area by which a golfer's form at a kind of test comes and goes",
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

    def declare(self, p: Values, data: Any, priors: Mapping[str, Any]) -> Values:
        """Declare the tests, shape (test,) each, in the current PyMC model and return ``p`` with them."""
        if not data.tests:
            return p
        import pymc as pm
        import pytensor.tensor as pt

        form = np.array([task.form for task in data.tests])
        doubt = np.array([priors["diary_doubt"] if task.practice else 1.0 for task in data.tests])
        ease = np.array([task.ease for task in data.tests])
        centre = pt.where(form == 0, data.reference_level * (data.test_area @ p["share"]), ease)
        spread = np.array(priors["test_intercept_sd"])[form] * doubt
        intercept = pm.Normal("test_intercept", centre, spread, dims="test")
        middle = np.array(priors["test_slope"])[form]
        wide = np.array(priors["test_slope_log"])[form]
        size = pm.LogNormal("test_size", np.log(np.abs(middle)), wide, dims="test")
        slope = pm.Deterministic("test_slope", np.sign(middle) * size, dims="test")
        mismatch = np.log(np.array(priors["test_sd"])[form] * doubt)
        apart = pm.LogNormal("test_sd", mismatch, priors["test_sd_log"], dims="test")
        own = {"test_intercept": intercept, "test_slope": slope, "test_sd": apart}
        return p | own | declared(self.values, priors)

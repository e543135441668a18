"""Places of what is known of occasions, club and population in the arrays of the compiled rows."""

from __future__ import annotations

from typing import Any

from numba import njit

from paryield.dose.stock import HALF_LIFE_NODES
from paryield.model.sheet import KINDS
from paryield.model.terms.coach_tests import BY_TEST
from paryield.model.terms.stats import OwnStats

COUNT, NODES = len(KINDS), len(HALF_LIFE_NODES)
WIDTH = 4 + len(OwnStats.of)
"""Columns of a load: areas, then the stats' own differences."""
GREENS, PUTTS, FAIRWAYS, UPDOWNS, PENALTIES, SCORE, TEST = 4, 5, 6, 7, 8, 9, 10
LANES = 64
"""Occasions worked on side by side."""

SCALARS = (
    "level_mean", "selection", "noise_scale", "start_known", "start_new", "area_offset", "area_rest",
    "stat_share", "stat_spread", "putts_per_green", "up_and_downs_on_putts", "penalties_on_greens",
    "putts_short_game", "test_luck", "test_form",
)  # fmt: skip
"""Population values that come first in ``t``, in this order; 0 where the club does not need one."""
(
    LEVEL, SELECTION, NOISE, KNOWN, NEW, OFFSET, REST, STAT_SHARE,
    STAT_SPREAD, PUTTS_ON_GREENS, UPDOWNS_ON_PUTTS, PENALTIES_ON_GREENS, PUTTS_SHORT,
    TEST_LUCK, TEST_FORM,
) = range(len(SCALARS))  # fmt: skip
STAT_VALUES = ("intercept", "sd", "slope", "day")
INTERCEPT, SPREAD, SLOPE, DAY = range(4)
TEST_WIDTH = len(BY_TEST)
TEST_MIDDLE, TEST_SLOPE, TEST_SD, TEST_NEW = range(TEST_WIDTH)
STAT = len(SCALARS)
SHARE = STAT + 5 * len(STAT_VALUES)
AREA_DAY = SHARE + 4
REST_OF_THETA = AREA_DAY + 4

VALUE, ERROR = 0, COUNT
JOINED, NOISE_GUESS, NEWNESS, DRIFT, LATE = range(2 * COUNT, 2 * COUNT + 5)
HABIT_AREA = LATE + 1
GAP = HABIT_AREA + 4
REST_OF_TABLE = GAP + 4

LENGTH, DOCUMENTED, WHICH_TEST, TEST_AREA, SEEN = range(5)
"""What is known of a block of occasions at which the same was measured; ``SEEN`` and on by kind."""

AT = (
    "CATEGORIES", "COURSE_COUNT", "TERM_COUNT", "COURSES", "TERM_WEIGHTS", "TESTS", "WEIGHTS", "STEADY",
    "RATES", "AT_COURSE", "AT_TERMS", "AT_HABIT", "AT_STOCK", "AT_HELD",
)  # fmt: skip
"""What the places of ``at`` hold: three lengths, beginnings in ``t``, beginnings in ``x``."""
(
    CATEGORIES, COURSE_COUNT, TERM_COUNT, COURSES, TERM_WEIGHTS, TESTS, WEIGHTS, STEADY, RATES,
    AT_COURSE, AT_TERMS, AT_HABIT, AT_STOCK, AT_HELD,
) = range(len(AT))  # fmt: skip

_alone: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
inner: Any = njit(cache=True, nogil=True, error_model="numpy", **_alone)
"""Compiles a function that only compiled ones call: taking its many arrays from Python would be compiled too,
which is a tenth of what a first fit compiles."""

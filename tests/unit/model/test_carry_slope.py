"""The prior slope of carry against published drives by handicap index."""

from __future__ import annotations

import numpy as np
import pytest

from paryield.model.spec import Priors

INDEX = np.array([3.0, 9.0, 16.5, 25.0])
DRIVES = np.array([239.0, 220.0, 200.0, 177.0])
"""Yards by index below 6, 6-12, 13-20 and above 20, at the middle of each band: USGA and R&A distance report
2019 (from memory)."""
OFF_THE_TEE = 5.0 / 19.0
"""Share of a score gap (Broadie 2008-2014, computed)."""


def test_a_stroke_off_the_tee_is_worth_as_much_carry_as_published_drives_say() -> None:
    yards_a_stroke = -np.polyfit(INDEX, DRIVES, 1)[0] / OFF_THE_TEE
    assert yards_a_stroke == pytest.approx(10.6, abs=0.6)
    slope, width = Priors().test_slope[2], Priors().test_slope_log[2]
    spread_yards = 25.0
    assert abs(np.log(-slope * spread_yards / yards_a_stroke)) < width

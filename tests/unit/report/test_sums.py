"""Parts that are shown beside their total add up to it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_tables import forecast_records

from paryield.report.sentences import because_sentences
from paryield.report.sums import adding_up, minutes_adding_up
from paryield.report.words import number, time_text

SIZES = st.floats(-20.0, 20.0, allow_nan=False)


@given(st.lists(SIZES, min_size=1, max_size=9), st.integers(0, 2))
def test_rounded_parts_add_up_to_the_rounded_total(parts: list[float], digits: int) -> None:
    """A law: the sum is that of the parts to half a step, and no part is off by a whole step."""
    shown, step = adding_up(parts, digits), 10.0**-digits
    assert round(sum(shown), digits) == pytest.approx(sum(parts), abs=0.5 * step + 1e-5)
    assert all(abs(one - part) < step + 1e-5 for one, part in zip(shown, parts, strict=True))
    assert all(round(one, digits) == pytest.approx(one, abs=1e-9) for one in shown)


def test_parts_that_need_no_help_are_rounded_as_ever() -> None:
    assert adding_up([0.5, 0.3, -0.2]) == [0.5, 0.3, -0.2]
    assert adding_up([]) == []


def test_minutes_of_a_week_add_up() -> None:
    """Three times 20.4 min are 61 min in all: 20, 20 and 20 would be one short."""
    hours = {"irons": 20.4 / 60, "chipping": 20.4 / 60, "driver": 20.4 / 60}
    assert sum(round(60 * one) for one in hours.values()) == 60
    shown = minutes_adding_up(hours)
    assert sorted(time_text(one) for one in shown.values()) == ["20 min", "20 min", "21 min"]
    assert time_text(sum(hours.values())) == "1 h 1 min"


def test_why_the_average_round_moves_adds_up() -> None:
    """Season 0.84, practice -0.06 and two small parts of 0.04 come to 0.9, and so does what is said."""
    sizes = {"season": 0.84, "practice": -0.06, "form": 0.04, "background": 0.04}
    because = [{"part": name, "mean": size, "q10": size, "q90": size} for name, size in sizes.items()]
    (said,) = because_sentences({**forecast_records()[0], "because": because})
    assert f"rises {number(0.9)} by" in said
    told = said.partition(": ")[2]
    sizes_told = re.findall(r"([+−]?\d+\.\d)(?: \(|$)", told.replace(" (estimated).", ""))
    assert len(sizes_told) == 3
    assert sum(float(one.replace("−", "-")) for one in sizes_told) == pytest.approx(0.9)

"""The baseline between, at and beyond the rows of its table."""

import numpy as np
import pytest

from paryield.rounds import baseline_status, strokes_to_hole_out
from paryield.rounds.references import LIES


@pytest.mark.parametrize(
    ("lie", "yards", "strokes"),
    [
        ("tee", 400, 3.99),
        ("fairway", 160, 2.98),
        ("fairway", 170, (2.98 + 3.08) / 2),
        ("rough", 60, 2.91),
        ("sand", 20, 2.53),
        ("recovery", 100, 3.80),
        ("green", 10 / 3, 1.61),
        ("green", 12.5 / 3, (1.61 + 1.78) / 2),
        ("tee", 600, 4.82),
    ],
)
def test_rows_of_the_table_and_the_middle_between(lie, yards, strokes):
    """Broadie 2012, Table 9 of the preprint, and Broadie 2014 for putts (both from memory)."""
    assert strokes_to_hole_out(lie, yards)[0] == pytest.approx(strokes)
    assert baseline_status(lie, yards)[0] == "from memory"


@pytest.mark.parametrize(
    ("lie", "yards", "strokes"),
    [
        ("fairway", 10, 2.40 - 0.20),
        ("sand", 5, 2.53 - 0.40),
        ("fairway", 0.5, 2.40 - 0.20 * np.log2(10)),
        ("fairway", 440, 4.11 + 4.08 - 3.99),
        ("tee", 80, 2.75 + 2.92 - 2.80),
        ("recovery", 60, 2.91 + 3.80 - 3.02),
        ("tee", 650, 4.82 + 0.5 * (4.82 - 4.41)),
        ("green", 70 / 3, 2.21 + 0.07),
        ("green", 0, 1.0),
    ],
)
def test_beyond_the_table_by_hand(lie, yards, strokes):
    assert strokes_to_hole_out(lie, yards)[0] == pytest.approx(strokes)
    assert baseline_status(lie, yards)[0] == "extrapolated"


def test_each_lie_runs_without_jumps():
    """A yard more changes the strokes by little: no break where the rules of the continuation meet."""
    for lie in LIES:
        yards = np.arange(1.0, 60.0 if lie == "green" else 700.0, 0.1)
        steps = np.diff(strokes_to_hole_out(lie, yards))
        assert np.abs(steps).max() < 0.05, lie
        if lie not in ("tee", "sand", "recovery"):  # the published rows of these three dip
            assert steps.min() > -1e-9, lie


def test_worse_lies_need_more_strokes():
    yards = np.arange(20.0, 500.0, 5.0)
    fairway, rough = (strokes_to_hole_out(lie, yards) for lie in ("fairway", "rough"))
    assert np.all(rough > fairway)
    assert np.all(strokes_to_hole_out("recovery", yards) > rough)
    assert np.all(strokes_to_hole_out("sand", yards) > fairway)


def test_an_unknown_lie_has_no_baseline():
    assert np.isnan(strokes_to_hole_out(["fairway", "water"], [100, 100])).tolist() == [False, True]

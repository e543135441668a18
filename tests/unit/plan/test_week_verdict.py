"""Change, try or keep: the rule at its edges, what it rests on, what it leaves alive and what it costs."""

from __future__ import annotations

import numpy as np
import pytest

from paryield.plan.evidence import GainEvidence
from paryield.plan.room import Bounds, make_room
from paryield.plan.week_verdict import keep_alive, rests_on, week_verdict

SURE = np.concatenate([np.full(85, 0.3), np.full(15, -0.1)])
DOUBTFUL = np.concatenate([np.full(75, 0.3), np.full(25, -0.1)])
SMALL = np.full(100, 0.09)
NAMES = ("chipping", "irons", "driver", "strength")
FOUND = GainEvidence({"chipping": 0, "irons": 1, "driver": 2}, np.array([0.6, 0.1, 0.3]), 0.7)


@pytest.mark.parametrize(
    ("gain", "evidence", "short", "before", "expected"),
    [
        (SURE, 0.2, 0.3, None, "change"),
        (SURE, 0.19, 0.3, None, "try"),
        (SURE, 0.19, 0.3, "change", "change"),
        (SURE, 0.14, 0.3, "change", "try"),
        (np.where(SURE > 0, 0.199, -0.1), 0.9, 0.3, None, "try"),
        (DOUBTFUL, 0.9, 0.3, None, "try"),
        (DOUBTFUL, 0.9, 0.3, "change", "change"),
        (SMALL, 0.9, 0.1, None, "try"),
        (SMALL, 0.9, 0.099, None, "keep"),
        (SMALL, 0.9, 0.099, "keep", "keep"),
        (SMALL, 0.9, 0.099, "try", "try"),
        (SMALL / 2, 0.9, 0.3, None, "keep"),
        (SMALL / 2, 0.9, 0.3, "try", "try"),
        (SMALL / 4, 0.9, 0.3, "try", "keep"),
    ],
)
def test_the_rule(gain: np.ndarray, evidence: float, short: float, before: str | None, expected: str) -> None:
    assert week_verdict(gain, evidence, short, before) == expected


def test_evidence_of_a_week_is_that_of_what_it_moves() -> None:
    """By hand: 1 h of .6, 1 h of .1, nothing of the driver, 2 h of strength that nobody practised."""
    assert rests_on(FOUND, NAMES, np.array([1.0, -1.0, 0.0, 2.0])) == pytest.approx(0.7 / 4)
    assert rests_on(FOUND, NAMES, np.zeros(4)) == 0.0


def test_assumed_categories_are_never_cut_to_nothing_and_measured_ones_may_be() -> None:
    now = np.array([2.0, 1.5, 1.0, 0.1])
    wide = Bounds(np.zeros(4), np.full(4, 4.0), np.zeros(4), np.full(4, 4.0), np.zeros((2, 4)))
    kept = keep_alive(wide, NAMES, now, FOUND)
    np.testing.assert_allclose(kept.low, [0.0, 0.5, 0.0, 0.0])
    limited = Bounds(np.zeros(4), np.array([4.0, 0.3, 4.0, 4.0]), np.zeros(4), np.full(4, 4.0), wide.usual)
    assert keep_alive(limited, NAMES, now, FOUND).low[1] == 0.3
    assert make_room(kept, 4.6).low[1] == 2
    few = keep_alive(wide, NAMES, np.array([0.0, 0.2, 0.0, 0.0]), FOUND)
    assert make_room(few, 0.25).low[1] == 1

"""The check on clubs where practice does nothing: what it allows for, and what it must still catch."""

from __future__ import annotations

import pandas as pd
import pytest

from paryield.evaluate.verify import NULL_CLAIMED, NULL_ERRORS, SMALL, _null


def clubs(claimed: list[float]) -> pd.DataFrame:
    """One row a null club, nothing standing out."""
    return pd.DataFrame(
        {
            "case": "null",
            "seed": range(len(claimed)),
            "stand_out": 0.0,
            "claimed": claimed,
            "population_low": 0.0,
        }
    )


def claim(claimed: list[float]) -> dict[str, object]:
    return next(one for one in _null(clubs(claimed)) if one["check"] == "null club: little is claimed")


@pytest.mark.parametrize(
    ("claimed", "ok"),
    [
        ([0.16, 0.10, 0.14], True),
        ([0.16, 0.17, 0.12], True),  # the mean lies within its own error
        ([0.30, 0.31, 0.32], False),  # all of them claim twice as much
        ([0.40, 0.50, 0.45], False),
    ],
)
def test_a_hundredth_above_by_chance_is_no_fault_and_a_false_claim_is(claimed: list[float], ok: bool) -> None:
    found = claim(claimed)
    assert found["ok"] is ok
    error = pd.Series(claimed).std(ddof=1) / len(claimed) ** 0.5
    assert found["wanted"] == f"at most {NULL_CLAIMED}, give or take {NULL_ERRORS * error:.2f}"


def test_the_small_run_has_clubs_enough_to_tell_their_spread() -> None:
    assert SMALL.null_seeds >= 3

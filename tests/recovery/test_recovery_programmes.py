"""Programmes on made-up clubs where members join when playing badly. By hand: uv run pytest -m slow"""

from __future__ import annotations

import pandas as pd
import pytest
from joblib import Parallel, delayed
from long_fits import fitted

from paryield.evaluate.programmes import (
    EFFECTS,
    PLAIN_SHARE,
    WIDEST,
    enrol_club,
    enrol_spec,
    programme_table,
    score_programme,
    score_second_route,
)
from paryield.model.spec import ModelSpec

pytestmark = pytest.mark.slow


def one(seed: int, effect: float) -> dict[str, object]:
    """The answer for one club of 40 golfers and 18 months."""
    spec = ModelSpec(draws=200, tune=150, chains=2, seed=seed + 1)
    return score_programme(*fitted(enrol_spec(seed, effect), spec))


def table(seeds: int, effect: float) -> pd.DataFrame:
    rows = Parallel(n_jobs=2)(delayed(one)(seed, effect) for seed in range(seeds))
    found = programme_table(pd.DataFrame(rows))
    print(found.round(2).to_string())
    return found


def test_nothing_is_credited_to_a_programme_that_does_nothing():
    """40 clubs: 33 to 39 intervals of 90 % hold the truth (about two binomial errors), narrow, and the
    middle stays far below before/after, which finds an improvement nearly always."""
    row = table(40, 0.0).iloc[0]
    assert 33 <= row["covered"] <= 39
    assert row["width"] < WIDEST
    assert row["share_of_plain"] < PLAIN_SHARE
    assert row["plain_better"] > 0.9


@pytest.mark.parametrize("effect", EFFECTS[1:])
def test_known_effects_come_back_although_drop_out_follows_the_outcome(effect):
    """12 clubs each: at least 9 intervals of 90 % hold the truth (97 in 100 if they are right); mean error
    below 0.4 stroke."""
    row = table(12, effect).iloc[0]
    assert row["covered"] >= 9
    assert abs(row["bias"]) < 0.4
    assert 0.15 < row["left_share"] < 0.4


def test_the_second_route_alone_holds_on_clubs_that_join_when_bad():
    """24 clubs, no fit: at least 19 intervals of 90 % hold the planted effect (two binomial errors below
    21.6), mean error below 0.3 stroke, narrower than 2.5 strokes."""
    rows = pd.DataFrame([score_second_route(enrol_club(seed, -0.5)) for seed in range(24)])
    print(rows.round(2).to_string())
    assert rows["covered"].sum() >= 19
    assert abs(rows["error"].mean()) < 0.3
    assert rows["width"].mean() < WIDEST

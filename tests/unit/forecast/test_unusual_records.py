"""Nine holes only, a plus handicap, the limit of 54, and a change from nine to 18 holes: sensible forecasts.

The fit is the session's; one golfer is given another record, and a level that goes with it.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.forecast import forecast_tables
from paryield.forecast.areas import area_now
from paryield.forecast.current import current_fit
from paryield.scoring import differentials, handicap_records
from paryield.tables import make_tables

WHO = "G01"
LUCK = [-2, 1, 3, -1, 0, 2, -3, 1, 4, -1]
"""Strokes about the golfer's usual round, ten rounds over and over: mean 0.4, sd 2.2."""


@pytest.fixture(scope="module")
def fitted(fitted_club):
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def whole(place, strokes):
    return {"adjusted_gross_score": 71 + strokes, "course_rating": 71.0, "slope_rating": 113, "holes": 18}


def nine(place, strokes):
    return {"adjusted_gross_score": 35 + strokes, "course_rating": 35.5, "slope_rating": 113, "holes": 9}


def with_record(tables, cards):
    """The club's tables with one golfer's rounds replaced, one every four days up to the last day."""
    last = tables.rounds["played_on"].max()
    days = [last - pd.Timedelta(days=4 * back) for back in range(len(cards))][::-1]
    rows = [{"golfer_id": WHO, "played_on": day, **card} for day, card in zip(days, cards, strict=True)]
    others = tables.rounds[tables.rounds["golfer_id"] != WHO]
    rounds = make_tables({"rounds": pd.DataFrame(rows)}).rounds
    return replace(tables, rounds=pd.concat([others, rounds], ignore_index=True))


def at_level(posterior, strokes):
    """The fit with the golfer's mean differential of the last day moved to so many strokes."""
    tree = posterior.tree.copy(deep=True)
    moved = replace(posterior, tree=tree)
    place = posterior.golfer_number(WHO)
    for _ in range(4):
        short = strokes - area_now(moved, WHO).sum(axis=1).mean()
        level = tree["posterior"]["level"].copy(deep=True)
        level[:, :, place, :] += short / 4.0
        tree["posterior"] = tree["posterior"].to_dataset().assign(level=level)
        moved = replace(posterior, tree=tree)
    return moved


def ahead(fitted, cards):
    """Index now, mean differential of the last 20, and draws ahead (4 and 12 weeks)."""
    posterior, tables = fitted
    changed = with_record(tables, cards)
    record = handicap_records(changed)[WHO]
    own = differentials(changed).query("golfer_id == @WHO")["differential"]
    level = float(own.tail(20).mean())
    answer = forecast_tables(at_level(posterior, level), changed, golfer=WHO, weeks=(4, 12))
    draws = answer.draws[WHO]
    assert not np.isnan(draws.index).any()
    return record.index, level, draws, answer


def test_the_level_moves_as_asked(fitted):
    moved = at_level(fitted[0], 30.0)
    assert area_now(moved, WHO).sum(axis=1).mean() == pytest.approx(30.0, abs=0.1)
    other = fitted[0].golfers[1]
    assert area_now(moved, other) == pytest.approx(area_now(fitted[0], other))


def test_nine_holes_only(fitted):
    """30 nines of about 10 over: half of the luck is averaged away, so the index stands near the mean."""
    index, level, draws, _ = ahead(fitted, [nine(k, 10 + LUCK[k % 10] // 2) for k in range(30)])
    assert level - 4 < index < level
    assert np.median(draws.index[:, 0]) == pytest.approx(index, abs=2.0)
    assert np.median(draws.mean[:, 0]) == pytest.approx(level, abs=2.0)


def test_a_plus_handicap(fitted):
    """Rounds about the rating: index below 0, written with a plus, and it stays one for a month."""
    index, level, draws, answer = ahead(fitted, [whole(k, LUCK[k % 10]) for k in range(30)])
    assert index < 0 < level
    assert np.median(draws.index[:, 0]) < 0
    record = next(one for one in answer.records if one["quantity"] == "handicap_index")
    assert record["q05"] < record["q50"] < record["q95"]


def test_the_limit_of_54(fitted):
    """64 over the rating on average: 54.0 now and in every draw that is not far better."""
    index, level, draws, _ = ahead(fitted, [whole(k, 64 + 2 * LUCK[k % 10]) for k in range(30)])
    assert index == 54.0
    assert level > 60
    assert draws.index.max() <= 54.0
    assert np.median(draws.index[:, 0]) == 54.0
    assert np.median(draws.mean[:, 0]) > 58


def test_a_change_from_nine_to_eighteen_holes(fitted):
    """20 nines and then 20 rounds of 18 by the same golfer: no step, now or ahead."""
    nines = [nine(k, 10 + LUCK[k % 10] // 2) for k in range(20)]
    before = ahead(fitted, nines)
    after = ahead(fitted, nines + [whole(k, 20 + LUCK[k % 10]) for k in range(20)])
    assert after[1] == pytest.approx(before[1], abs=1.5)
    assert after[0] == pytest.approx(before[0], abs=2.0)
    assert np.median(after[2].index[:, 0]) == pytest.approx(np.median(before[2].index[:, 0]), abs=2.0)


def test_part_of_a_round_counts_for_less(fitted):
    """Half of the nines' luck is expected play: their differentials spread less than those of 18 holes."""
    _, tables = fitted
    nines = differentials(with_record(tables, [nine(k, 10 + LUCK[k % 10] // 2) for k in range(30)]))
    rounds = differentials(with_record(tables, [whole(k, 20 + LUCK[k % 10]) for k in range(30)]))
    spread = [one.query("golfer_id == @WHO")["differential"].tail(20).std() for one in (nines, rounds)]
    assert spread[0] < 0.75 * spread[1]

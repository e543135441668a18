"""What a round says beyond its differential: counts from rounds and holes, and their scales."""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom, poisson

from paryield.rounds import STATS, round_measurements, round_stats
from paryield.rounds.card_stats import angle, angle_sd, root
from paryield.tables import make_tables

KEY = {"golfer_id": "A", "played_on": pd.Timestamp("2026-05-02"), "round_no": 1}
CARD = [(4, 4, 2, "hit", 0), (4, 6, 3, "missed", 1), (3, 3, 2, "none", 0)]
"""Par, strokes, putts, fairway, penalty strokes: greens on the first (4 - 2 <= 2) and third (3 - 2 <= 1)."""


def club(card=(), **details):
    frames = {"rounds": pd.DataFrame([KEY | details])}
    if card:
        names = ("par", "strokes", "putts", "fairway", "penalty_strokes")
        rows = [
            KEY | {"hole": n} | dict(zip(names, hole, strict=True)) for n, hole in enumerate(card, start=1)
        ]
        frames["holes"] = pd.DataFrame(rows)
    return make_tables(frames)


def counts(tables):
    return round_stats(tables).iloc[0]


def test_stats_as_given():
    given = {
        "greens_hit": 5,
        "fairways_hit": 6,
        "fairways_possible": 13,
        "putts": 34,
        "three_putts": 2,
        "up_and_downs_made": 3,
        "up_and_downs_tried": 11,
        "sand_saves_made": 0,
        "sand_saves_tried": 2,
        "penalty_strokes": 0,
    }
    row = counts(club(**given))
    assert row[list(STATS)].tolist() == [5, 6, 3, 0, 34, 0, 2]
    assert row[[f"{stat}_of" for stat in STATS]].tolist() == [18, 13, 11, 2, 18, 18, 18]


def test_the_holes_fill_what_the_round_leaves_blank():
    row = counts(club(CARD * 6, penalty_strokes=4))
    assert row[["greens", "putts", "three_putts", "fairways"]].tolist() == [12, 42, 6, 6]
    assert row[["greens_of", "putts_of", "three_putts_of", "fairways_of"]].tolist() == [18, 18, 18, 12]
    assert row["penalties"] == 4  # as given, although the holes add up to 6
    assert np.isnan(row["up_and_downs"])


def test_notes_on_a_few_holes_do_not_speak_of_the_round():
    """A penalty is written down when there is one: three notes of 18 are no rate."""
    few = [(4, 5, None, None, 1)] * 3 + [(4, 5, None, None, None)] * 15
    half = [(4, 5, 2, None, None)] * 9 + [(4, 5, None, None, None)] * 9
    assert np.isnan(counts(club(few))["penalties"])
    assert counts(club(half))[["putts", "putts_of"]].tolist() == [18, 9]
    assert np.isnan(counts(club(half))["fairways"])


def test_an_unfinished_hole_is_no_green_hit():
    card = [(4, 4, 2, "hit", 0)] * 10 + [(4, None, None, "hit", 0)] * 8
    assert counts(club(card))[["greens", "greens_of"]].tolist() == [10, 10]


def test_no_chance_is_unknown_and_fairways_have_a_usual_count():
    row = counts(club(sand_saves_made=0, sand_saves_tried=0, fairways_hit=5, holes=9))
    assert np.isnan(row["sand_saves"])
    assert row[["fairways", "fairways_of"]].tolist() == [5, 7]
    assert np.isnan(counts(club(fairways_possible=14))["fairways"])
    assert counts(club(fairways_hit=16))["fairways_of"] == 16


def test_putts_that_cannot_be_are_left_out():
    assert np.isnan(counts(club(putts=0))["putts"])
    assert counts(club(putts=24))["putts"] == 24


@pytest.mark.parametrize("of", [7, 9, 14, 18])
@pytest.mark.parametrize("chance", [0.2, 0.35, 0.5, 0.7])
def test_the_angle_has_the_error_it_states(of, chance):
    """By enumeration of the binomial: mean within 0.02 of asin(sqrt(p)), sd within 8 %."""
    hit = np.arange(of + 1)
    weight = binom.pmf(hit, of, chance)
    value = angle(hit, float(of))
    mean = weight @ value
    assert mean == pytest.approx(np.arcsin(np.sqrt(chance)), abs=0.02)
    assert np.sqrt(weight @ (value - mean) ** 2) == pytest.approx(angle_sd(np.array(of)), rel=0.08)


@pytest.mark.parametrize("rate", [1.0, 2.0, 3.0, 6.0])
def test_nine_holes_agree_with_eighteen_on_average_and_are_less_certain(rate):
    """By enumeration of the Poisson: means within 0.05; sd as stated from 3 in 18 holes on (15 %)."""
    count = np.arange(60)
    means, sds = [], []
    for holes in (18.0, 9.0):
        weight = poisson.pmf(count, rate * holes / 18)
        value = root(count, holes)
        means.append(weight @ value)
        sds.append(np.sqrt(weight @ (value - means[-1]) ** 2))
    assert means[1] == pytest.approx(means[0], abs=0.05)
    assert sds[1] > sds[0]
    if rate >= 3:
        assert sds == pytest.approx([0.5, 0.5 * 2**0.5], rel=0.15)


def test_the_frame_by_hand():
    """5 greens of 18: asin(sqrt(5.375 / 18.75)) = 0.5650; error 0.5 / sqrt(18.5); 17 putts on nine."""
    row = round_measurements(club(greens_hit=5)).iloc[0]
    assert row[["greens", "greens_sd"]].tolist() == pytest.approx([0.564996, 0.116248], abs=1e-5)
    assert np.isnan(row["putts"])
    assert row["stretch"] == 1.0
    nine = round_measurements(club(putts=17, holes=9, penalty_strokes=1)).iloc[0]
    assert nine[["putts", "stretch"]].tolist() == [34.0, 2.0]
    assert nine[["penalties", "penalties_sd"]].tolist() == pytest.approx([2.5**0.5, 0.5**0.5])


def test_rounds_without_detail_and_no_rounds():
    found = round_measurements(club(score_differential=12.3))
    assert found[list(STATS)].isna().all(axis=None)
    assert len(found) == 1
    assert round_measurements(make_tables({})).empty

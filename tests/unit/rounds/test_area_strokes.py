"""Strokes by area in a round, on the scale of the differential, by hand and by the scorecard."""

import numpy as np
import pandas as pd
import pytest

from paryield.rounds import area_strokes, round_parts
from paryield.rounds.area_strokes import HOLE_SD, TOUR_TO_SCRATCH, unseen_variance
from paryield.rounds.putting_skill import reference_putts
from paryield.tables import AREAS, make_tables

DAY = pd.Timestamp("2026-05-02")
KEY = {"golfer_id": "A", "played_on": DAY, "round_no": 1}
LONG = [("tee", 400), ("fairway", 160), ("sand", 20), ("green", 2), ("green", 2 / 3)]
SHORT = [("tee", 160), ("green", 10), ("green", 2 / 3)]
GAINED = {"off_the_tee": 0.01, "approach": -0.55, "short_game": 0.19, "putting": -0.66}
"""Of the long hole by hand: test_shots.py; the short one gains 0.01 in approach and loses 0.02 putting."""


def club(played, **details):
    rows = [
        KEY | {"hole": hole, "shot_no": number, "lie": lie, "distance": yards, "distance_unit": "yd"}
        for hole, shots in enumerate(played, start=1)
        for number, (lie, yards) in enumerate(shots, start=1)
    ]
    return make_tables({"rounds": pd.DataFrame([KEY | details]), "shots": pd.DataFrame(rows)})


def lost(tables):
    frame = area_strokes(tables)
    assert frame["area"].tolist() == list(AREAS)
    return frame["lost"].to_numpy(), frame["error_sd"].to_numpy(), set(frame["source"])


def test_eighteen_holes_by_hand():
    """14 long holes and 4 short ones, slope 125: 113 / 125 x (strokes lost to tour - tour to scratch)."""
    found, _, source = lost(club([LONG] * 14 + [SHORT] * 4, slope_rating=125))
    tour = -np.array([14 * 0.01, 14 * -0.55 + 4 * 0.01, 14 * 0.19, 14 * -0.66 + 4 * -0.02])
    assert found == pytest.approx(113 / 125 * (tour - TOUR_TO_SCRATCH), abs=1e-9)
    assert source == {"shots"}


def test_parts_and_remainder_sum_to_the_differential():
    """Second route, from the scorecard alone: 82 strokes, rating 71.5, slope 125, conditions 1.

    113 / 125 x (82 - 71.5 - 1) = 8.588, and the differential 8.6; the remainder is the rounding. The tour
    needs 67.82 from the tees (14 x 3.99 + 4 x 2.99), so 71.5 + 1 - 67.82 = 4.68 is split as 4.5 is assumed.
    """
    score = {"adjusted_gross_score": 82, "course_rating": 71.5, "slope_rating": 125, "pcc": 1}
    row = round_parts(club([LONG] * 14 + [SHORT] * 4, **score)).iloc[0]
    assert row["differential"] == 8.6
    assert row[[*AREAS, "remainder"]].sum() == pytest.approx(8.6)
    assert row[list(AREAS)].sum() == pytest.approx(8.588)
    assert row["remainder"] == pytest.approx(0.012)
    tour = -(14 * -0.66 + 4 * -0.02)
    assert row["putting"] == pytest.approx(113 / 125 * (tour - 4.68 / 4.5 * TOUR_TO_SCRATCH[3]))


def test_nine_holes_count_double_and_are_less_certain():
    nine, error_9, _ = lost(club([LONG] * 7 + [SHORT] * 2, holes=9))
    whole, error_18, _ = lost(club([LONG] * 14 + [SHORT] * 4))
    assert nine == pytest.approx(whole)
    assert np.all(error_9 > error_18)
    assert error_9**2 == pytest.approx(
        HOLE_SD**2 * 18 + 2 * error_18**2 - 0.01, rel=1e-9
    )  # twice the notes' variance, the least error 0.1 once


def test_error_of_unseen_holes_is_that_of_a_simulation():
    """40,000 rounds of 18 independent holes, told from the first n: the error's sd within 2 %."""
    random = np.random.default_rng(8)
    holes = random.standard_normal((40_000, 18, 4)) * HOLE_SD
    for seen in (1, 9, 17):
        error = 18 * holes[:, :seen].mean(axis=1) - holes.sum(axis=1)
        assert error.std(axis=0) == pytest.approx(np.sqrt(unseen_variance(np.array([seen]))[0]), rel=0.02)
    assert unseen_variance(np.array([18.0]))[0] == pytest.approx(0)


def test_given_strokes_gained_change_sign_scale_and_baseline():
    """Scratch: 113 / 125 x -1.2. Tour: less what a tour player beats the rating by."""
    given = dict(zip(AREAS, (1.2, -3.0, 0.0, -1.0), strict=True)) | {"slope_rating": 125}
    rows = [
        KEY | given | {"baseline": "scratch"},
        KEY | given | {"round_no": 2, "baseline": "tour"},
        KEY | {"round_no": 3, "putting": -0.5, "baseline": "scratch", "holes": 9},
    ]
    frame = area_strokes(make_tables({"rounds": pd.DataFrame(rows)}))
    by = frame.set_index(["round_no", "area"])["lost"]
    scratch = 113 / 125 * np.array([-1.2, 3.0, 0.0, 1.0])
    assert by[1].tolist() == pytest.approx(scratch.tolist())
    assert by[2].tolist() == pytest.approx((scratch - 113 / 125 * TOUR_TO_SCRATCH).tolist())
    assert by[3].to_dict() == {"putting": pytest.approx(1.0)}
    assert set(frame["source"]) == {"given"}
    errors = frame.set_index(["round_no", "area"])["error_sd"]
    assert errors[3, "putting"] > errors[1, "putting"] == pytest.approx(0.5 * 113 / 125)


def test_the_more_certain_of_two_sources_counts():
    given = dict.fromkeys(AREAS, 0.0) | {"baseline": "scratch"}
    whole = area_strokes(club([LONG] * 14 + [SHORT] * 4, **given))
    one = area_strokes(club([LONG], **given))
    assert set(whole["source"]) == {"shots"}
    assert set(one["source"]) == {"given"}
    assert len(whole) == len(one) == 4


def test_putting_gap_between_tour_and_scratch_agrees_with_the_curves():
    """Putts a round of the two reference curves (Broadie 2014, scratch from memory): about 1.0."""
    gap = reference_putts("scratch") - reference_putts("tour")
    assert TOUR_TO_SCRATCH[AREAS.index("putting")] == pytest.approx(gap, abs=0.1)


def test_a_club_without_detail_says_nothing():
    tables = make_tables({"rounds": pd.DataFrame([KEY | {"score_differential": 12.3}])})
    assert area_strokes(tables).empty
    assert round_parts(tables).empty
    assert area_strokes(make_tables({})).empty


def test_many_shots_are_read_in_a_moment():
    """600 rounds of 18 holes, 47,000 shots: under 5 seconds on one core (0.4 measured)."""
    import time

    tables = club([LONG] * 14 + [SHORT] * 4)
    rounds = pd.concat([tables.rounds.assign(round_no=n) for n in range(1, 601)])
    shots = pd.concat([tables.shots.assign(round_no=n) for n in range(1, 601)])
    many = make_tables({"rounds": rounds, "shots": shots})
    start = time.perf_counter()
    found = area_strokes(many)
    assert time.perf_counter() - start < 5
    assert len(found) == 2400
    assert found.groupby("area")["lost"].std().max() < 1e-9


def test_an_easy_course_is_told_from_good_play_by_its_rating():
    """The same shots where the rating is 3 strokes lower: 3 strokes more are lost, in the assumed shares.

    Where a hole has no shots the rating cannot be split off, and the usual 4.5 stands.
    """
    score = {"adjusted_gross_score": 82, "course_rating": 72.0, "slope_rating": 113}
    hard, hard_error, _ = lost(club([LONG] * 14 + [SHORT] * 4, **score))
    easy, easy_error, _ = lost(club([LONG] * 14 + [SHORT] * 4, **score | {"course_rating": 69.0}))
    assert easy - hard == pytest.approx(3 * TOUR_TO_SCRATCH / 4.5)
    assert easy_error == pytest.approx(hard_error)
    part, _, _ = lost(club([LONG] * 13 + [SHORT] * 4, **score))
    unrated, _, _ = lost(club([LONG] * 13 + [SHORT] * 4, slope_rating=113))
    assert part == pytest.approx(unrated)

"""Rounds played hole by hole and shot by shot tell the truth that they were made from."""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from paryield.errors import InputError
from paryield.evaluate.areas import LEVELS, STAT_COLUMNS, hide
from paryield.rounds import area_strokes, holes_left_out, round_parts, round_stats
from paryield.scoring import differentials
from paryield.synth import ClubSpec, make_club, write_club
from paryield.synth.places import need, shifted, yards_of
from paryield.tables import AREAS, read_folder

KEY = ["golfer_id", "played_on", "round_no"]
SPEC = ClubSpec(golfers=20, weeks=40, seed=5, shots_share=1.0, nine_hole_share=0.2)


@pytest.fixture(scope="module")
def club():
    return make_club(SPEC)


@pytest.fixture(scope="module")
def errors(club):
    """Strokes by area as told from shots, with their truth and error, by round and area."""
    truth = club.area_strokes.melt(id_vars=[*KEY, "holes"], value_vars=list(AREAS), var_name="area")
    told = area_strokes(club.tables)
    for frame in (truth, told):
        frame[KEY] = frame[KEY].astype({"golfer_id": str, "round_no": int})
    both = told.merge(truth, on=[*KEY, "area"])
    both["error"] = both["lost"] - both["value"]
    return both


def test_shots_give_back_each_area_without_bias_and_with_the_stated_error(errors):
    """Some 400 rounds of 18 holes: mean error below 0.05 stroke, standardised errors of sd 1."""
    whole = errors[errors["holes"] == 18]
    assert len(whole) > 4 * 300
    for area, own in whole.groupby("area"):
        assert abs(own["error"].mean()) < 0.05, area
        assert (own["error"] / own["error_sd"]).std() == pytest.approx(1.0, abs=0.2), area


def test_nine_holes_give_back_each_area_less_surely(errors):
    nine = errors[errors["holes"] == 9]
    standard = nine["error"] / nine["error_sd"]
    assert len(nine) > 4 * 60
    assert abs(standard.mean()) < 0.2
    assert standard.std() == pytest.approx(1.0, abs=0.25)


def test_the_score_is_the_sum_of_the_holes_and_of_the_shots(club):
    tables = club.tables
    score = tables.rounds.set_index(KEY)["adjusted_gross_score"]
    holes = tables.holes.groupby(KEY)["strokes"].sum()
    assert len(holes) >= 0.97 * len(score)
    assert (score.loc[holes.index] == holes).all()
    last = tables.shots.groupby([*KEY, "hole"])["shot_no"].max()
    assert (last == tables.holes.set_index([*KEY, "hole"])["strokes"].loc[last.index]).all()
    assert holes_left_out(tables).empty


def test_the_differential_follows_and_the_parts_sum_to_it(club):
    """The remainder of an 18-hole round is the rounding of the differential: at most 0.05."""
    parts = round_parts(club.tables).merge(differentials(club.tables)[[*KEY, "holes"]], on=KEY)
    whole = parts[parts["holes"] == 18]
    assert len(whole) > 300
    assert whole["remainder"].abs().max() <= 0.05 + 1e-9


def test_the_stats_of_a_round_are_those_of_its_holes(club):
    """Second route: the stats counted on the holes where the rounds table is blank."""
    stated = round_stats(club.tables)
    bare = replace(club.tables, rounds=hide(club, "scores").tables.rounds)
    counted = round_stats(bare)
    for stat in ("greens", "putts", "three_putts", "penalties", "fairways"):
        known = counted[stat].notna()
        assert known.mean() > 0.97
        pd.testing.assert_series_equal(stated.loc[known, stat], counted.loc[known, stat], check_dtype=False)


def test_a_club_with_shots_is_read_back_without_a_problem(club, tmp_path):
    write_club(club, tmp_path)
    found = read_folder(tmp_path, today=date(2026, 7, 5))
    assert [problem.line() for problem in found.problems if problem.severity == "error"] == []
    assert len(found.tables.shots) == len(club.tables.shots)


def test_details_change_nothing_else():
    """Diary, golfers, and the truth of every round are those of the club without details."""
    plain = make_club(replace(SPEC, golfers=6, weeks=12, shots_share=0.0))
    fuller = make_club(replace(SPEC, golfers=6, weeks=12, shots_share=0.3, holes_share=0.6))
    assert plain.tables.shots.empty
    assert plain.tables.holes.empty
    for name in ("golfers", "practice", "plans", "calendar"):
        pd.testing.assert_frame_equal(getattr(plain.tables, name), getattr(fuller.tables, name))
    pd.testing.assert_frame_equal(plain.area_strokes, fuller.area_strokes)
    pd.testing.assert_frame_equal(plain.future, fuller.future)
    ours, theirs = (differentials(one.tables)["differential"] for one in (plain, fuller))
    assert ours.to_numpy() == pytest.approx(theirs.to_numpy(), abs=0.051)
    holes, shots = (len(frame[KEY].drop_duplicates()) for frame in (fuller.tables.holes, fuller.tables.shots))
    assert 0 < shots < holes < len(fuller.tables.rounds)


def test_hiding_takes_away_step_by_step(club):
    tables = {level: hide(club, level).tables for level in LEVELS}
    assert tables["shots"].equals(club.tables)
    assert tables["holes"].shots.empty
    assert len(tables["holes"].holes) == len(club.tables.holes)
    assert tables["stats"].holes.empty
    assert tables["stats"].rounds["putts"].notna().any()
    assert tables["scores"].rounds[list(STAT_COLUMNS)].isna().all(axis=None)
    for one in tables.values():
        assert one.practice.equals(club.tables.practice)
        assert differentials(one)["differential"].equals(differentials(club.tables)["differential"])


def test_hiding_half_leaves_the_others_alone(club):
    some = hide(club, "scores", "half", seed=3).tables
    seen = set(some.shots["golfer_id"])
    assert len(seen) == 10
    hidden = some.rounds[~some.rounds["golfer_id"].isin(seen)]
    assert hidden["putts"].isna().all()
    assert some.rounds.loc[some.rounds["golfer_id"].isin(seen), "putts"].notna().mean() > 0.97
    assert set(hide(club, "scores", "half", seed=4).tables.shots["golfer_id"]) != seen


def test_an_unknown_level_is_refused(club):
    with pytest.raises(InputError, match="there is no level of detail 'all'"):
        hide(club, "all")


def test_places_and_strokes_are_each_other_turned_round():
    yards = np.array([70.0, 150.0, 300.0])
    assert yards_of("fairway", need("fairway", yards)) == pytest.approx(yards)
    lies = np.array(["sand", "rough", "green"])
    assert need(lies, yards_of(lies, np.array([2.6, 2.7, 1.8]))) == pytest.approx([2.6, 2.7, 1.8])


def test_values_within_bounds_that_add_up():
    low, high = np.zeros(3), np.array([1.0, 1.0, 4.0])
    assert shifted(np.array([0.5, 0.9, 1.0]), low, high, 4.0) == pytest.approx([1.0, 1.0, 2.0])
    assert shifted(np.array([0.5, 0.9, 1.0]), low, high, 6.5) is None

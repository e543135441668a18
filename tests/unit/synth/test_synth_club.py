"""A made-up club: one spec gives one club, its tables are valid, and bad wishes are refused."""

import json
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from paryield.errors import InputError
from paryield.synth import CASES, ClubSpec, make_club, write_club
from paryield.synth.demo import demo_spec, write_demo
from paryield.synth.write import write_truth
from paryield.tables import read_folder
from paryield.units import MINUTES_PER_HOUR

SMALL = ClubSpec(golfers=14, weeks=30, seed=3, future_weeks=14)
LATER = date(2026, 12, 31)


def test_one_spec_gives_one_club():
    first, again = make_club(SMALL), make_club(SMALL)
    assert first.tables.equals(again.tables)
    pd.testing.assert_frame_equal(first.future, again.future)


def test_another_seed_gives_another_club():
    first, other = make_club(SMALL), make_club(replace(SMALL, seed=4))
    assert not first.tables.rounds.equals(other.tables.rounds)
    assert not first.tables.practice.equals(other.tables.practice)


def test_the_effect_of_practice_changes_scores_and_not_the_diary():
    useful, useless = make_club(SMALL), make_club(replace(SMALL, effect=0.0))
    pd.testing.assert_frame_equal(useful.tables.practice, useless.tables.practice)
    now = pd.DatetimeIndex([SMALL.ends_on])
    for golfer_id in useful.truth.ids:
        better = useful.truth.mean_differential(golfer_id, now)
        assert (better < useless.truth.mean_differential(golfer_id, now)).all()


@pytest.mark.parametrize("case", CASES)
def test_written_tables_are_read_back_without_a_problem(case, tmp_path):
    spec = replace(
        SMALL,
        case=case,
        area_strokes_share=0.3,
        nine_hole_share=0.1,
        assessments=True,
        strikes=True,
        events=True,
        programme=True,
    )
    club = make_club(spec)
    assert len(club.tables.strikes) > 100
    write_club(club, tmp_path)
    reading = read_folder(tmp_path, today=LATER)
    # Two rounds of a day may have one score by chance, which is asked about.
    problems = [one.line() for one in reading.problems if "is it the same round?" not in one.line()]
    assert problems == []
    assert reading.tables.equals(club.tables)


def test_the_record_ends_where_the_future_begins():
    club = make_club(SMALL)
    last = pd.Timestamp(SMALL.ends_on)
    assert SMALL.starts_on == date(2025, 12, 8)
    assert (
        club.tables.rounds["played_on"]
        .between(
            pd.Timestamp(SMALL.starts_on),
            last,
        )
        .all()
    )
    assert (club.tables.practice["practised_on"] <= last).all()
    assert (club.future["played_on"] > last).all()
    assert club.future["score_differential"].notna().all()


def test_a_complete_diary_holds_every_hour_of_the_truth():
    club = make_club(replace(SMALL, golfers=40))
    truth, practice = club.truth, club.tables.practice
    checked = 0
    for golfer_id in club.tables.golfers.loc[
        club.tables.golfers["diary_complete"].fillna(False), "golfer_id"
    ]:
        own = practice[practice["golfer_id"] == golfer_id]
        who = truth.ids.index(golfer_id)
        if own["minutes"].isna().any():
            continue
        since = max(truth.roster.joined[who], truth.roster.first)
        hours = truth.hours(golfer_id)[:, since : truth.roster.now].sum()
        assert own["minutes"].sum() / MINUTES_PER_HOUR == pytest.approx(hours)
        checked += 1
    assert checked >= 3


def test_written_truth_agrees_with_the_club(tmp_path):
    club = make_club(SMALL)
    write_club(club, tmp_path)
    record = json.loads((tmp_path / "truth" / "truth.json").read_text(encoding="utf-8"))
    assert [golfer["golfer_id"] for golfer in record["golfers"]] == list(club.truth.ids)
    first = record["golfers"][0]
    ahead = pd.DatetimeIndex([SMALL.ends_on]) + pd.Timedelta(weeks=12)
    expected = club.truth.mean_differential("G01", ahead)[0]
    assert first["mean_differential"]["12"] == pytest.approx(expected, abs=1e-4)
    assert sum(first["areas"].values()) == pytest.approx(first["mean_differential"]["0"], abs=1e-3)
    weeks = pd.read_csv(tmp_path / "truth" / "weeks.csv")
    assert len(weeks) == 14 * (30 + 14)
    hours = weeks.filter(like="hours_").to_numpy().sum()
    assert hours == pytest.approx(club.truth.life.hours[:, :, club.truth.roster.first :].sum(), rel=1e-4)


@pytest.mark.parametrize(
    ("wish", "fragment"),
    [
        ({"case": "perfect"}, "case cannot be 'perfect' - choose one of steady, weak"),
        ({"golfers": 0}, "golfers cannot be 0 - give 1 or more"),
        ({"stats_share": 1.5}, "stats_share cannot be 1.5 - give a share from 0 to 1"),
        ({"effect": float("nan")}, "effect cannot be nan"),
        ({"categories": ("juggling",)}, "name each once, out of short_putting"),
        ({"case": "tied", "categories": ("irons",)}, "the case tied needs chipping and bunker"),
    ],
)
def test_a_wish_that_cannot_be_is_refused(wish, fragment):
    with pytest.raises(InputError) as caught:
        replace(SMALL, **wish)
    assert fragment in caught.value.line()


@pytest.mark.parametrize("golfers", [1, 2, 120])
def test_clubs_of_any_size(golfers):
    club = make_club(ClubSpec(golfers=golfers, weeks=1, seed=0, future_weeks=0))
    assert len(club.tables.golfers) == golfers
    assert club.tables.golfers["golfer_id"].is_unique
    assert club.future.empty


def test_the_committed_demo_club_is_the_one_its_first_lines_name(tmp_path, pytestconfig):
    committed = pytestconfig.rootpath / "demo_data"
    written = write_demo(tmp_path)
    assert len(written) == 13
    for path in written:
        assert path.read_bytes() == (committed / path.name).read_bytes(), path.name
    assert sum(path.stat().st_size for path in committed.iterdir()) < 600_000


def test_the_truth_of_the_demo_is_written_with_what_an_hour_really_gains(tmp_path):
    club = make_club(demo_spec())
    names = [path.name for path in write_truth(club, tmp_path / "truth")]
    assert names == ["truth.json", "rounds.csv", "weeks.csv", "later_rounds.csv"]
    record = json.loads((tmp_path / "truth" / "truth.json").read_text(encoding="utf-8"))
    assert len(record["golfers"]) == 24


def test_the_demo_club_is_what_the_manual_says():
    tables = make_club(demo_spec()).tables
    rounds = tables.rounds.groupby("golfer_id").size()
    assert len(tables.golfers) == 24
    assert (rounds.min(), rounds.median(), rounds.max()) == (17, 27.5, 47)
    assert tables.practice["category"].nunique() == 7
    tests = tables.assessments.groupby("golfer_id")["assessed_on"].nunique()
    assert (tests >= 12).sum() == 12
    assert tests[tests < 12].max() <= 4
    assert np.isclose((tables.rounds["holes"] == 9).mean(), 0.12, atol=0.04)
    assert tables.rounds["played_on"].max() == pd.Timestamp(2026, 7, 5)

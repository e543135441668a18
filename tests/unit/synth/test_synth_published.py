"""Made-up golfers score as published golfers do; the source stands beside each figure."""

import numpy as np
import pandas as pd
import pytest

from paryield.scoring import handicap_records
from paryield.synth import ClubSpec, make_club
from paryield.synth.assessments import angle_degrees, make_chance
from paryield.synth.rounds import round_noise
from paryield.synth.scores import (
    fairway_chance,
    greens_chance,
    penalties_mean,
    three_putts_mean,
    up_and_down_chance,
)

SHARES = np.array([5.0, 7.0, 4.0, 3.0]) / 19.0


@pytest.fixture(scope="module")
def golfers():
    """Index, mean and spread of the last 20 differentials of some 200 golfers."""
    rows = []
    for seed in range(1, 4):
        club = make_club(ClubSpec(golfers=80, seed=seed))
        for record in handicap_records(club.tables).values():
            last = pd.Series(record.differentials[-20:], dtype=float)
            if len(last) == 20:
                rows.append((record.end.index / 10.0, last.mean(), last.std()))
    return pd.DataFrame(rows, columns=["index", "mean", "sd"])


def test_mean_differential_is_two_and_a_half_to_four_above_the_index(golfers):
    """USGA odds table, Rules of Handicapping App. E (verified): mean - HI of 2.47 to 4.01 by band."""
    assert (golfers["mean"] - golfers["index"]).mean() == pytest.approx(3.2, abs=0.4)


@pytest.mark.parametrize(
    ("low", "high", "published"),
    [(6.0, 13.0, 2.86), (13.0, 22.0, 3.30), (22.0, 31.0, 3.78)],
)
def test_spread_of_differentials_by_band(golfers, low, high, published):
    """Normal fit to the rows of the USGA odds table (computed); a record also holds form and courses."""
    band = golfers[(golfers["index"] >= low) & (golfers["index"] < high)]
    assert len(band) > 20
    assert band["sd"].mean() == pytest.approx(published, abs=0.45)


def test_handicap_is_beaten_about_one_time_in_five():
    """'Only expected to play to handicap 20 % of the time' (Scottish Golf, verified)."""
    club = make_club(ClubSpec(golfers=80, seed=9))
    played = [
        differential <= step.index_before
        for record in handicap_records(club.tables).values()
        for step, differential in list(zip(record.steps, record.differentials, strict=True))[20:]
    ]
    assert len(played) > 1500
    assert np.mean(played) == pytest.approx(0.20, abs=0.03)


def test_indexes_spread_as_in_a_club(golfers):
    """Mean index 14.2 men, 27.5 women (USGA counts quoted by golf.com, verified); a third are women."""
    assert golfers["index"].mean() == pytest.approx(16.0, abs=3.0)
    assert golfers["index"].between(-5.0, 54.0).all()


def test_round_noise_has_unit_spread_and_mild_right_skew():
    """Skew 0.2-0.6 (from memory); tails a little heavier than normal."""
    total = round_noise(np.random.default_rng(1), 400_000).sum(axis=1)
    centred = total - total.mean()
    assert total.mean() == pytest.approx(0.0, abs=0.01)
    assert total.var() == pytest.approx(1.0, abs=0.02)
    assert 0.2 < (centred**3).mean() < 0.6
    assert 3.1 < (centred**4).mean() / total.var() ** 2 < 5.0


@pytest.mark.parametrize(
    ("index", "greens", "fairways", "up_and_downs", "penalties"),
    [
        (0, 10.0, 0.55, 0.45, 0.5),
        (5, 7.5, 0.52, 0.35, 0.8),
        (10, 5.0, 0.50, 0.28, 1.2),
        (18, 3.0, 0.47, 0.20, 2.0),
        (28, 1.5, 0.43, 0.12, 3.0),
    ],
)
def test_stats_by_index(index, greens, fairways, up_and_downs, penalties):
    """Working values by index (from memory, weak: only their rough course is asserted)."""
    strokes = ((2.4 + 1.04 * index) * SHARES)[None, :]
    assert 18.0 * greens_chance(strokes)[0] == pytest.approx(greens, abs=0.6)
    assert fairway_chance(strokes)[0] == pytest.approx(fairways, abs=0.02)
    assert up_and_down_chance(strokes)[0] == pytest.approx(up_and_downs, abs=0.03)
    assert penalties_mean(strokes)[0] == pytest.approx(penalties, abs=0.25)


@pytest.mark.parametrize(("index", "published"), [(0, 0.9), (40, 3.6)])
def test_three_putts(index, published):
    """Soley 1977, How Well Should You Putt? (verified as quoted): 0.9 at scratch, 3.6 at 40."""
    strokes = ((2.4 + 1.04 * index) * SHARES)[None, :]
    assert three_putts_mean(strokes)[0] == pytest.approx(published, abs=0.15)


def test_putts_and_greens_of_whole_clubs():
    """Putts 31.3 at scratch, 33 for a 90-golfer, 36.4 at 40 (Soley 1977; golfsciencejournal.org 7732)."""
    tables = make_club(ClubSpec(golfers=120, seed=2, late_share=0.0)).tables
    index = {golfer: record.end.index for golfer, record in handicap_records(tables).items()}
    rounds = tables.rounds.assign(index=tables.rounds["golfer_id"].map(index).astype(float) / 10.0)
    rounds = rounds[rounds["holes"] == 18]
    near = rounds[rounds["index"].between(13.0, 19.0)]
    assert near["putts"].mean() == pytest.approx(32.7, abs=0.8)
    assert near["greens_hit"].mean() == pytest.approx(3.4, abs=0.6)
    by_golfer = rounds.groupby("golfer_id")[["putts", "index", "greens_hit"]].mean().dropna().astype(float)
    assert by_golfer["putts"].between(27.0, 39.0).all()
    assert np.corrcoef(by_golfer["index"], by_golfer["greens_hit"])[0, 1] < -0.8


def test_putts_of_a_round_follow_the_putting_of_that_round():
    club = make_club(ClubSpec(golfers=60, seed=6))
    key = ["golfer_id", "played_on", "round_no"]
    both = club.tables.rounds[[*key, "putts", "greens_hit"]].merge(
        club.area_strokes.astype({"round_no": "Int64", "golfer_id": "string"}),
        on=key,
    )
    both = both.dropna().astype({"putts": float, "greens_hit": float})
    own = both.groupby("golfer_id")[["putts", "greens_hit", "putting", "approach"]].transform(
        lambda column: column - column.mean()
    )
    assert len(both) > 500
    slope = (own["putts"] * own["putting"]).sum() / (own["putting"] ** 2).sum()
    assert slope == pytest.approx(1.0, abs=0.15)
    assert (own["greens_hit"] * own["approach"]).sum() < 0.0


@pytest.mark.parametrize(
    ("feet", "published"), [(2.0, 0.9556), (5.0, 0.5785), (10.0, 0.3122), (20.0, 0.1593)]
)
def test_chance_to_hole_a_putt(feet, published):
    """Angle-only model at 1.52667 degrees (Gelman & Nolan 2002; Stan golf case study), computed."""
    assert make_chance(np.array([1.52667]), np.array([feet]))[0] == pytest.approx(published, abs=1e-4)


@pytest.mark.parametrize(("index", "published"), [(0, 0.66), (17, 0.50)])
def test_ladder_at_five_feet(index, published):
    """66 % at scratch (Broadie 2014, from memory), 50 % for a 90-golfer (golfsciencejournal.org 7732)."""
    putting = (2.4 + 1.04 * index) * SHARES[3]
    assert make_chance(angle_degrees(np.array([putting])), np.array([5.0]))[0] == pytest.approx(
        published, abs=0.01
    )

"""Nothing of the future is known: whatever later rows hold, the tables of a day are the same."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.evaluate.known import DATED, known_tables
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.tables import Tables, make_tables


@pytest.fixture(scope="module")
def club() -> MadeUpClub:
    return make_club(ClubSpec(golfers=8, weeks=40, seed=5, assessments=True))


def scrambled(tables: Tables, day: pd.Timestamp, seed: int) -> Tables:
    """The same tables with later scores and minutes shuffled and later details of golfers changed."""
    rng = np.random.default_rng(seed)
    frames = dict(tables.items())
    for name, column in (("rounds", "score_differential"), ("practice", "minutes"), ("rounds", "putts")):
        frame = frames[name].copy()
        later = (frame[DATED[name]] > day).to_numpy()
        frame.loc[later, column] = rng.permutation(frame.loc[later, column].to_numpy())
        frames[name] = frame
    rounds = frames["rounds"].copy()
    later = rounds["played_on"] > day
    rounds.loc[later, "adjusted_gross_score"] = rounds.loc[later, "adjusted_gross_score"] + 9
    frames["rounds"] = rounds
    golfers = frames["golfers"].copy()
    golfers.loc[0, "left_on"] = day + pd.Timedelta(days=20)
    frames["golfers"] = golfers
    return make_tables(frames, categories=tables.categories, settings=tables.settings)


@pytest.mark.parametrize("seed", [1, 2])
def test_shuffling_the_future_changes_nothing_known(club: MadeUpClub, seed: int) -> None:
    day = pd.Timestamp(club.spec.ends_on) - pd.Timedelta(weeks=12)
    other = scrambled(club.tables, day, seed)
    assert not other.equals(club.tables)
    assert known_tables(other, day).equals(known_tables(club.tables, day))


def test_deleting_the_future_changes_nothing_known(club: MadeUpClub) -> None:
    day = pd.Timestamp(club.spec.ends_on) - pd.Timedelta(weeks=12)
    once = known_tables(club.tables, day)
    assert known_tables(once, day).equals(once)
    for name, column in DATED.items():
        frame = getattr(once, name)
        assert not (frame[column] > day).any()
    assert 0 < len(once.rounds) < len(club.tables.rounds)


def test_golfers_are_known_once_they_joined_or_have_a_row() -> None:
    day = pd.Timestamp("2026-03-01")
    golfers = pd.DataFrame(
        {
            "golfer_id": ["here", "later", "row", "low"],
            "joined_on": ["2026-01-01", "2026-04-01", "2026-04-01", "2025-01-01"],
            "low_index": [None, None, None, 9.1],
            "low_index_on": [None, None, None, "2026-05-01"],
        }
    )
    rounds = pd.DataFrame(
        {
            "golfer_id": ["row", "later"],
            "played_on": ["2026-02-01", "2026-04-02"],
            "score_differential": [9.0, 8.0],
        }
    )
    programmes = pd.DataFrame(
        {
            "golfer_id": ["here", "later"],
            "programme": ["winter", "winter"],
            "started_on": ["2026-01-05", "2026-01-05"],
            "ended_on": ["2026-03-20", "2026-03-20"],
            "outcome": ["left", "left"],
        }
    )
    found = known_tables(make_tables({"golfers": golfers, "rounds": rounds, "programmes": programmes}), day)
    assert list(found.golfers["golfer_id"]) == ["here", "row", "low"]
    assert found.golfers["low_index"].isna().all()
    assert list(found.programmes["outcome"]) == ["running"]
    assert found.programmes["ended_on"].isna().all()

"""An early record: rates come with a prior and the time watched, and what is assumed is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.forecast import goals_tables
from paryield.forecast.current import current_fit
from paryield.forecast.rounds import LIKE_ROUNDS, PRIOR_PACE, PRIOR_ROUNDS, club_paces, early_notes
from paryield.report.write import views_of
from paryield.tables import Tables, make_tables

TODAY = date(2026, 6, 1)
AS_OF = (TODAY - date(1970, 1, 1)).days


def club(days_ago: dict[str, list[int]]) -> Tables:
    """Return a club whose golfers played so many days before the last day of the record."""
    rows = [
        {
            "golfer_id": golfer,
            "played_on": pd.Timestamp(TODAY - timedelta(days=ago)),
            "score_differential": 14.0,
        }
        for golfer, all_days in days_ago.items()
        for ago in all_days
    ]
    return make_tables({"golfers": pd.DataFrame({"golfer_id": list(days_ago)}), "rounds": pd.DataFrame(rows)})


def diary(*weeks: int) -> Any:
    return SimpleNamespace(constant=lambda _: np.array(weeks))


def test_two_golfers_with_one_round_each_are_not_said_to_play_twenty_a_month() -> None:
    paces = club_paces(club({"A": [0], "B": [1]}), ["A", "B"], AS_OF)
    for pace in paces.values():
        assert pace.mean == pytest.approx(PRIOR_PACE, abs=0.1)
        assert pace.assumed
    notes = early_notes(diary(30, 30), paces.values())
    assert notes == [
        "the record is too short to tell how often people play: about 2 rounds a month are assumed"
    ]


def test_a_pace_is_the_gamma_mean_of_rounds_after_the_first_over_the_time_watched() -> None:
    """One golfer, 13 rounds a week apart: 12 in the 85 days watched, an even season; by hand."""
    found = club_paces(club({"A": [7 * week for week in range(13)]}), ["A"], AS_OF)["A"]
    watched = 85 / (365.25 / 12) * found.season[[2, 3, 4, 5]].mean()
    whole = (PRIOR_ROUNDS + 12) / (PRIOR_ROUNDS / PRIOR_PACE + watched)
    assert found.mean == pytest.approx((LIKE_ROUNDS + 12) / (LIKE_ROUNDS / whole + watched), rel=0.05)
    assert found.assumed  # under six months of records


def test_a_long_record_is_measured() -> None:
    found = club_paces(club({name: list(range(0, 360, 10)) for name in "ABC"}), ["A", "B", "C"], AS_OF)
    assert not any(pace.assumed for pace in found.values())
    assert found["A"].mean == pytest.approx(3.0, abs=0.2)
    assert early_notes(diary(20, 0, 0), found.values()) == []


def test_one_old_day_of_a_diary_is_no_habit_that_was_measured() -> None:
    (note,) = early_notes(diary(1, 0, 0, 0, 0, 0), ())
    assert note == (
        "the diaries hold 1 week of practice in all, fewer than 8: hours as now are assumed, not measured"
    )


def test_goals_and_pages_say_it_too(fitted_club: Path) -> None:
    with Club.open(fitted_club) as opened:
        posterior, tables = current_fit(opened)[1], opened.tables()
    young = replace(tables, rounds=tables.rounds.groupby("golfer_id").tail(1).reset_index(drop=True))
    said = "the record is too short to tell how often people play: about 2 rounds a month are assumed"
    assert said in goals_tables(posterior, young, golfer="G01").notes
    [view] = views_of(posterior, young, "G01", number=1, club="club", banner="")
    assert said in view.notes
    assert not goals_tables(posterior, young, golfer="G01", rate=3.0).notes

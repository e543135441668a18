"""The handicap record in lines: which rounds, how averaged, and that it is not the official index."""

from datetime import date, timedelta

import pandas as pd

from paryield.report.index_record import index_lines
from paryield.scoring.club import index_listing
from paryield.tables import make_tables

FIRST = date(2025, 4, 5)


def club(differentials, **golfer):
    rounds = pd.DataFrame(
        [
            {
                "golfer_id": "A",
                "played_on": pd.Timestamp(FIRST + timedelta(days=7 * place)),
                "score_differential": value,
            }
            for place, value in enumerate(differentials)
        ]
    )
    return make_tables({"golfers": pd.DataFrame([{"golfer_id": "A"} | golfer]), "rounds": rounds})


def lines(differentials, **golfer):
    return "\n".join(index_lines(index_listing(club(differentials, **golfer), "A"), "A"))


def test_a_small_record_by_hand():
    """Lowest of 3 is 15.2, less 2.0."""
    text = lines([16.4, 18.9, 15.2])
    assert "lowest 1 of the latest 20 or fewer: 15.2 (round 3)" in text
    assert "15.2 / 1 − 2.0 = 13.20, to a tenth 13.2" in text
    assert "the official one comes from the golfer's association" in text.splitlines()[-1]


def test_eight_of_twenty_with_a_cap_by_hand():
    """Twenty of 20.0, low index 12.0: 15.0 + 5.0 / 2 = 17.5 is above 12.0 + 5.0, so 17.0."""
    text = lines([20.0] * 20, low_index=12.0, low_index_on="2025-05-01")
    assert "160.0 / 8 = 20.00, to a tenth 20.0" in text
    assert "low index 12.0 of 1 May 2025: 5.0 above it and no more (hard cap)" in text
    assert text.splitlines()[-2].strip() == "index 17.0"


def test_each_step_names_its_rounds():
    found = index_lines(index_listing(club([16.4, 18.9, 15.2, 17.0, 19.3, 14.8]), "A"), "A")
    row = next(line for line in found if line.startswith("6 "))
    assert row.split()[:6] == ["6", "2025-05-10", "14.8", "3", "6", "14.0"]


def test_an_exceptional_score_is_said():
    text = lines([20.0] * 20 + [9.0])
    assert "exceptional score: 2.0 taken off each of the latest 20, shown above" in text


def test_no_index_yet():
    text = lines([16.4, 18.9])
    assert "no index before 54 holes" in text
    assert "How the index" not in text


def test_a_plus_index_has_its_plus_and_a_differential_its_minus():
    """Lowest of 3 is -1.2, less 2.0: +3.2."""
    text = lines([-1.2, 0.4, 2.0])
    assert "-1.2 (round 1)".replace("-", "−") in text
    assert text.splitlines()[-2].strip() == "index +3.2"

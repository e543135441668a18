"""The handicap record in lines: which rounds, how averaged, and that it is not the official index."""

from datetime import date, timedelta

import pandas as pd

from paryield.desk.rounds import counting_of, latest_rounds
from paryield.report.index_record import index_lines
from paryield.report.index_words import best_of
from paryield.report.write import played_rounds
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


def test_the_rounds_that_count_are_marked_the_same_on_page_and_list():
    """Of 22 rounds the 8 lowest of the latest 20 (Rule 5.2b): the two oldest are the best and too old."""
    scores = [9.0, 9.1] + [20.0 + (7 * place) % 20 / 10 for place in range(20)]
    tables = club(scores)
    lowest = sorted(sorted(scores[2:])[:8])
    listed = latest_rounds(tables, "A")
    assert sorted(one.differential for one in listed if one.counts) == lowest
    shown = played_rounds(index_listing(tables, "A"))
    assert sorted(shown.loc[shown["counts"], "differential"]) == lowest
    assert counting_of(tables, "A") == "The 8 lowest of the latest 20 differentials count for the index."


def test_a_small_record_marks_fewer_and_says_so():
    """Of 9 to 11 rounds the lowest 3 count (Rule 5.2a); of two there is no index, and none is marked."""
    tables = club([16.4, 18.9, 15.2, 17.0, 19.3, 14.8, 18.0, 18.1, 18.2])
    marked = [one.differential for one in latest_rounds(tables, "A") if one.counts]
    assert sorted(marked) == [14.8, 15.2, 16.4]
    said = "Of 9 differentials the 3 lowest count for the index; of 20 it will be 8."
    assert counting_of(tables, "A") == said
    assert best_of(3) == "the best 3 rounds so far (later the best 8 of the latest 20 rounds)"
    two = club([16.4, 18.9])
    assert counting_of(two, "A") == ""
    assert not any(one.counts for one in latest_rounds(two, "A"))

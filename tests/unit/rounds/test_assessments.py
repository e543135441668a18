"""Which tests and diary entries count successes, and what a success means."""

from pathlib import Path

import pandas as pd
import pytest

from paryield.rounds import assessment_rows, fit_putting, kind_of_test, practice_rows
from paryield.tables import make_tables, read_folder

DAY = pd.Timestamp("2026-05-02")


@pytest.mark.parametrize(
    ("test", "kind"),
    [
        ("putting_ladder", ("putting", "holed")),
        ("Short putts", ("putting", "holed")),
        ("lag putting", ("putting", "close")),
        ("landing_spot_chip", ("short_game", "landed")),
        ("bunker up-and-down", ("short_game", "up_and_down")),
        ("pitch to flag", ("short_game", "landed")),
        ("clubhead_speed", None),
        ("flag", None),
    ],
)
def test_the_name_says_the_kind(test, kind):
    assert kind_of_test(test) == kind


def test_rows_of_tests():
    tests = [
        ("putting_ladder", 6.0, 10, 5, None),
        ("putting_ladder", 3.0, 10, 8, None),
        ("putting_ladder", 9.0, 0, 0, None),
        ("putting_ladder", None, 10, 3, None),
        ("landing_spot_chip", None, 20, 11, None),
        ("carry", None, None, None, 160.0),
        ("hop on one leg", None, 10, 9, None),
    ]
    frame = pd.DataFrame(tests, columns=["test", "distance_ft", "tried", "made", "value"])
    found = assessment_rows(make_tables({"assessments": frame.assign(golfer_id="A", assessed_on=DAY)}))
    assert found["test"].tolist() == ["landing_spot_chip", "putting_ladder", "putting_ladder"]
    assert found["success"].tolist() == ["landed", "holed", "holed"]
    assert found["distance_ft"].tolist()[1:] == [3.0, 6.0]
    assert found[["tried", "made"]].to_numpy().tolist() == [[20, 11], [10, 8], [10, 5]]
    assert set(found["source"]) == {"test"}


def test_rows_of_the_diary():
    entries = [("short_putting", 5.0, 50, 30, "done"), ("short_putting", 5.0, 50, 30, "unknown")]
    entries += [
        ("irons", None, 50, 30, "done"),
        ("bunker", None, 12, 4, "done"),
        ("chipping", None, 9, None, "done"),
    ]
    frame = pd.DataFrame(entries, columns=["category", "distance_ft", "tried", "made", "state"])
    frame = frame.assign(golfer_id="A", practised_on=DAY, entry_no=range(1, 6), minutes=20.0)
    found = practice_rows(make_tables({"practice": frame}))
    assert found["test"].tolist() == ["bunker", "short_putting"]
    assert found["made"].tolist() == [4, 30]
    assert set(found["source"]) == {"practice"}


def test_empty_tables_give_empty_rows():
    tables = make_tables({})
    assert assessment_rows(tables).empty
    assert practice_rows(tables).empty


def test_the_ladders_of_the_demo_club_can_be_fitted():
    """Made-up golfers of the demo club hole putts of 3 to 12 ft as golfers do: 1 to 4 degrees."""
    tables = read_folder(Path(__file__).parents[3] / "demo_data").tables
    holed = assessment_rows(tables).query("success == 'holed'")
    assert len(holed) >= 100
    skill = fit_putting(holed["distance_ft"], holed["tried"], holed["made"])
    assert 1.0 < skill.to_dict()["sigma_angle_degrees"]["q50"] < 4.0

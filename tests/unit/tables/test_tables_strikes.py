"""Measured balls and events: numbers by order, units, targets, plausible values; health notes kept back."""

from __future__ import annotations

import pandas as pd
import pytest

from paryield.tables import TABLES, Tables, as_table, check_tables, events_of, make_tables, read_folder

BALLS = "golfer_id,struck_on,kind,target,carry,side,unit\n"
GOLFERS = {"golfers.csv": "golfer_id\nG1\nG2\n"}


def balls(read, *rows: str, header: str = BALLS):
    return read({**GOLFERS, "strikes.csv": header + "\n".join(rows) + "\n"})


def test_balls_without_a_number_are_counted_in_order_by_golfer_and_day(read):
    reading = balls(
        read,
        "G1,2026-05-01,approach,140,131.5,-6.2,yd",
        "G2,2026-05-01,tee,,205,12,m",
        "G1,2026-05-01,approach,140,144,3,yd",
        "G1,2026-05-02,pitch,40,38,1,m",
    )
    assert reading.problems == ()
    strikes = reading.tables.strikes
    assert strikes["strike_no"].tolist() == [1, 1, 2, 1]
    assert strikes["side"].tolist() == [-6.2, 12.0, 3.0, 1.0]
    assert strikes["strike_no"].dtype == "Int64"


def test_a_given_number_stands_and_one_given_twice_is_told(read):
    header = "golfer_id,struck_on,strike_no,kind,target,carry,side,unit\n"
    rows = ["G1,2026-05-01,7,tee,,205,12,yd", "G1,2026-05-01,7,tee,,215,12,yd"]
    (problem,) = balls(read, *rows, header=header).errors
    assert "same key" in problem.message
    assert "strike_no" in problem.remedy


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("G1,2026-05-01,approach,,131,-6,yd", "target", "is needed for an approach"),
        ("G1,2026-05-01,pitch,0,31,-6,yd", "target", "is needed for an approach"),
        ("G1,2026-05-01,pitch,150,131,-6,yd", "target", "no pitch"),
        ("G1,2026-05-01,tee,,480,-6,yd", "carry", "more than 450 yards"),
        ("G1,2026-05-01,tee,,430,-6,m", "carry", "more than 450 yards"),
        ("G1,2026-05-01,tee,,-20,-6,yd", "carry", "cannot be negative"),
        ("G1,2026-05-01,tee,,220,,yd", "side", "is blank"),
        ("G1,2026-05-01,tee,,220,5,ft", "unit", "write one of yd, m"),
        ("G1,2026-05-01,putt,,220,5,yd", "kind", "approach, tee, pitch"),
        ("G3,2026-05-01,tee,,220,5,yd", "golfer_id", "not in golfers"),
        ("G1,2099-05-01,tee,,220,5,yd", "struck_on", "future"),
    ],
)
def test_what_no_ball_does_is_an_error(read, row, column, said):
    (problem,) = balls(read, row).errors
    assert problem.column == column
    assert said in f"{problem.message} {problem.remedy}"
    assert problem.row == 2


def test_a_shank_is_only_warned_of(read):
    reading = balls(read, "G1,2026-05-01,approach,140,50,90,yd")
    (problem,) = reading.problems
    assert problem.severity == "warning"
    assert len(reading.tables.strikes) == 1


def test_targets_in_another_unit_are_told_once(read):
    reading = balls(read, *["G1,2026-05-01,pitch,100,30,1,m"] * 6)
    told = [one for one in reading.warnings if one.column == "target"]
    assert len(told) == 1
    assert "30%" in told[0].message
    assert "(6 rows)" in told[0].message


def test_events_need_a_kind_and_an_end_after_the_start(read):
    text = (
        "golfer_id,happened_on,kind,until,note\nG1,2026-05-01,injury,2026-04-01,knee\nG1,2026-05-02,other,,\n"
    )
    reading = read({**GOLFERS, "events.csv": text})
    (error,) = reading.errors
    assert (error.column, error.row) == ("happened_on", 2)
    (warning,) = reading.warnings
    assert "nobody will know" in warning.message


def events() -> Tables:
    rows = [
        ("G1", "2026-05-01", "injury", "2026-06-01", None, "left knee"),
        ("G1", "2026-05-20", "lesson", None, "putting", "grip"),
    ]
    frame = pd.DataFrame(rows, columns=list(TABLES["events"].names))
    return make_tables({"golfers": pd.DataFrame({"golfer_id": ["G1"]}), "events": frame})


def test_notes_of_health_are_given_only_to_whom_they_are_for():
    told = events_of(events(), "G1", health_notes=True)
    kept = events_of(events(), "G1")
    assert [one.kind for one in kept] == ["lesson", "injury"]
    assert [one.note for one in kept] == ["grip", ""]
    assert [one.note for one in told] == ["grip", "left knee"]
    assert kept[1].until == told[1].until is not None
    assert events_of(events(), "G2") == []


def test_the_new_tables_survive_a_folder(tmp_path):
    from paryield.tables import write_folder

    strikes = pd.DataFrame(
        [("G1", "2026-05-01", 3, "approach", 140.0, 131.5, -6.2, "yd")],
        columns=["golfer_id", "struck_on", "strike_no", "kind", "target", "carry", "side", "unit"],
    )
    tables = make_tables({**dict(events().items()), "strikes": as_table("strikes", strikes)})
    assert [one for one in check_tables(tables) if one.severity == "error"] == []
    write_folder(tables, tmp_path / "out")
    assert read_folder(tmp_path / "out").tables.equals(tables)

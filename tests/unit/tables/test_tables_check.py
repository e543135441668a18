"""Sense within a table: alternatives, order of values, rounds, keys; and what is only a warning."""

import pytest

ROUND = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating,"


def test_a_nine_hole_round_is_sound(read):
    reading = read({"rounds.csv": ROUND + "holes,par\nG1,2026-05-01,46,35.6,125,9,36\n"})
    assert reading.problems == ()
    assert reading.tables.rounds["holes"].tolist() == [9]


@pytest.mark.parametrize("score", [20, 110])
def test_scores_of_nine_holes_reach_their_limits(read, score):
    assert read({"rounds.csv": ROUND + f"holes\nG1,2026-05-01,{score},35.6,125,9\n"}).problems == ()


@pytest.mark.parametrize(
    ("holes", "score", "par", "message"),
    [
        (9, 111, "", "must lie between 20 and 110 for 9 holes"),
        (18, 49, "", "must lie between 50 and 200 for 18 holes"),
        (18, 90, 36, "is that of 9 holes, but the round has 18"),
        (9, 45, 72, "is that of 18 holes, but the round has 9"),
    ],
)
def test_score_and_par_fit_the_holes(read, holes, score, par, message):
    rating = 35.6 if holes == 9 else 71.5
    if par:
        rating = ""
    text = (
        "golfer_id,played_on,score_differential,adjusted_gross_score,course_rating,slope_rating,holes,par\n"
        f"G1,2026-05-01,14.2,{score},{rating},125,{holes},{par}\n"
    )
    (problem,) = read({"rounds.csv": text}).errors
    assert problem.message == message
    assert problem.column == ("par" if par else "adjusted_gross_score")


@pytest.mark.parametrize(
    ("columns", "cells", "column", "found"),
    [
        ("greens_hit,holes", "10,9", "greens_hit", "10 against 9"),
        ("fairways_possible", "19", "fairways_possible", "19"),
        ("up_and_downs_made,up_and_downs_tried", "4,3", "up_and_downs_made", "4 against 3"),
        ("sand_saves_made,sand_saves_tried", "2,1", "sand_saves_made", "2 against 1"),
        ("penalty_strokes", "-1", "penalty_strokes", "-1"),
        ("pcc", "3.5", "pcc", "3.5"),
    ],
)
def test_stats_of_a_round(read, columns, cells, column, found):
    text = f"golfer_id,played_on,score_differential,{columns}\nG1,2026-05-01,14.2,{cells}\n"
    (problem,) = read({"rounds.csv": text}).errors
    assert (problem.row, problem.column, problem.found) == (2, column, found)
    assert problem.remedy


def test_the_first_of_identical_rows_is_kept_and_none_of_unlike_ones(read):
    rows = "G1,2026-05-01,9\nG1,2026-05-01,9\nG1,2026-05-02,9\nG1,2026-05-02,10\nG1,2026-05-02,9\n"
    reading = read({"rounds.csv": "golfer_id,played_on,score_differential\n" + rows})
    lines = [problem.line() for problem in reading.errors]
    assert "row 3: the same row as row 2 (found 'G1, 2026-05-01, 1')" in lines[0]
    assert "row 5: the same key as row 4 with other values (found 'G1, 2026-05-02, 1')" in lines[1]
    assert "row 6: the same row as row 4" in lines[2]
    assert reading.tables.rounds["played_on"].dt.day.tolist() == [1]
    assert reading.rejected == {"rounds": 4}


def test_several_rounds_a_day_are_numbered(read):
    text = "golfer_id,played_on,round_no,score_differential\nG1,2026-05-01,,9\nG1,2026-05-01,2,8\n"
    reading = read({"rounds.csv": text})
    assert reading.problems == ()
    assert reading.tables.rounds["round_no"].tolist() == [1, 2]


def test_keys_with_a_part_that_may_be_blank(read):
    calendar = "golfer_id,starts_on,ends_on,phase\n" + ",2026-05-01,2026-09-30,in season\n" * 2
    (problem,) = read({"calendar.csv": calendar}).errors
    assert "row 3: the same row as row 2" in problem.line()


@pytest.mark.parametrize("state", ["none", "unknown"])
def test_a_week_without_practice_needs_neither_dose_nor_category(read, state):
    text = f"golfer_id,practised_on,category,state\nG1,2026-05-01,,{state}\n"
    reading = read({"practice.csv": text})
    assert reading.problems == ()
    assert reading.tables.practice["state"].tolist() == [state]


def test_practice_that_was_done_needs_its_category(read):
    (problem,) = read({"practice.csv": "golfer_id,practised_on,category,minutes\nG1,2026-05-01,,30\n"}).errors
    assert problem.column == "category"
    assert problem.remedy == "name the category"


def test_a_dose_of_zero_is_a_dose(read):
    reading = read({"practice.csv": "golfer_id,practised_on,category,reps\nG1,2026-05-01,chipping,0\n"})
    assert reading.problems == ()
    assert reading.tables.practice["reps"].tolist() == [0]


def test_a_column_of_hours_is_suspected(read):
    rows = "".join(f"G1,2026-05-0{day},chipping,{day / 4}\n" for day in range(1, 7))
    (problem,) = read({"practice.csv": "golfer_id,practised_on,category,minutes\n" + rows}).problems
    assert problem.severity == "warning"
    assert "are these hours?" in problem.message
    assert problem.row == 2


def test_golfers_that_want_a_look(read):
    text = "golfer_id,low_index,weekly_hours,most_weekly_hours\nG1,8.1,5,4\n"
    warnings = read({"golfers.csv": text}).warnings
    assert [problem.column for problem in warnings] == ["weekly_hours", "low_index_on"]


def test_a_stroke_index_twice_in_a_round_is_a_warning(read):
    text = "golfer_id,played_on,hole,par,stroke_index,strokes\nG1,2026-05-01,1,4,3,5\nG1,2026-05-01,2,4,3,\n"
    (problem,) = read({"holes.csv": text}).problems
    assert (problem.severity, problem.row, problem.found) == ("warning", 3, "3")


@pytest.mark.parametrize(("distance", "unit", "sound"), [(800, "yd", 1), (2400, "ft", 1), (740, "m", 0)])
def test_shots_of_800_yards_at_most(read, distance, unit, sound):
    # 740 m are 809 yards (1 yd = 0.9144 m exactly, international yard, 1959).
    text = (
        "golfer_id,played_on,hole,shot_no,lie,distance,distance_unit\n"
        f"G1,2026-05-01,1,1,tee,{distance},{unit}\n"
    )
    reading = read({"shots.csv": text})
    assert len(reading.tables.shots) == sound
    if not sound:
        assert (
            reading.errors[0]
            .line()
            .startswith("shots.csv, row 2, column distance: is more than 800 yards (found '740 m')")
        )


@pytest.mark.parametrize(
    ("table", "header", "row", "column"),
    [
        (
            "programmes",
            "golfer_id,programme,started_on,ended_on",
            "G1,winter,2026-05-01,2026-04-01",
            "started_on",
        ),
        (
            "limits",
            "golfer_id,category,starts_on,ends_on,most_minutes_per_week",
            "G1,driver,2026-05-01,2026-04-01,0",
            "starts_on",
        ),
        (
            "calendar",
            "golfer_id,starts_on,ends_on,phase,competition_on",
            ",2026-05-01,2026-06-01,in_season,2026-06-02",
            "competition_on",
        ),
    ],
)
def test_days_in_order(read, table, header, row, column):
    (problem,) = read({f"{table}.csv": f"{header}\n{row}\n"}).errors
    assert problem.column == column
    assert "lies after" in problem.message
    assert "against" in problem.found

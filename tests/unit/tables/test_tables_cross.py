"""Sense between tables: golfers, rounds, membership, categories, days, plans; and what the club holds."""

import pandas as pd
import pytest

from paryield.tables import Category, check_tables, empty_tables, make_tables

PRACTICE = "golfer_id,practised_on,category,reps,minutes\n"
PLAN = "plan,golfer_id,category,starts_on,ends_on,reps_per_week,minutes_per_week\n"


def test_a_golfer_missing_from_golfers_is_named_once(read):
    rows = "".join(f"g-01,2026-05-0{day},9\n" for day in range(1, 5))
    reading = read({"rounds.csv": "golfer_id,played_on,score_differential\n" + rows})
    (problem,) = reading.errors
    assert problem.line() == (
        "rounds.csv, row 2, column golfer_id: the golfer is not in golfers; nearest is G1 (4 rows)"
        " (found 'g-01') - add the golfer there, or mend the id here"
    )
    assert reading.rejected == {"rounds": 4}


def test_rows_of_a_golfer_left_out_are_left_out(read):
    reading = read({"golfers.csv": "golfer_id,birth_year\nG1,19\nG2,1990\n"})
    assert [problem.message for problem in reading.errors] == [
        "must lie between 1900 and 2100",
        "the golfer's row in golfers has an error",
    ]
    assert len(reading.tables.rounds) == 0


def test_without_golfers_the_rounds_are_not_blamed(read):
    reading = read({"rounds.csv": b"golfer_id,played_on,score_differential\nG1,2026-05-01,9\n"}, bare=True)
    assert [problem.message for problem in reading.errors] == ["the table golfers is missing"]
    assert reading.rejected == {"rounds": 1}


def test_what_the_club_holds_need_not_be_repeated(read):
    known = make_tables({"golfers": pd.DataFrame({"golfer_id": ["G1"]})})
    reading = read({"practice.csv": PRACTICE + "G1,2026-05-01,chipping,,30\n"}, bare=True, known=known)
    assert reading.problems == ()
    assert len(reading.tables.practice) == 1
    assert len(reading.tables.golfers) == 0


def test_an_empty_club_still_needs_golfers_and_rounds(read):
    reading = read({"practice.csv": PRACTICE}, bare=True, known=empty_tables())
    assert [problem.message for problem in reading.errors] == [
        "the table golfers is missing",
        "the table rounds is missing",
    ]


def test_holes_may_belong_to_a_round_the_club_holds(read):
    known = make_tables(
        {
            "golfers": pd.DataFrame({"golfer_id": ["G1"]}),
            "rounds": pd.DataFrame(
                {
                    "golfer_id": ["G1"],
                    "played_on": pd.to_datetime(["2026-05-01"]),
                    "score_differential": [9.0],
                }
            ),
        }
    )
    holes = (
        "golfer_id,played_on,hole,par,stroke_index,strokes\nG1,2026-05-01,1,4,3,5\nG1,2026-05-02,1,4,3,5\n"
    )
    (problem,) = read({"holes.csv": holes}, bare=True, known=known).errors
    assert (problem.row, problem.message) == (3, "the round is not in rounds")


def test_holes_of_a_broken_round_are_left_out(read):
    rounds = "golfer_id,played_on,score_differential\nG1,2026-05-01,999\n"
    holes = "golfer_id,played_on,hole,par,stroke_index,strokes\n" + "".join(
        f"G1,2026-05-01,{hole},4,{hole},5\n" for hole in range(1, 4)
    )
    reading = read({"rounds.csv": rounds, "holes.csv": holes})
    assert reading.errors[1].message == "the round's row in rounds has an error (3 rows)"
    assert len(reading.tables.holes) == 0


def test_more_holes_than_the_round_had(read):
    rounds = "golfer_id,played_on,score_differential,holes\nG1,2026-05-01,9,9\n"
    holes = "golfer_id,played_on,hole,par,stroke_index,strokes\n" + "".join(
        f"G1,2026-05-01,{hole},4,{hole},5\n" for hole in range(1, 11)
    )
    (problem,) = read({"rounds.csv": rounds, "holes.csv": holes}).errors
    assert problem.message == "the round has 9 holes in rounds, but 10 here (10 rows)"


def test_play_outside_membership_is_a_warning(read):
    golfers = "golfer_id,joined_on,left_on\nG1,2026-05-01,2026-06-01\nG2,,\n"
    rounds = "golfer_id,played_on,score_differential\n" + "".join(
        f"{who},{day},9\n"
        for who in ("G1", "G2")
        for day in ("2026-04-01", "2026-04-08", "2026-05-01", "2026-06-02")
    )
    reading = read({"golfers.csv": golfers, "rounds.csv": rounds})
    assert reading.errors == ()
    assert [problem.message for problem in reading.warnings] == [
        "lies before the golfer's joined_on 2026-05-01 (2 rows)",
        "lies after the golfer's left_on 2026-06-01",
    ]
    assert len(reading.tables.rounds) == 8


def test_the_clubs_own_categories_count(read):
    settings = '[[category]]\nname = "wedges"\nserves = { approach = 0.5, short_game = 0.5 }\n'
    practice = PRACTICE + "G1,2026-05-01,wedges,,30\nG1,2026-05-01,Short Putting,,30\n"
    reading = read({"practice.csv": practice, "settings.toml": settings})
    (problem,) = reading.errors
    assert (problem.row, problem.found) == (3, "Short Putting")
    assert "nearest is short_putting" in problem.message
    assert reading.tables.category("wedges").half_life_days == 335.0


@pytest.mark.parametrize(
    ("minutes", "severity", "hours"), [(480, None, ""), (481, "warning", "8.0"), (960, "warning", "16.0")]
)
def test_hours_of_a_day(read, minutes, severity, hours):
    reading = read({"practice.csv": PRACTICE + f"G1,2026-05-01,chipping,,{minutes}\n"})
    assert len(reading.tables.practice) == 1
    assert [problem.severity for problem in reading.problems] == ([severity] if severity else [])
    if severity:
        assert f"G1 practised {hours} hours on 2026-05-01, more than 8" in reading.problems[0].message


def test_reps_count_into_the_hours_of_a_day_at_the_categorys_pace(read):
    # Bunker: 60 minutes per 100 reps (common practice, no source), so 900 reps are 9 hours.
    reading = read({"practice.csv": PRACTICE + "G1,2026-05-01,bunker,900,\n"})
    assert "G1 practised 9.0 hours" in reading.warnings[0].message


def test_a_day_of_more_than_16_hours_is_left_out_whole(read):
    practice = PRACTICE + "G1,2026-05-01,chipping,,600\nG1,2026-05-01,bunker,,420\nG1,2026-05-02,bunker,,60\n"
    reading = read({"practice.csv": practice})
    assert len(reading.errors) == 1
    assert reading.tables.practice["minutes"].tolist() == [60.0]


@pytest.mark.parametrize(
    ("starts", "ends", "reps", "minutes", "sound"),
    [
        ("2026-06-01", "2026-07-31", "", 60, True),
        ("2026-06-01", "2026-07-31", "", 61, False),
        ("2026-06-01", "2026-07-31", 100, "", False),
        ("2026-09-01", "2026-09-30", "", 61, True),
        ("2026-08-31", "2026-09-30", "", 61, False),
    ],
)
def test_no_plan_passes_a_limit_while_it_holds(read, starts, ends, reps, minutes, sound):
    # Driver: 90 minutes per 100 reps (common practice, no source).
    limits = (
        "golfer_id,category,starts_on,ends_on,most_minutes_per_week,note\n"
        "G1,driver,2026-05-01,2026-08-31,60,back\n"
    )
    reading = read(
        {"limits.csv": limits, "plans.csv": PLAN + f"p,G1,driver,{starts},{ends},{reps},{minutes}\n"}
    )
    assert len(reading.tables.plans) == sound
    assert not any("back" in problem.line() for problem in reading.problems)


def test_no_plan_passes_the_golfers_hours(read):
    golfers = "golfer_id,most_weekly_hours\nG1,2\n"
    plans = PLAN + (
        "p,G1,driver,2026-05-01,2026-05-31,,70\np,G1,irons,2026-05-31,2026-07-01,,51\n"
        "q,G1,driver,2026-05-01,2026-05-31,,70\nq,G1,irons,2026-06-01,2026-07-01,,51\n"
    )
    reading = read({"golfers.csv": golfers, "plans.csv": plans})
    (problem,) = reading.errors
    assert problem.message == "the plan takes 2.0 hours a week, most_weekly_hours is 2"
    assert reading.tables.plans["plan"].tolist() == ["p", "q", "q"]


def test_tables_made_in_python_meet_the_same_rules():
    own = Category("wedges", {"approach": 1.0}, 50.0, "swing", 300.0)
    tables = make_tables(
        {
            "golfers": pd.DataFrame({"golfer_id": ["G1"], "start_index": [-2.1]}),
            "practice": pd.DataFrame(
                {
                    "golfer_id": ["G1", "G1", "G2"],
                    "practised_on": ["2026-05-01", "2026-05-02", "2026-05-02"],
                    "category": ["wedges", "wedgs", "wedges"],
                    "minutes": [30, 30, -1],
                }
            ),
        },
        categories=(*empty_tables().categories, own),
    )
    problems = check_tables(tables, today=pd.Timestamp("2026-07-05").date())
    assert [(p.file, p.row, p.column) for p in problems] == [
        ("practice", 3, "category"),
        ("practice", 4, "minutes"),
        ("practice", 4, "golfer_id"),
    ]


def test_a_club_may_begin_with_its_golfers(read):
    reading = read({"golfers.csv": "golfer_id\nG1\n"}, bare=True, known=empty_tables())
    assert reading.errors == ()
    assert [problem.message for problem in reading.problems] == ["the table rounds is missing"]
    assert len(reading.tables.golfers) == 1

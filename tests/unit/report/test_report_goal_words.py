"""Sentences about goals over all cells."""

from __future__ import annotations

from datetime import date
from html import unescape
from typing import Any

import pytest

from paryield.report import coach_page, golfer_page
from paryield.report.attention import reasons
from paryield.report.goal_ahead import passed_goal
from paryield.report.goal_words import goal_chance, goal_hours_sentence, goals_sentence
from paryield.report.review_words import to_decide

RECORD = {
    "golfer_id": "G1",
    "on": "2027-06-01",
    "hours": 4.0,
    "rounds_per_month": 3.0,
    "reportable": True,
    "likely": 12.34,
    "even": 11.5,
    "stretch": -0.4,
    "goal": 10.0,
    "by": "2027-06-01",
    "chance": 0.31,
    "hours_tried": 12.0,
}


@pytest.mark.parametrize(
    ("even", "year", "said"),
    [
        (5.0, 4.5, "An even chance by then takes 5 h a week, split as in the present week."),
        (5.0, None, "a year from now even 12 h would not give it."),
        (None, 6.25, "Not an even chance by then, even with 12 h a week split as in the present week; within "
         "a year that takes 6 h 15 min a week."),
        (None, None, "Not an even chance within a year, even with 12 h a week split as in the present week."),
        (0.0, 0.0, "It is at least even without any practice."),
    ],
)  # fmt: skip
def test_every_cell(even: float | None, year: float | None, said: str) -> None:
    text = goal_hours_sentence({**RECORD, "hours_even": even, "hours_even_year": year})
    assert text.startswith("Goal 10.0 by 1 June 2027: estimated chance 31\u00a0% on 4 h a week. ")
    assert text.endswith(said)
    told = goal_hours_sentence({**RECORD, "hours_even": even, "hours_even_year": year}, chance_told=True)
    assert told == f"Goal 10.0 by 1 June 2027. {text.partition('week. ')[2]}"


def test_what_cannot_be_given_says_why() -> None:
    broken = {**RECORD, "reportable": False, "chance": None, "reason": "too few rounds"}
    assert goals_sentence(broken) == "By 1 June 2027 no index can be given: too few rounds."
    assert goal_hours_sentence(broken) == "Goal 10.0 by 1 June 2027: cannot be answered, too few rounds."


def test_three_goals_in_one_sentence() -> None:
    assert "likely 12.3 or lower (8 in 10), even 11.5 (5 in 10), a stretch +0.4 (2 in 10)" in goals_sentence(
        RECORD
    )


def test_a_goal_whose_day_has_passed_is_said_everywhere(make_view: Any, make_coach: Any) -> None:
    by = date(2026, 7, 1)
    missed, met, unknown = (passed_goal(8.7, by, index) for index in (9.1, 8.7, None))
    said = "not reached (the index now is 9.1); set a new one"
    assert goal_chance(missed) == f"Passed its day (8.7 by 1 July 2026): {said}."
    assert goal_chance(met).startswith("Passed its day (8.7 by 1 July 2026): reached (the index now is 8.7)")
    assert "not known whether it was reached; set a new one" in goal_chance(unknown)
    view = make_view(goal=missed)
    assert goal_chance(missed) in unescape(golfer_page(view))
    first = reasons(view)[0]
    assert first.text == f"goal passed its day (8.7 by 1 July 2026): {said}"
    club = coach_page(make_coach((view,)))
    assert first.text[1:] in unescape(club)
    assert "8.7: day passed" in club
    assert to_decide(missed, None) == "The goal of 8.7 by 1 July 2026 has passed its day: agree a new one."

"""What stands on one page does not contradict another, nor the number beside it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from report_tables import forecast_records, returns_records, rounds_frame

from paryield.plan.week_verdict import AS_GOOD, WORTH
from paryield.report import Goal, GolferView
from paryield.report.attention import Reason, by_attention, pressing
from paryield.report.first_screen import BEST_ROUNDS, MORE_ROUNDS, MOST_WORDS, first_screen, words_of
from paryield.report.goal_words import goal_chance
from paryield.report.html import golfer_page
from paryield.report.plan_words import WEEK_CELLS, plan_sentence, rule_sentence
from paryield.report.reader import written_for
from paryield.report.review_words import to_decide
from paryield.report.week_words import even_words, week_sentences
from paryield.report.words import index_span, number, time_text
from paryield.tables.settings import Settings

Make = Callable[..., GolferView]


def ahead(view: GolferView) -> str:
    return next(line.said for line in first_screen(view) if line.about.startswith("In "))


def because(**parts: float) -> list[dict[str, Any]]:
    return [
        {"part": name, "mean": value, "q10": value - 0.2, "q90": value + 0.2} for name, value in parts.items()
    ]


def told(make_view: Make, change: float, **parts: float) -> str:
    rows = [row | {"because": because(**parts)} for row in forecast_records(change=change)]
    return ahead(make_view(forecast=rows))


def test_a_cause_is_named_only_where_it_moves_the_index_the_same_way(make_view: Make) -> None:
    assert told(make_view, -0.7, season=0.7, form=-1.1).endswith("Mostly return to usual form.")
    assert told(make_view, 0.7, season=0.7, form=-0.2).endswith("Mostly season.")
    falls, rises = told(make_view, -0.4, season=0.7), told(make_view, 0.4, season=-0.7)
    assert falls.endswith(BEST_ROUNDS[False])
    assert rises.endswith(BEST_ROUNDS[True])
    assert "season" not in falls + rises
    assert told(make_view, -1.2, practice=-0.2, form=-0.15).endswith(BEST_ROUNDS[False])
    assert told(make_view, -0.7, practice=-0.06).endswith(BEST_ROUNDS[False])
    rows = [row | {"because": because(season=0.7)} for row in forecast_records(change=-0.4)]
    few = make_view(forecast=rows, rounds=rounds_frame().tail(19))
    assert ahead(few).endswith(MORE_ROUNDS[False])
    assert told(make_view, 0.0, season=0.7).endswith(".")
    assert "season" not in told(make_view, 0.0, season=0.7)


def test_one_rule_says_when_a_week_is_named(make_view: Make) -> None:
    assert number(WORTH, 2) in rule_sentence()
    assert number(AS_GOOD, 1) in rule_sentence()
    assert "tenth" not in " ".join(WEEK_CELLS.values())


def test_the_rule_is_written_as_the_settings_say() -> None:
    with written_for(Settings(locale="de_DE")):
        assert "0,05 strokes" in rule_sentence()


def test_what_every_golfer_has_is_not_counted_as_standing_in_the_list(make_view: Make) -> None:
    assumed = [row | {"evidence": "assumed"} for row in returns_records()]
    fine = Goal(13.0, date(2027, 6, 1), 0.9)
    views = [make_view(golfer_id=name, goal=fine, returns=assumed) for name in "abc"]
    now, later = pressing(by_attention(views))
    assert (now, later) == ([], 0)


def test_reasons_of_the_records_take_part_in_the_order(make_view: Make) -> None:
    fine = Goal(13.0, date(2027, 6, 1), 0.9)
    views = [make_view(golfer_id=name, display_name=name, goal=fine) for name in ("Ada", "Zed")]
    due = {"Zed": [Reason(102, "review due")]}
    ordered = by_attention(views, lambda view: due.get(view.name, []))
    assert [view.name for view, _ in ordered] == ["Zed", "Ada"]


def test_a_goal_that_is_reached_says_so(make_view: Make) -> None:
    goal = Goal(15.0, date(2027, 6, 1), 0.89, reached=True)
    assert "reached already; the chance of still holding it then is 89" in goal_chance(goal)
    assert to_decide(goal, None) == "The goal of 15.0 is reached: agree a further one?"
    assert "reached" not in goal_chance(Goal(15.0, date(2027, 6, 1), 0.89))


@pytest.mark.parametrize(("hours", "said"), [(1.7, "1 h 42 min"), (2.85, "2 h 51 min"), (0.57, "34 min")])
def test_hours_have_one_rounding(hours: float, said: str) -> None:
    assert time_text(hours) == said


def test_hours_that_could_not_be_placed_are_said() -> None:
    row = {"category": "driver", "hours_now": 1.0, "hours_advised": 2.75, "hours_best": 2.75}
    record = {
        "hours": 2.85, "weeks": 12, "aim": "likely", "verdict": "try", "weeks_plan": [row],
        "gain": {"q50": 0.1, "q10": 0.0, "q90": 0.2}, "chance_gain": 0.7, "evidence": "assumed",
        "price_if_wrong": 0.02,
    }  # fmt: skip
    assert plan_sentence(record).startswith("2 h 51 min a week, of which 2 h 45 min could be placed, for")
    whole = plan_sentence(record | {"hours": 2.75})
    assert whole.startswith("2 h 45 min a week for 12 weeks")


def test_a_longer_week_says_what_its_split_saves_and_which_week_it_is_held_against() -> None:
    gain = {"q50": 0.52, "q10": 0.1, "q90": 0.9}
    assert "against the present one of 1 h 42 min" in week_sentences(gain, 0.9, changed=True, present=1.7)[0]
    said = even_words({"q50": 0.1, "q10": 0.0, "q90": 0.2}, 3.0)
    assert said.startswith(
        "Against 3 h in the usual split it saves about 0.10 strokes (8 in 10: 0.00 to 0.20 saved"
    )
    same = even_words({"q50": 0.0, "q10": 0.0, "q90": 0.001}, 3.0)
    assert (
        same
        == "Against 3 h in the usual split it makes no difference that would show: all comes from the time."
    )


def test_the_rule_stands_beside_the_week(make_view: Make) -> None:
    from test_report_plan_words import record

    assert "Another week is named where" in golfer_page(make_view(plan=record("keep", limited=[]), long=True))


def test_the_first_screen_names_sessions_by_day_and_minutes(make_view: Make) -> None:
    from test_report_plan_words import record

    plan = record("try", evidence="assumed")
    plan["sessions"] = [
        {"on": on, "category": name, "minutes": 30, "reps": None}
        for on, name in (("2026-07-06", "chipping"), ("2026-07-06", "driver"), ("2026-07-09", "chipping"))
    ]
    said = {line.about: line.said for line in first_screen(make_view(plan=plan, goal=None))}
    assert said["Sessions"] == "Monday chipping 30 min and driver 30 min; 1 more."
    assert "chipping 2 h instead of 1 h and driver 1 h instead of 2 h" in said["This week"]
    assert words_of(first_screen(make_view(plan=plan, goal=None))) <= MOST_WORDS


def test_a_range_of_the_index_says_which_end_is_better_where_it_passes_scratch() -> None:
    assert index_span(-1.0, 1.8) == "+1.0, better than scratch, to 1.8"
    assert index_span(-2.0, -1.0) == "+2.0, the better, to +1.0"
    assert index_span(10.2, 11.8) == "10.2 to 11.8"


def test_where_nothing_was_measured_it_says_none(make_view: Make) -> None:
    assumed = [row | {"evidence": "assumed"} for row in returns_records()]
    said = {line.about: line.said for line in first_screen(make_view(returns=assumed))}
    assert "records speak about none of the 5 kinds of practice, all is assumed" in said["How sure"]

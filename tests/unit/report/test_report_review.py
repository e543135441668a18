"""The review in words and as a part of the golfer's page; every number here is invented."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest
from report_tables import quantiles, split_records

from paryield.plan.review import Review
from paryield.report import review_words as words
from paryield.report.sections import review_section
from paryield.report.views import Goal


def one_test(chance: float | None) -> dict[str, Any]:
    return {
        "test": "putting_ladder",
        "distance_ft": 6.0,
        "unit": None,
        "before_on": date(2026, 5, 20),
        "after_on": date(2026, 7, 1),
        "before": "4 of 10" if chance is not None else 95.0,
        "after": "7 of 10" if chance is not None else 97.5,
        "change": None if chance is None else quantiles(0.3, 0.2),
        "chance_better": chance,
    }


@pytest.mark.parametrize(
    ("chance", "verdict"), [(0.95, "better"), (0.5, "same"), (0.05, "worse"), (None, "no error")]
)
def test_a_test_is_better_or_worse_only_beyond_its_error(chance: float | None, verdict: str) -> None:
    assert words.test_verdict(one_test(chance)) == verdict
    assert verdict in words.TEST_CELLS
    assert (words.test_change(one_test(chance)) == "not known") == (chance is None)


@pytest.mark.parametrize(
    ("chance", "verdict"), [(0.8, "on course"), (0.3, "open"), (0.1, "behind"), (None, "cannot tell")]
)
def test_goal_is_on_course_at_an_even_chance(chance: float | None, verdict: str) -> None:
    goal = Goal(11.0, date(2026, 12, 1), chance)
    assert words.course_verdict(goal) == verdict
    asked = words.to_decide(goal, None)
    assert ("a later date or more hours" in asked) == (verdict == "behind")
    assert "11.0 by 1 December 2026" in asked
    assert words.to_decide(None, None) == "Agree a goal: an index and a date."


def test_advice_to_change_the_week_is_what_to_decide_while_the_goal_is_open() -> None:
    goal = Goal(11.0, date(2026, 12, 1), 0.4)
    assert words.to_decide(goal, {"verdict": "change"}).startswith("Take up the advised week")
    assert words.to_decide(goal, {"verdict": "keep"}).startswith("Keep the goal of 11.0")


def test_verdict_tables_have_no_cell_too_many() -> None:
    assert set(words.TEST_CELLS) == {"better", "worse", "same", "no error"}


def row(category: str, planned: float | None, done: float) -> dict[str, Any]:
    kept = None if planned is None else done
    return {"category": category, "hours_planned": planned, "hours_done": done, "hours_kept": kept}


@pytest.mark.parametrize(
    ("practice", "unknown", "piece"),
    [
        (
            [row("chipping", 10.0, 6.0), row("irons", 0.0, 2.0)],
            0,
            "6 h of 10 h planned are in the diary, 60 % of the plan.",
        ),
        ([row("chipping", None, 6.0)], 0, "6 h of practice are in the diary; no plan was running."),
        (
            [],
            14,
            "No practice is in the diary and no plan was running. The diary leaves 14 of 42 days open",
        ),
    ],
)
def test_practice_is_set_against_the_plan(practice: list[dict[str, Any]], unknown: int, piece: str) -> None:
    assert words.practice_sentence(practice, 42, unknown).startswith(piece)


def test_next_review_is_a_span_or_the_end_of_the_plan() -> None:
    first = date(2026, 8, 2)
    assert (
        words.next_sentence(first, date(2026, 8, 16))
        == "Next review: between 2 August 2026 and 16 August 2026."
    )
    assert words.next_sentence(first, first) == "Next review: 2 August 2026, when the plan ends."


def test_the_part_shows_every_finding_and_none_without_a_review(make_view: Any) -> None:
    review = Review(
        golfer_id="G07",
        since=date(2026, 5, 24),
        until=date(2026, 7, 5),
        practice=[row("<b>chip", 10.0, 6.0)],
        days_unknown=0,
        split=split_records(),
        tests=[one_test(0.95), one_test(None)],
        next_from=date(2026, 8, 2),
        next_to=date(2026, 8, 16),
    )
    page = str(review_section(make_view(review=review, long=True)))
    for piece in (
        "Planned and done",
        "Your average round is about 1.0 lower than on 24 May 2026.",
        "To decide",
        "60 % of the plan",
        "4 of 10",
        "Next time",
        "Between 2 August 2026 and 16 August 2026.",
        "practice is the clearest part",
    ):
        assert piece in page
    assert words.TEST_CELLS["better"] in page
    assert words.TEST_CELLS["no error"] in page
    assert "<b>chip" not in page
    assert str(review_section(make_view(review=None))) == ""


def test_the_index_then_and_now_is_told_with_the_rounds_between():
    rounds = pd.DataFrame(
        {
            "played_on": ["2026-05-01", "2026-05-10", "2026-06-02", "2026-06-20"],
            "differential": [15.0, 13.0, 12.2, 14.0],
            "index_after": [14.2, 13.9, 13.4, 13.1],
        }
    )
    said = words.index_sentence(rounds, date(2026, 5, 10), date(2026, 6, 10))
    assert said == "13.9 on 10 May 2026, 13.4 now; 1 round with a differential since"
    early = words.index_sentence(rounds, date(2026, 4, 1), date(2026, 6, 30))
    assert early == (
        "none on 1 April 2026, 13.1 now; 4 rounds with a differential since, "
        "the best of them 12.2 on 2 June 2026"
    )
    assert (
        words.index_sentence(rounds.iloc[:0], date(2026, 4, 1), date(2026, 6, 30))
        == "none yet; 0 rounds played"
    )


def test_where_nothing_was_played_a_change_is_called_expected() -> None:
    rounds = pd.DataFrame({"played_on": [date(2026, 6, 1)], "differential": [12.0], "index_after": [12.0]})
    assert words.unseen_sentence(rounds, date(2026, 5, 20), date(2026, 6, 30)) == []
    (said,) = words.unseen_sentence(rounds, date(2026, 6, 1), date(2026, 6, 30))
    assert said.startswith("No round was played")

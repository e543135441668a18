"""Sentences about a plan over all cells, and the parts of the page."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from report_tables import quantiles

from paryield.plan.week_verdict import LEFT, REACHED, WEEK_LEFT, WEEK_REACHED
from paryield.posterior.evidence import EVIDENCE
from paryield.report import CoachView, GolferView
from paryield.report.changes import HELD
from paryield.report.html import coach_page, golfer_page
from paryield.report.plan_lines import plan_lines
from paryield.report.plan_words import (
    AIM_WORDS,
    AREA_TESTS,
    HELD_STROKES,
    HELD_SURE,
    PHASES,
    STROKES,
    SURE,
    moved,
    moved_by,
    plan_sentence,
    regret_sentence,
    tell_sentence,
    week_sentence,
)
from paryield.report.words import NBSP
from paryield.tables.categories import AREAS


def record(verdict: str = "change", chance: float = 0.9, middle: float = 0.3, **more: Any) -> dict[str, Any]:
    rows = (
        ("chipping", 1.0, 2.0, 2.0, 300),
        ("driver", 2.0, 1.0, 1.0, 65),
        ("strength", 1.0, 1.0, 1.0, None),
    )
    plain = {
        "golfer_id": "G07",
        "hours": 4.0,
        "weeks": 12,
        "aim": "likely",
        "verdict": verdict,
        "gain": quantiles(middle, 0.2),
        "chance_gain": chance,
        "evidence": "part measured",
        "price_if_wrong": 0.12,
        "areas_to_test": ["short_game", "off_the_tee"],
        "regret": 0.1,
        "regret_now": 0.4,
        "cautions": ["Full swings: 90 minutes a week planned, 30 on average in the last 4 weeks."],
        "weeks_plan": [
            {"category": name, "hours_now": now, "hours_advised": advised, "hours_best": best}
            | {"reps_advised": reps, "usual_low": 0.2, "usual_high": 1.5}
            for name, now, advised, best, reps in rows
        ],
        "phases": [
            {"starts_on": "2026-07-06", "ends_on": "2026-08-02", "weeks": 4, "phase": phase, "hours": hours}
            for phase, hours in (("in_season", {"chipping": 2.0}), ("break", {}))
        ],
        "sessions": [{"on": "2026-07-06", "category": "chipping", "minutes": 30, "reps": 75}],
        "notes": ["planned for the most weekly hours on file, 4"],
    }
    return {**plain, **more}


def test_a_week_that_gives_little_to_many_names_the_largest_beside_what_it_takes() -> None:
    """Eighteen minutes of putting are spread: no one gets as much as is named alone, and one is named."""
    week = record(
        weeks_plan=[
            {"category": name, "hours_now": now, "hours_best": best}
            for name, now, best in (("short_putting", 0.3, 0.0), ("irons", 0.35, 0.5), ("driver", 0.4, 0.5))
        ]
    )
    assert moved(week) == "more irons, less short putting"
    assert moved_by(week) == "irons 30 min instead of 21 min and short putting 0 min instead of 18 min"
    still = [{"category": "irons", "hours_now": 0.5, "hours_best": 0.6}]
    assert moved(record(weeks_plan=still)) == moved_by(record(weeks_plan=still)) == "the advised split"


@pytest.mark.parametrize("evidence", EVIDENCE)
@pytest.mark.parametrize("verdict", ["change", "try", "keep"])
def test_every_verdict_has_its_sentence_with_strokes_range_and_evidence(verdict: str, evidence: str) -> None:
    text = week_sentence(record(verdict, evidence=evidence))
    assert text.startswith(
        {"change": "Change", "try": "Try as a block of 12 weeks:", "keep": "Keep"}[verdict]
    )
    assert "0.30 strokes a round (8 in 10: 0.04 to 0.56)" in text
    assert f"({evidence})" in text
    by = "chipping 2 h instead of 1 h and driver 1 h instead of 2 h"
    assert (by in text) == (verdict != "keep")
    assert ("or cost 0.12 if the new hours do nothing" in text) == (verdict == "try")


@pytest.mark.parametrize("chance", [0.995, 1.0])
def test_near_certainty_is_never_claimed_without_the_word_for_its_evidence(chance: float) -> None:
    for verdict in ("change", "try"):
        text = week_sentence(record(verdict, chance, evidence="assumed"))
        assert f"over 99{NBSP}% (assumed)" in text


def test_the_limits_of_words_and_rule_are_the_same() -> None:
    assert (SURE, STROKES) == WEEK_REACHED
    assert (HELD_SURE, HELD_STROKES) == WEEK_LEFT
    figures = f"{WEEK_LEFT[1]:g} instead of {WEEK_REACHED[1]:g} for a week"
    assert figures in HELD
    assert f"chance {LEFT[0]:g} instead of {REACHED[0]:g}; {LEFT[1]:g} instead of {REACHED[1]:g} " in HELD
    assert LEFT[0] == WEEK_LEFT[0]
    assert REACHED[0] == WEEK_REACHED[0]
    assert set(AREA_TESTS) == set(AREAS)


@pytest.mark.parametrize(("chance", "middle"), [(0.75, 0.3), (0.9, 0.12), (0.72, 0.11)])
def test_advice_of_the_run_before_is_kept_and_said_to_be(chance: float, middle: float) -> None:
    text = week_sentence(record("change", chance, middle))
    assert "Stay with the change that the run before advised" in text
    assert "kept until it clearly fails" in text


def test_a_verdict_that_contradicts_its_numbers_is_an_error() -> None:
    for chance, middle in ((0.5, 0.3), (0.9, 0.09)):
        with pytest.raises(KeyError):
            week_sentence(record("change", chance, middle))


def test_one_sentence_stands_on_the_page_in_the_list_and_in_the_terminal(
    make_view: Callable[..., GolferView], make_coach: Callable[..., CoachView]
) -> None:
    plan = record("try", evidence="assumed")
    said = week_sentence(plan)
    view = make_view(plan=plan)
    page = unescape(golfer_page(view))
    assert page.count(said) == 1
    lines = [*plan_lines([plan]), *plan_lines([plan, record(golfer_id="G08")])]
    assert "try: more chipping, less driver" in unescape(coach_page(make_coach((view,))))
    assert sum(said in line for line in lines) == 2


def test_what_would_tell_names_tests() -> None:
    said = tell_sentence(record("try", evidence="assumed"))
    assert "a test every other week (chips or bunker shots and drives in the bay)." in said
    assert "8 to 13 weeks with most of the time on one area, then as many on another" in said
    assert tell_sentence(record("change", evidence="measured")) == ""


def test_regret_is_in_strokes_beside_the_present_week() -> None:
    assert "0.10 strokes a round behind" in regret_sentence(record())
    assert "the present week is 0.40 behind it" in regret_sentence(record())
    assert "present" not in regret_sentence(record(regret_now=0.1))


@pytest.mark.parametrize("aim", AIM_WORDS)
def test_every_aim_has_words(aim: str) -> None:
    assert AIM_WORDS[aim] in plan_sentence(record(aim=aim))


@pytest.mark.parametrize("phase", PHASES)
def test_the_page_shows_the_week_with_its_cautions(
    make_view: Callable[..., GolferView], phase: str | None
) -> None:
    plan = record()
    plan["phases"][1]["phase"] = phase
    page = golfer_page(make_view(plan=plan, long=True))
    for text in (
        "My week",
        "Full swings: 90 minutes a week planned",
        "Planned for the most weekly hours on file, 4.",
        "no practice planned",
        "chipping 30 min (75 balls)",
        "0.10 strokes a round behind the best week there may be; the present week is 0.40 behind it.",
    ):
        assert text in page
    assert "My week" not in golfer_page(make_view())


def test_goals_on_the_page(make_view: Callable[..., GolferView]) -> None:
    row = {
        "golfer_id": "G07", "on": "2027-06-01", "hours": 4.0, "rounds_per_month": 3.0, "reportable": True,
        "likely": 12.0, "even": 11.0, "stretch": -0.5, "goal": 10.0, "by": "2027-06-01", "chance": 0.3,
        "hours_even": None, "hours_even_year": None, "hours_tried": 12.0,
    }  # fmt: skip
    page = golfer_page(make_view(goals=(row,)))
    assert "What can be reached" in page
    assert "Not an even chance within a year, even with 12 h a week split as in the present week." in page
    assert "+0.5" in page
    assert "What can be reached" not in golfer_page(make_view(goals=({**row, "reportable": False},)))


def test_terminal_lines_hold_the_week_and_every_caution() -> None:
    lines = plan_lines([record()])
    assert lines[0].startswith(
        "Golfer G07: 4 h a week for 12 weeks, against the same time in the usual split, aim: the greatest "
        "expected gain. Change"
    )
    assert any(line.split() == ["chipping", "1.00", "2.00", "2.00", "300"] for line in lines)
    assert record()["cautions"][0] in lines
    both = plan_lines([record(), record(golfer_id="G08", cautions=[])])
    assert both[1].split()[:3] == ["G07", "4.00", "change"]
    assert f"G07: {record()['cautions'][0]}" in both


def test_a_week_that_a_limit_cuts_is_not_called_the_present_one() -> None:
    cut = record("keep", limited=["driver"])
    said = week_sentence(cut)
    assert "Keep the present week as far as is allowed, driver 1 h instead of 2 h: " in said
    assert "Keep the present week:" not in said
    assert "Keep the present week: no other" in week_sentence(record("keep", limited=[]))


def test_a_break_of_the_calendar_stands_in_the_terminal() -> None:
    lines = plan_lines([record()])
    assert "In season, 6 July 2026 to 2 August 2026: chipping 2.00" in lines
    assert "Break, 6 July 2026 to 2 August 2026: no practice planned" in lines


def test_a_week_that_loses_strokes_costs_them() -> None:
    """Saving a negative number is no way to say it."""
    gain = {"q10": -0.2, "q50": -0.06, "q90": 0.1}
    said = week_sentence(record("keep", gain=gain))
    assert "The best-looking one costs about 0.06 strokes a round (8 in 10: \u22120.20 to 0.10 saved)" in said

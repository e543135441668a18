"""Sentences about a plan over all cells, and the parts of the page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from report_tables import quantiles

from paryield.plan.advice import verdict_of
from paryield.plan.steady import LEFT, REACHED, WEEK_LEFT, WEEK_REACHED
from paryield.report import GolferView
from paryield.report.changes import HELD
from paryield.report.html import golfer_page
from paryield.report.plan_lines import plan_lines
from paryield.report.plan_words import (
    AIM_WORDS,
    HELD_STROKES,
    HELD_SURE,
    PHASES,
    PLAN_CELLS,
    STROKES,
    SURE,
    plan_cell,
    plan_sentence,
    week_short,
)


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
        "regret": 0.1,
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


@pytest.mark.parametrize("middle", [0.05, 0.1, 0.1999, 0.2, 0.5])
@pytest.mark.parametrize("chance", [0.5, 0.79, 0.8, 0.95])
def test_every_pair_of_chance_and_gain_has_its_sentence(chance: float, middle: float) -> None:
    """The verdict rule of a plan and the table of sentences cannot disagree: all cells are filled."""
    verdict = "change" if chance >= WEEK_REACHED[0] and middle >= WEEK_REACHED[1] else "keep"
    text = plan_sentence(record(verdict, chance, middle))
    assert ("Change the week" in text) == (verdict == "change")
    assert ("Keep the present week" in text) == (verdict == "keep")
    assert f"{chance * 100:.0f}" in text


def test_the_limits_of_words_and_rule_are_the_same() -> None:
    assert (SURE, STROKES) == WEEK_REACHED
    assert (HELD_SURE, HELD_STROKES) == WEEK_LEFT
    figures = f"{WEEK_LEFT[1]:g} instead of {WEEK_REACHED[1]:g} for a week"
    assert figures in HELD
    assert f"chance {LEFT[0]:g} instead of {REACHED[0]:g}; {LEFT[1]:g} instead of {REACHED[1]:g} " in HELD
    assert LEFT[0] == WEEK_LEFT[0]
    assert REACHED[0] == WEEK_REACHED[0]
    assert {cell[0] for cell in PLAN_CELLS} == {"change", "keep"}
    assert len(PLAN_CELLS) == 7


@pytest.mark.parametrize(("chance", "middle"), [(0.75, 0.3), (0.9, 0.12), (0.72, 0.11)])
def test_advice_of_the_run_before_is_kept_and_said_to_be(chance: float, middle: float) -> None:
    text = plan_sentence(record("change", chance, middle))
    assert "Stay with the change that the run before advised" in text
    assert "kept until it clearly fails" in text


def test_a_verdict_that_contradicts_its_numbers_is_an_error() -> None:
    for chance, middle in ((0.5, 0.3), (0.9, 0.09)):
        with pytest.raises(KeyError):
            plan_sentence(record("change", chance, middle))


def test_the_rule_itself() -> None:
    import numpy as np

    sure = np.concatenate([np.full(85, 0.3), np.full(15, -0.1)])
    assert verdict_of(sure) == "change"
    assert verdict_of(np.where(sure > 0, 0.199, -0.1)) == "keep"
    assert verdict_of(np.concatenate([np.full(79, 0.3), np.full(21, -0.1)])) == "keep"
    assert plan_cell(record()) == ("change", True, True)


def test_what_moves_is_named_with_both_directions() -> None:
    assert "more chipping, less driver saves about 0.30 strokes a round" in plan_sentence(record())
    assert week_short(record()).startswith("change: more chipping, less driver, saves 0.30 (")
    assert week_short(record("keep", 0.6, 0.05)).startswith("keep; the best-looking change saves 0.05 (")


@pytest.mark.parametrize("aim", AIM_WORDS)
def test_every_aim_has_words(aim: str) -> None:
    assert AIM_WORDS[aim] in plan_sentence(record(aim=aim))


@pytest.mark.parametrize("phase", PHASES)
def test_the_page_shows_the_week_with_its_cautions(
    make_view: Callable[..., GolferView], phase: str | None
) -> None:
    plan = record()
    plan["phases"][1]["phase"] = phase
    page = golfer_page(make_view(plan=plan))
    for text in (
        "The advised week",
        "Full swings: 90 minutes a week planned",
        "Planned for the most weekly hours on file, 4.",
        "no practice planned",
        "chipping 30 min (75 reps)",
        "Expected loss against knowing the best split: 0.10 strokes",
    ):
        assert text in page
    assert "The advised week" not in golfer_page(make_view())


def test_goals_on_the_page(make_view: Callable[..., GolferView]) -> None:
    row = {
        "golfer_id": "G07", "on": "2027-06-01", "hours": 4.0, "rounds_per_month": 3.0, "reportable": True,
        "likely": 12.0, "even": 11.0, "stretch": -0.5, "goal": 10.0, "by": "2027-06-01", "chance": 0.3,
        "hours_even": None, "hours_even_year": None, "hours_tried": 12.0,
    }  # fmt: skip
    page = golfer_page(make_view(goals=(row,)))
    assert "What can be reached" in page
    assert "Not within a year, even with 12 hours a week split as now." in page
    assert "+0.5" in page
    assert "What can be reached" not in golfer_page(make_view(goals=({**row, "reportable": False},)))


def test_terminal_lines_hold_the_week_and_every_caution() -> None:
    lines = plan_lines([record()])
    assert lines[0].startswith(
        "Golfer G07: 4 hours a week for 12 weeks, aim: the greatest expected gain. Change"
    )
    assert any(line.split() == ["chipping", "1.00", "2.00", "2.00", "300"] for line in lines)
    assert record()["cautions"][0] in lines
    both = plan_lines([record(), record(golfer_id="G08", cautions=[])])
    assert both[1].split()[:3] == ["G07", "4.00", "change"]
    assert f"G07: {record()['cautions'][0]}" in both

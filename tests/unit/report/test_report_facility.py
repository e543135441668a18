"""The facility's report: plain words first, hidden groups stay hidden, no names, a table that is safe."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import numpy as np
import pytest
from python_calamine import CalamineWorkbook

from paryield.programme.board import CANNOT_TELL, HELPED, LITTLE, WORSE
from paryield.report.facility import FacilityView, facility_files, programme_csv, without_coaches
from paryield.report.programme_lines import programme_lines, programme_sentence
from paryield.report.views import Health, RunFacts
from paryield.results import summary

JARGON = ("posterior", "interval", "regression", "quantile", "median", "σ", "prior", "p-value", "%")


def spread(middle: float, sd: float = 0.3) -> dict[str, float]:
    return summary(np.random.default_rng(1).normal(middle, sd, 4000))


def record(**changed: Any) -> dict[str, Any]:
    base: dict[str, Any] = {
        "programme": "winter",
        "golfers": 12,
        "finished": 9,
        "left": 3,
        "running": 0,
        "stopped_posting": 1,
        "hidden": False,
        "effect": spread(-0.9),
        "from_hours": spread(-0.2),
        "beyond_hours": spread(-0.7),
        "index_effect": spread(-0.5),
        "plain_change": -2.4,
        "plain_range": {"low": -3.5, "high": -1.3},
        "verdict": HELPED,
        "hours_done": 3.0,
        "hours_planned": None,
        "bounds": {"best": -1.3, "worst": -0.5, "unseen": 3},
        "second_route": {"effect": -0.7, "low": -1.5, "high": 0.1, "agrees": True},
        "outside": {"golfers": 9, "plain_change": -0.4, "low": -1.2, "high": 0.4},
        "placebo": None,
        "never_joined": None,
        "promise": {"golfers": 12, "effect": spread(-0.9), "better": summary(np.arange(3, 9))},
        "warnings": [],
        "offered": {"starts_on": "2026-01-05", "ends_on": "2026-03-29", "weeks": 12.0},
        "hours_kept": None,
        "cost": None,
        "by_lot": None,
        "recommendation": "go on",
        "why": "the members gained more than would have come anyway",
        "groups": [
            {"by": "coach", "value": "=Ada", "golfers": 7, "hidden": False, "effect": spread(-0.8)},
            {"by": "coach", "value": "Boris", "golfers": None, "hidden": True, "effect": None},
        ],
    }
    return base | changed


def files(*records: dict[str, Any]) -> dict[str, Any]:
    view = FacilityView(
        "Heron Marsh",
        date(2026, 7, 5),
        RunFacts(1, 2, 100, False),
        Health(True, ()),
        tuple(without_coaches(list(records))),
    )
    return facility_files(view)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (
            {},
            "Winter helped: members play 0.9 strokes a round better than without it (8 in 10: 1.3 better and",
        ),
        (
            {"verdict": WORSE, "effect": spread(0.9)},
            "Winter made it worse: members play 0.9 strokes a round worse",
        ),
        ({"verdict": LITTLE, "effect": spread(0.0, 0.1)}, "Winter made little difference"),
        (
            {"verdict": CANNOT_TELL, "effect": spread(-0.2)},
            "We cannot tell yet whether winter helped. 8 chances",
        ),
        ({"beyond_hours": None}, "this fit knows only what the extra practice hours did"),
        ({"hidden": True, "effect": None}, "Winter: too few members to say anything without naming them."),
    ],
)
def test_every_verdict_has_its_sentence(changed, words):
    assert words in programme_sentence(record(**changed))


def test_the_first_half_page_needs_no_statistics():
    page = files(record())["facility.html"]
    first = page[page.index('<dl class="answers">') : page.index("</dl>")]
    assert "Did the programme winter work?" in first
    assert "come down by 2.4 strokes; without the programme they would have come down by 1.5 strokes" in first
    assert "9 finished, 3 left. 1 has posted no round since; that is not the same as no change." in first
    assert not [word for word in JARGON if word in first]


def test_coaches_stand_under_letters_and_hidden_groups_show_nothing():
    made = files(record())
    for text in (made["facility.html"], made["programme.csv"]):
        assert "Ada" not in text
        assert "Boris" not in text
    assert "coach A" in made["facility.html"]
    rows = list(csv.DictReader(io.StringIO(made["programme.csv"])))
    assert [(row["value"], row["golfers"], row["hidden"]) for row in rows] == [
        ("", "12", "no"),
        ("coach A", "7", "no"),
        ("coach B", "", "yes"),
    ]
    assert not any(rows[2][name] for name in ("q05", "q10", "q50", "q90", "q95"))


def test_a_name_that_a_spreadsheet_would_run_is_made_text():
    row = next(csv.DictReader(io.StringIO(programme_csv((record(programme="=1+1", groups=[]),)))))
    assert row["programme"] == "'=1+1"


def test_hostile_names_stay_text():
    page = files(record(programme="<script>alert(1)</script>"))["facility.html"]
    assert "<script>" not in page


def test_what_rests_on_the_whole_effect_is_left_out_where_the_fit_lacks_it():
    lines = programme_lines([record(beyond_hours=None, verdict=CANNOT_TELL)])
    assert not any("Next year" in line or "would have come down" in line for line in lines)
    assert any("Before and after flatters" in line for line in lines)


def test_the_boards_workbook_holds_answers_and_numbers_and_runs_nothing():
    """Read back by python-calamine, not by the library that wrote it."""
    content = files(record(programme="=2+2"), record(golfers=4, hidden=True, effect=None, groups=[]))
    book = CalamineWorkbook.from_filelike(io.BytesIO(content["facility.xlsx"]))
    assert book.sheet_names == ["about", "answers", "programmes", "method"]
    sheets = {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}
    assert dict(row[:2] for row in sheets["about"])["records up to"] == "2026-07-05"
    answers = [line for name, line in sheets["answers"][1:] if name == "'=2+2"]
    assert answers[0] == f"'{programme_sentence(record(programme='=2+2'))}"
    head, first, *rest = sheets["programmes"]
    told = dict(zip(head, first, strict=True))
    assert (told["programme"], told["golfers"]) == ("'=2+2", 12)
    assert told["q50"] == pytest.approx(record()["effect"]["q50"], abs=5e-4)
    text = str(sheets)
    assert "Ada" not in text
    assert "Boris" not in text
    hidden = [dict(zip(head, row, strict=True)) for row in rest if row[head.index("hidden")] == "yes"]
    assert len(hidden) == 2
    assert all(row["q50"] == "" for row in hidden)
    assert "No golfer is named." in str(sheets["method"])

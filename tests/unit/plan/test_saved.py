"""Saved plans by the command: listed, side by side, taken over, ended, and taken back."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from paryield.cli import main
from paryield.club import Club

PLANS = pd.DataFrame(
    {
        "plan": ["spring", "spring", "summer"],
        "golfer_id": ["G01", "G01", "G01"],
        "category": ["chipping", "irons", "driver"],
        "starts_on": ["2026-05-04", "2026-05-04", "2026-07-20"],
        "ends_on": ["2026-07-26", "2026-07-26", "2026-10-11"],
        "minutes_per_week": [60.0, 90.0, 120.0],
    }
)
"""The club's last day is 5 July 2026: the first runs, the second is to come."""


@pytest.fixture
def club(tiny_club: Path) -> Path:
    with Club.open(tiny_club) as opened:
        opened.import_tables({"plans": PLANS}, today=date(2026, 7, 5))
    return tiny_club


def told(capsys: pytest.CaptureFixture[str], *words: object, code: int = 0) -> Any:
    capsys.readouterr()
    assert main([*map(str, words), "--json"]) == code
    return json.loads(capsys.readouterr().out)


def test_plans_are_listed_with_what_they_hold_today(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = [one for one in told(capsys, "plans", club) if one["plan"] in ("spring", "summer")]
    assert [(one["plan"], one["state"], one["hours"]) for one in found] == [
        ("summer", "to come", 2.0),
        ("spring", "running", 2.5),
    ]
    assert found[1]["week"] == {"chipping": 1.0, "irons": 1.5}
    assert {one["golfer_id"] for one in told(capsys, "plans", club, "--golfer", "G02")} <= {"G02"}
    assert (
        "there is no plan 'autumn'"
        in told(capsys, "plans", club, "--plan", "autumn", code=2)["error"]["message"]
    )


def test_several_stand_side_by_side(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plans", str(club), "--plan", "spring", "--plan", "summer"]) == 0
    lines = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert "hours a week summer, G01 spring, G01" in lines
    assert "driver 2.00 0.00" in lines
    assert "chipping 0.00 1.00" in lines
    assert "in all 2.00 2.50" in lines


def test_a_plan_is_taken_over_as_long_as_before_and_taken_back(
    club: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [
        "--golfer",
        "G02",
        "--take",
        "spring",
        "--of",
        "G01",
        "--as",
        "spring for two",
        "--on",
        "2026-07-06",
    ]
    [found] = told(capsys, "plans", club, *words)
    assert (found["golfer_id"], found["plan"]) == ("G02", "spring for two")
    assert (found["starts_on"], found["ends_on"]) == ("2026-07-06", "2026-09-27")
    assert found["week"] == {"chipping": 1.0, "irons": 1.5}
    assert "has a plan" in told(capsys, "plans", club, *words, code=2)["error"]["message"]
    with Club.open(club) as opened:
        opened.undo(int(opened.history()["import_no"].max()))
        assert "spring for two" not in set(opened.tables().plans["plan"])


def test_a_plan_is_ended_on_a_day(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    [found] = told(capsys, "plans", club, "--end", "spring", "--on", "2026-06-30")
    assert found["ends_on"] == "2026-06-30"
    assert [one["state"] for one in told(capsys, "plans", club, "--plan", "spring")] == ["over"]
    assert "is over by" in told(capsys, "plans", club, "--end", "spring", code=2)["error"]["message"]
    assert "begins after" in told(capsys, "plans", club, "--end", "summer", code=2)["error"]["message"]
    with Club.open(club) as opened:
        opened.undo(int(opened.history()["import_no"].max()))
    assert told(capsys, "plans", club, "--plan", "spring")[0]["ends_on"] == "2026-07-26"

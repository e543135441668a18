"""Clubs with little in them get a clear answer: a forecast with its spread, or a reason."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from paryield.cli import main
from paryield.synth import ClubSpec, make_club
from paryield.tables import Tables, write_folder
from paryield.tables.schema import TABLES

STATS = ("greens_hit", "fairways_hit", "fairways_possible", "putts", "three_putts", "penalty_strokes")
SMALL = {"draws": 40, "tune": 80}
Run = Callable[..., tuple[int, Any, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*words: object) -> tuple[int, Any, str]:
        code = main([*map(str, words), "--json"])
        out, err = capsys.readouterr()
        return code, json.loads(out), err

    return call


@pytest.fixture
def fitted(tmp_path: Path, fit_tiny: Callable[..., Path]) -> Callable[[Tables], Path]:
    """Return a function that writes tables, imports and fits them."""

    def make(tables: Tables) -> Path:
        write_folder(tables, tmp_path / "in")
        return fit_tiny(tmp_path / "in", tmp_path / "club.db", **SMALL)

    return make


def made(golfers: int, weeks: int = 26) -> Tables:
    return make_club(ClubSpec(golfers=golfers, weeks=weeks, seed=8, late_share=0.0)).tables


def without(tables: Tables, *names: str) -> Tables:
    return replace(tables, **{name: getattr(tables, name).iloc[:0] for name in names})


def spread(records: list[dict[str, Any]], quantity: str) -> list[float]:
    return [one["q90"] - one["q10"] for one in records if one["quantity"] == quantity]


def test_one_golfer(fitted, run):
    club = fitted(made(1))
    code, records, _ = run("forecast", club, "--anyway")
    assert code == 0
    assert len(records) == 9
    assert all(one["reportable"] for one in records)
    assert min(spread(records, "mean_differential")) > 0.5
    assert run("returns", club, "--anyway")[0] == 0
    assert run("report", club, "coach", "--out", club.parent / "pages", "--anyway")[0] == 0


def test_three_rounds_and_nothing_else(fitted, run):
    """Three scores give an index (Rule 5.2a, verified at usga.org); a 12-week forecast of it must leave
    at least a stroke either way, since one golfer's rounds spread by about 3 (USGA odds table, verified)."""
    tables = without(made(1), *(name for name in TABLES if name not in ("golfers", "rounds")))
    rounds = tables.rounds.iloc[:3].assign(**dict.fromkeys(STATS))
    rounds = rounds.astype(tables.rounds.dtypes.to_dict())
    club = fitted(replace(tables, rounds=rounds))
    code, records, _ = run("forecast", club, "--weeks", 12, "--anyway")
    assert code == 0
    given = {one["quantity"]: one for one in records}
    assert given["mean_differential"]["q90"] - given["mean_differential"]["q10"] > 2.0
    index = given["handicap_index"]
    assert index["reportable"] or index["reason"]
    code, document, _ = run("returns", club, "--anyway")
    assert code == 2
    assert "no practice diary" in document["error"]["message"]
    assert run("report", club, "golfer", "--out", club.parent / "pages", "--anyway")[0] == 0
    page = (club.parent / "pages" / "golfer-G01.html").read_text(encoding="utf-8")
    assert "no practice diary to learn from" in page


def test_no_practice_table(fitted, run):
    club = fitted(without(made(3), "practice", "plans", "limits"))
    code, records, _ = run("forecast", club, "--anyway")
    assert code == 0
    assert all(one["reportable"] for one in records)
    code, document, _ = run("returns", club, "--anyway")
    assert code == 2
    assert document["error"]["remedy"] == "import a practice table and fit again"


def test_no_round_stats(fitted, run):
    tables = made(3)
    rounds = tables.rounds.assign(**dict.fromkeys(STATS)).astype(tables.rounds.dtypes.to_dict())
    club = fitted(replace(tables, rounds=rounds))
    code, records, _ = run("forecast", club, "--anyway")
    assert code == 0
    assert all(one["reportable"] for one in records)
    assert run("returns", club, "--anyway")[0] == 0


def test_no_rounds_at_all(tmp_path, run):
    folder = tmp_path / "in"
    write_folder(without(made(2), *(name for name in TABLES if name != "golfers")), folder)
    club = tmp_path / "club.db"
    assert run("import", club, folder)[0] == 0
    code, document, _ = run("fit", club, "--quick")
    assert code == 2
    assert "no rounds" in document["error"]["message"]
    assert document["error"]["remedy"]

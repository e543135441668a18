"""Commands, options and JSON fields: the code and README say the same."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import typer.main
from docs import ROOT, tables

from paryield.cli import app, main
from paryield.results import QUANTILES

COMMANDS = typer.main.get_command(app).commands
TABLE, JSON = tables("README.md", "command")
LONG = ("demo", "fit", "backtest", "verify", "desk")
"""They fit or stay open; their records are checked where they are made."""
QUICK = [row for row in JSON if row[0] not in LONG]
QUANTILE_FIELDS = {*QUANTILES, "mean"}


def fields(cell: str) -> set[str]:
    found = set(re.findall(r"`([a-z_]+)`", cell))
    return found | QUANTILE_FIELDS if "*quantiles*" in cell else found


def test_every_command_stands_in_both_tables():
    assert [row[0] for row in TABLE] == [row[0] for row in JSON]
    assert {row[0] for row in TABLE} == set(COMMANDS)


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_and_option_has_help(name, capsys):
    assert COMMANDS[name].help
    assert len(COMMANDS[name].get_short_help_str(45)) <= 45
    assert not COMMANDS[name].get_short_help_str(45).endswith("...")
    for parameter in COMMANDS[name].params:
        assert getattr(parameter, "help", None), f"{name}: {parameter.name} has no help"
    assert any("--json" in parameter.opts for parameter in COMMANDS[name].params)
    assert main([name, "--help"]) == 0
    assert f"Usage: paryield {name}" in capsys.readouterr().out


def test_the_quantiles_are_spelt_as_the_document_says():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    said = re.search(r"\*Quantiles\* are `([^`]+)` and `mean`", text)
    assert said is not None
    assert said.group(1).split() == list(QUANTILES)


def test_every_option_that_the_document_names_exists():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"(--[a-z][a-z-]+)", text))
    known = {option for command in COMMANDS.values() for one in command.params for option in one.opts}
    assert named - known - {"--help"} == set()


@pytest.fixture(scope="module")
def answers(
    fitted_club: Path, add_programme: Callable[..., None], tmp_path_factory: pytest.TempPathFactory
) -> Callable[..., Any]:
    """Return a function that gives the document of a command, each run once on the fitted club."""
    import contextlib
    import io
    import shutil

    place = tmp_path_factory.mktemp("documents")
    club, tables_of, ladder = place / "club.db", place / "tables", place / "ladder.csv"
    shutil.copy(fitted_club, club)
    add_programme(club, place / "joined")
    ladder.write_text("distance_ft,tried,made\n3,10,8\n", encoding="utf-8")
    words: dict[str, list[object]] = {
        "synth": [tables_of, "--golfers", 2, "--weeks", 8],
        "check": [tables_of],
        "import": [place / "new.db", tables_of],
        "expectations": ["cautious", "--index", 12],
        "health": [club],
        "refresh": [club, "--golfer", "G02", "--anyway"],
        "forecast": [club, "--goal", "12", "--by", "2027-01-01", "--anyway"],
        "goals": [club, "--golfer", "G03", "--goal", "12", "--by", "2027-01-01", "--anyway"],
        "returns": [club, "--anyway"],
        "split": [club, "--golfer", "G01", "--anyway"],
        "plan": [club, "--golfer", "G02", "--hours", 3, "--anyway"],
        "areas": [club, "--anyway"],
        "block": [club, "--anyway"],
        "programme": [club, "--anyway"],
        "report": [club, "coach", "--out", place / "pages", "--anyway"],
        "index": [club],
        "putting": [ladder],
        "export": [club, place / "out"],
        "backup": [club, place / "copy.db"],
        "erase": [club, "--golfer", "G01"],
        "audit": [club],
        "people": [place / "copy.db", "add", "--name", "Maud Ferrin", "--role", "coach"],
    }
    found: dict[str, Any] = {}
    for name, rest in words.items():
        with contextlib.redirect_stdout(io.StringIO()) as out, contextlib.redirect_stderr(io.StringIO()):
            main([name, *map(str, rest), "--json"])
        found[name] = json.loads(out.getvalue())
    return lambda name: found[name]


@pytest.mark.parametrize("row", QUICK, ids=lambda row: row[0])
def test_fields_are_those_of_the_document(row, answers):
    name, kind, always, at_times = row
    document = answers(name)
    assert isinstance(document, list) == (kind == "a list")
    records = document if isinstance(document, list) else [document]
    assert records
    for record in records:
        assert fields(always) <= set(record)
        assert set(record) <= fields(always) | fields(at_times)
    if name == "returns":
        assert set(records[0]["strokes_per_weekly_hour"]) == QUANTILE_FIELDS
    if name == "expectations":
        assert set(records[0]["strokes_saved"]) == QUANTILE_FIELDS
        assert set(records[0]["said"]) == set(records[0]["used"]) == {"low", "likely", "high"}
    if name == "plan":
        assert set(records[0]["gain"]) == QUANTILE_FIELDS
    if name == "putting":
        assert set(records[0]["sigma_angle_degrees"]) == QUANTILE_FIELDS
        assert set(records[0]["make_probability"][0]) == QUANTILE_FIELDS | {"distance_ft"}


def test_fields_of_fit_and_demo():
    """Both take minutes to run; their records are built from stored facts, as the commands do."""
    from datetime import date

    from paryield.forecast import Forecast
    from paryield.model.command import FitReceipt
    from paryield.plan import Returns
    from paryield.report.demo import Demo

    day = (date(2026, 7, 5) - date(1970, 1, 1)).days
    facts = {
        "seed": 1,
        "quick": False,
        "draws": 2,
        "as_of": day,
        "golfers": ["G1"],
        "categories": [],
        "health": {},
    }
    shown = FitReceipt(1, facts, 2.5).to_dict()
    demo = Demo(Path("club.db"), (), {}, Forecast([], {}), Returns([], {})).to_dict()
    said = {row[0]: fields(row[2]) for row in JSON}
    assert set(shown) == said["fit"]
    assert shown["as_of"] == "2026-07-05"
    assert set(demo) == said["demo"]

"""Commands, options and JSON fields: the commands do what the reference says."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import typer.main
from docs import ROOT

from paryield.cli import app, main
from paryield.club import Club
from paryield.commands.documents import DOCUMENTS, Document
from paryield.commands.topics import TOPICS
from paryield.results import QUANTILES

COMMANDS = typer.main.get_command(app).commands
LONG = ("demo", "fit", "learnt", "chain", "backtest", "verify", "desk")
"""They fit, need a larger club, or stay open; their records are checked where they are made."""
QUICK = [name for name in DOCUMENTS if name not in LONG]
QUANTILE_FIELDS = {*QUANTILES, "mean"}


def said(document: Document) -> tuple[set[str], set[str]]:
    """Return the fields that always stand in a record, and all that may."""
    always = set(document.fields())
    return always, always | set(document.fields(always=False))


def test_every_command_stands_in_the_reference():
    assert set(DOCUMENTS) == set(COMMANDS)


def test_help_shows_every_command_under_one_heading_in_eighty_columns(capsys):
    assert main(["--help"]) == 0
    out = capsys.readouterr().out
    assert all(len(line) <= 80 for line in out.splitlines())
    for name, document in DOCUMENTS.items():
        assert len(re.findall(rf"^  {name} ", out, re.MULTILINE)) == 1
        assert f"{document.group}:" in out


def test_the_reference_names_every_option_and_field_in_eighty_columns(capsys):
    assert main(["reference"]) == 0
    out = capsys.readouterr().out
    assert all(len(line) <= 80 for line in out.splitlines())
    words = " ".join(out.split())
    for name, document in DOCUMENTS.items():
        for parameter in COMMANDS[name].params:
            assert " ".join(parameter.help.split()) in words
        for field in document.fields():
            assert field in QUANTILE_FIELDS or re.search(rf"\b{field}\b", words)


def test_the_reference_is_a_page_as_well(tmp_path, capsys):
    assert main(["reference", "--out", str(tmp_path)]) == 0
    page = (tmp_path / "reference.html").read_text(encoding="utf-8")
    assert all(f"<h2>{name}</h2>" in page for name in DOCUMENTS)
    assert main(["reference", "perhaps"]) == 2
    assert "there is no command 'perhaps'" in capsys.readouterr().err


def test_readme_opens_with_the_job_and_two_commands_and_is_short():
    lines = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 120
    start = lines.index("```")
    assert start < 15
    assert lines[start + 1].startswith("pip install uv && uv run paryield demo")
    assert lines[start + 2].startswith("uv run pytest")


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


def test_every_option_that_is_named_in_words_exists():
    words = [one for topic in TOPICS for one in (*topic.paragraphs, *topic.lines)]
    words += [part for one in DOCUMENTS.values() for part in (one.does, one.words)]
    readme = (ROOT / "README.md").read_text(encoding="utf-8").replace("uv run --no-dev", "uv run")
    named = set(re.findall(r"(--[a-z][a-z-]+)", " ".join([readme, *words])))
    known = {option for command in COMMANDS.values() for one in command.params for option in one.opts}
    assert named - known - {"--help"} == set()


def test_version_is_that_of_the_package(capsys):
    from importlib.metadata import version

    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"paryield {version('paryield')}\n"


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
    own = place / "own"
    own.mkdir()
    (own / "ours.csv").write_text("Player,Date,Score,CR,Slope\nMaud Ferrin,13/04/2026,85,71.2,128\n")
    week = {
        "plan": "spring",
        "golfer_id": "G02",
        "category": "chipping",
        "starts_on": "2026-06-01",
        "ends_on": "2026-08-01",
    }
    with Club.open(club) as opened:
        opened.import_tables({"plans": pd.DataFrame([{**week, "minutes_per_week": 60.0}])})
    words: dict[str, list[object]] = {
        "reference": [],
        "synth": [tables_of, "--golfers", 2, "--weeks", 8],
        "check": [tables_of],
        "adopt": [own],
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
        "tests": [club, "--golfer", "G02", "--due", "2026-07-06"],
        "plans": [club],
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


@pytest.mark.parametrize("name", QUICK)
def test_fields_are_those_of_the_reference(name, answers):
    always, ever = said(DOCUMENTS[name])
    document = answers(name)
    assert isinstance(document, list) == (DOCUMENTS[name].kind == "a list")
    records = document if isinstance(document, list) else [document]
    assert records
    for record in records:
        assert always <= set(record) <= ever
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
        "stretches": 1,
        "stopped": False,
        "why": "",
        "draws": 2,
        "as_of": day,
        "golfers": ["G1"],
        "categories": [],
        "health": {},
    }
    shown = FitReceipt(1, facts, 2.5).to_dict()
    demo = Demo(Path("club.db"), (), {}, Forecast([], {}), Returns([], {})).to_dict()
    assert set(shown) == said(DOCUMENTS["fit"])[0]
    assert shown["as_of"] == "2026-07-05"
    assert set(demo) == said(DOCUMENTS["demo"])[0]


def test_the_examples_of_people_work_on_the_demo(tmp_path, capsys):
    for name in ("golfers.csv", "rounds.csv"):
        (tmp_path / name).write_bytes((ROOT / "demo_data" / name).read_bytes())
    with Club.open(tmp_path / "club.db", create=True) as club:
        club.import_folder(tmp_path, today=date(2026, 7, 5))
    shown = "\n".join(line for topic in TOPICS for line in topic.lines).replace("\\\n", " ")
    examples = [line for line in shown.splitlines() if line.startswith("paryield people")]
    assert len(examples) == 2
    for line in examples:
        words = shlex.split(line.replace("club.db", str(tmp_path / "club.db")))
        assert main(words[1:]) == 0, capsys.readouterr().err

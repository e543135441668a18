"""Checking, importing and indices need neither sampler nor pages: the base, without extras, is enough."""

from __future__ import annotations

import importlib.metadata
import json
import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from docs import ROOT
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

BASE_MB = 400
"""The most that the base may take on the disk."""
ASK = """
import contextlib, io, json, sys

class NotInstalled:
    def find_spec(self, name, path=None, target=None):
        top = name.partition(".")[0]
        if top in hidden:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

hidden = set(json.loads(sys.argv[1]))
sys.meta_path.insert(0, NotInstalled())
from paryield.cli import main
for words in json.loads(sys.argv[2]):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(words)
    print(json.dumps([code, out.getvalue(), err.getvalue()]))
"""


@cache
def base() -> frozenset[str]:
    """Return the distributions that the base brings along, without extras."""
    found: set[str] = set()
    ahead = [("paryield", frozenset({""}))]
    while ahead:
        name, extras = ahead.pop()
        for line in importlib.metadata.requires(name) or ():
            needed = Requirement(line)
            known = canonicalize_name(needed.name)
            marker = needed.marker
            if marker is not None and not any(marker.evaluate({"extra": extra}) for extra in extras):
                continue
            if known not in found:
                found.add(known)
                ahead.append((known, frozenset({"", *needed.extras})))
    return frozenset(found)


def hidden() -> list[str]:
    """Return the modules that are installed here and would not be with the base alone."""
    kept = {*base(), "paryield"}
    return [
        module
        for module, owners in importlib.metadata.packages_distributions().items()
        if not kept & {canonicalize_name(owner) for owner in owners}
    ]


def ask(place: Path, *commands: list[str]) -> list[tuple[int, str, str]]:
    """Run commands where only the base is installed: exit code, output and errors of each."""
    words = [sys.executable, "-c", ASK, json.dumps(hidden()), json.dumps(commands)]
    done = subprocess.run(words, capture_output=True, text=True, check=True, cwd=place, env=dict(os.environ))
    return [tuple(json.loads(line)) for line in done.stdout.splitlines()]


def test_the_sampler_is_not_in_the_base() -> None:
    assert {"pandas", "sqlalchemy", "typer"} <= base()
    assert base() & {"pymc", "nutpie", "jax", "numba", "scipy", "fastapi", "matplotlib"} == set()
    assert {"pymc", "numba", "sklearn", "fastapi"} <= set(hidden())


def test_the_base_is_small() -> None:
    files = [file for name in base() for file in importlib.metadata.files(name) or ()]
    sizes = [os.stat(path).st_size for file in files if (path := str(file.locate())) and os.path.isfile(path)]
    assert 50e6 < sum(sizes) < BASE_MB * 1e6


@pytest.mark.club_file
def test_tables_are_checked_imported_and_indices_worked_out_with_the_base_alone(
    fitted_club: Path, tmp_path: Path
) -> None:
    demo = str(ROOT / "demo_data")
    shutil.copy(fitted_club, tmp_path / "fitted.db")
    (tmp_path / "own").mkdir()
    own = "Player,Date,Score,CR,Slope\nMaud Ferrin,13/04/2026,85,71.2,128\n"
    (tmp_path / "own" / "ours.csv").write_text(own, encoding="utf-8")
    commands = [
        ["--help"],
        ["check", demo],
        ["adopt", "own", "--out", "tables", "--yes"],
        ["import", "club.db", demo],
        ["index", "club.db", "--golfer", "G01"],
        ["export", "fitted.db", "out"],
        ["backup", "fitted.db", "copy.db"],
        ["people", "fitted.db"],
        ["erase", "fitted.db", "--golfer", "G02", "--yes"],
        ["index", "fitted.db"],
        ["audit", "fitted.db"],
        ["reference"],
    ]
    for words, (code, out, err) in zip(commands, ask(tmp_path, *commands), strict=True):
        assert code == 0, (words, err)
        assert out
        assert "not installed" not in err


@pytest.mark.club_file
def test_what_needs_more_says_so_in_one_line(fitted_club: Path, tmp_path: Path) -> None:
    shutil.copy(fitted_club, tmp_path / "club.db")
    commands = [
        ["fit", "club.db"],
        ["forecast", "club.db", "--golfer", "G01"],
        ["plan", "club.db", "--golfer", "G01", "--hours", "4"],
        ["health", "club.db"],
        ["report", "club.db", "coach", "--out", "pages"],
        ["desk", "club.db"],
        ["synth", "made", "--golfers", "2", "--weeks", "8"],
        ["demo"],
    ]
    for words, (code, out, err) in zip(commands, ask(tmp_path, *commands), strict=True):
        assert (code, out) == (2, ""), words
        (line,) = err.splitlines()
        assert "is not installed, and this command needs it - pip install 'paryield[full]'" in line
        assert "Traceback" not in line
    (code, out, _) = ask(tmp_path, ["forecast", "club.db", "--json"])[0]
    assert (code, json.loads(out)["error"]["kind"]) == (2, "input")


def test_a_module_of_our_own_that_is_missing_is_our_fault() -> None:
    from paryield.cli import _as_ours

    assert _as_ours(ModuleNotFoundError("No module", name="paryield.nowhere")).exit_code == 1
    assert _as_ours(ModuleNotFoundError("No module", name="numba.core")).message.startswith("numba is not")

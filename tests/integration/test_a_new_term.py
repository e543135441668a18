"""The worked example of DEVELOPERS.md, applied to a copy of the package: one new file and one line."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
SCRIPT = """
import json, sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np

from paryield.club import Club
from paryield.forecast import forecast_tables
from paryield.forecast.outlook import columns_ahead, golfer_draws, shared_path
from paryield.forecast.split import split_draws
from paryield.model.command import fit
from paryield.model.health import LABELS
from paryield.model.spec import ModelSpec
from paryield.posterior.current import stored_fit
from paryield.report.html import golfer_page
from paryield.report.write import golfer_views
from paryield.synth import ClubSpec, make_club, write_club
from tiny_fit import TINY

place = Path(sys.argv[1])
made = make_club(ClubSpec(golfers=6, weeks=26, seed=3, rounds_per_month=6.0))
rounds = made.tables.rounds
# Hard days, most of them in the last six weeks; a step is out of the differential that cost nobody.
late = rounds["played_on"] > rounds["played_on"].max() - np.timedelta64(42, "D")
rounds["pcc"] = np.where(late, 2.0, 0.0) + np.arange(len(rounds)) % 2
write_club(made, place / "tables")
with Club.open(place / "club.db", create=True) as club:
    club.import_folder(place / "tables", today=date(2026, 7, 5))
    fit(club, spec=ModelSpec(**TINY))
    posterior, tables = stored_fit(club)[1], club.tables()
    golfer = "G01"
    draws, ahead = golfer_draws(posterior, golfer), np.array([28.0, 84.0])
    columns = columns_ahead(draws, ahead)
    path = shared_path(draws, ahead)
    draws.population["wind"][:] = 0.0
    moved = (path - shared_path(draws, ahead)).mean()
    split = split_draws(posterior, tables, golfer, posterior.as_of - 42, posterior.as_of)
    view = next(one for one in golfer_views(club, anyway=True) if one.golfer_id == golfer)
found = {
    "wind": float(posterior.draws("wind").mean()),
    "usual": float(tables.rounds.loc[tables.rounds["golfer_id"] == golfer, "pcc"].mean()),
    "ahead": columns["wind"].ravel().tolist(),
    "moved": float(moved),
    "forecast": len(forecast_tables(posterior, tables, golfer=golfer, weeks=(4,)).records),
    "split": float(split.rounds.parts["wind"].mean()),
    "steps": float(split.moved["wind"][0]),
    "health": [LABELS[line["quantity"]] for line in posterior.facts["health"]["lines"]],
    "page": golfer_page(replace(view, long=True)),
}
print(json.dumps(found))
"""


def blocks() -> tuple[str, str, str]:
    """The file's name, its text, and the line, as DEVELOPERS.md has them."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    part = text[text.index("**A term, from start to end.**") :]
    name = re.search(r"A new file, `([^`]+)`", part)
    file, line = re.findall(r"```(?:python|text)\n(.*?)```", part, re.S)[:2]
    assert name is not None
    return name[1], file, line


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    copy = tmp_path_factory.mktemp("copy")
    shutil.copytree(ROOT / "src", copy / "src")
    name, file, line = blocks()
    (copy / name).write_text(file, encoding="utf-8")
    terms = copy / "src/paryield/model/terms/__init__.py"
    before = terms.read_text(encoding="utf-8")
    assert before.count('    "round_terms",\n') == 1
    assert line.count("\n") == 1
    terms.write_text(before.replace('    "round_terms",\n', f'    "round_terms",\n{line}'), encoding="utf-8")
    paths = os.pathsep.join([str(copy / "src"), str(ROOT / "tests")])
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(copy)],
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stderr
    result: dict[str, Any] = json.loads(run.stdout.splitlines()[-1])
    return result


def test_the_fit_learns_it_and_the_forecast_has_it(found: dict[str, Any]) -> None:
    """A step was taken out of each differential that cost nobody a stroke: the term gives it back."""
    assert found["wind"] < -0.5
    assert found["ahead"] == pytest.approx([found["usual"]] * 2)
    assert found["moved"] == pytest.approx(found["wind"] * found["usual"], rel=1e-3)
    assert found["forecast"] > 0


def test_the_split_shows_it(found: dict[str, Any]) -> None:
    assert found["split"] == pytest.approx(found["wind"] * found["steps"], rel=0.05)
    assert abs(found["split"]) > 0.05


def test_health_and_page_name_it(found: dict[str, Any]) -> None:
    assert "cost of wind and weather" in found["health"]
    assert "wind and weather" in found["page"]

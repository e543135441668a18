"""The notebooks run from top to bottom on the demo tables."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from notebooks import FOLDER, STORED, executed, outputs_of

EVIDENCE = FOLDER / "evidence"
SHOWN = "04_evidence.ipynb"


@pytest.fixture(scope="module")
def fits(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for the one fit of the demo that the notebooks share."""
    return tmp_path_factory.mktemp("fits")


def run(name: str, fits: Path | None = None) -> list[Any]:
    """Run a notebook in its folder and return the outputs of its cells, in order."""
    return outputs_of(executed(name, fits))


def texts(outputs: list[Any]) -> str:
    """Return what outputs say in words, Markdown before plain text."""

    def said(output: Any) -> str:
        data = output.get("data", {})
        return "".join(output.get("text") or data.get("text/markdown") or data.get("text/plain", ""))

    return "\n".join(map(said, outputs))


def cells(name: str) -> list[Any]:
    found: list[Any] = json.loads((FOLDER / name).read_text(encoding="utf-8"))["cells"]
    return found


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.ipynb")), ids=lambda path: path.stem)
def test_a_notebook_is_stored_without_outputs_unless_they_are_kept(path):
    kept = [cell for cell in cells(path.name) if cell.get("outputs") or cell.get("execution_count")]
    assert bool(kept) == (path.name in STORED)


def test_look_at_the_tables():
    outputs = run("01_look_at_the_tables.ipynb")
    shown = texts(outputs)
    assert "0 errors, 2 warnings" in shown  # two rounds of a day with one score: is it the same round?
    assert "'golfers': 24" in shown
    assert "mean less index" in shown
    assert any("image/png" in output.get("data", {}) for output in outputs)


def test_fit_and_forecast(fits):
    name = "02_fit_and_forecast.ipynb"
    book = executed(name, fits)
    outputs = outputs_of(book)
    shown = texts(outputs)
    assert "run 1: 120 draws" in shown
    assert "NOT REPORTABLE" in shown
    assert "handicap_index" in shown
    assert "phantom" in shown
    assert "r_hat" in shown
    assert "elpd_loo" in shown
    assert len([output for output in outputs if "image/png" in output.get("data", {})]) == 6
    stored = json.loads((FOLDER / name).read_text(encoding="utf-8"))
    assert [kinds(cell) for cell in stored["cells"]] == [kinds(cell) for cell in book.cells]
    assert lines_of(stored) == lines_of(book)


def kinds(cell: Any) -> list[list[str]]:
    """What kinds of output a cell has."""
    return [[output["output_type"], *sorted(output.get("data", {}))] for output in cell.get("outputs", [])]


def lines_of(book: Any) -> list[str]:
    """First lines of the outputs as text, numbers and blanks left out: other computers round otherwise."""
    shown = [one.get("text") or one.get("data", {}).get("text/plain", "") for one in outputs_of(book)]
    return [re.sub(r"[-\d. ]", "", "".join(text).splitlines()[0]) for text in shown]


def test_plans(fits):
    outputs = run("03_plans.ipynb", fits)
    shown = texts(outputs)
    assert "run 1: 120 draws" in shown
    assert "8 in 10" in shown
    assert "Stop when something hurts" in shown
    assert "hours_advised" in shown
    assert "best  even  weakest area" in shown
    assert any("image/png" in output.get("data", {}) for output in outputs)
    assert len(list(fits.glob("*.nc"))) == 1


def test_evidence():
    """The stored outcomes keep what the slow tests demand, and what is stored is what a run shows."""
    shown = texts(run(SHOWN))
    stored = texts([output for cell in cells(SHOWN) for output in cell.get("outputs", [])])
    assert stored == shown, "uv run python tests/notebooks.py stores what is shown"
    found = re.search(r"cover (\d+) of 120; slope of found on planted (\d\.\d+)", shown)
    assert found is not None
    assert 86 <= int(found[1]) <= 106
    assert float(found[2]) >= 0.5


def test_every_table_of_the_evidence_is_a_file_with_the_run_that_it_is_of():
    runs = pd.read_csv(EVIDENCE / "runs.csv", dtype=str, keep_default_na=False)
    named = re.findall(
        r'(?:show|about)\("(\w+)"\)', "\n".join("".join(cell["source"]) for cell in cells(SHOWN))
    )
    files = sorted(path.stem for path in EVIDENCE.glob("*.csv") if path.stem != "runs")
    assert sorted(named) == sorted(runs["table"]) == files
    assert (runs[["date", "commit", "seeds", "command"]] != "").all(axis=None)
    assert runs["date"].str.fullmatch(r"\d{4}-\d\d-\d\d( and \d{4}-\d\d-\d\d)?").all()
    assert runs["commit"].str.contains(r"\b[0-9a-f]{7}\b").all()


def test_no_table_of_the_evidence_stands_in_words():
    words = [line for cell in cells(SHOWN) if cell["cell_type"] == "markdown" for line in cell["source"]]
    assert [line for line in words if line.lstrip().startswith("|")] == []

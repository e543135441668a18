"""What a forecast does not wait for."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

SLOW = ("scipy.stats", "scipy.optimize", "matplotlib", "sklearn", "statsmodels", "pymc", "jax", "arviz")
ASK = """
import contextlib, io, sys
sys.modules["dask"] = None
import importlib.util
found = importlib.util.find_spec
importlib.util.find_spec = lambda name, *rest: None if name == "dask" else found(name, *rest)
from paryield.cli import main
with contextlib.redirect_stdout(io.StringIO()):
    code = main(sys.argv[2:])
print(code, *(name for name in sys.argv[1].split(",") if name in sys.modules))
"""
"""Dask is hidden: where it is installed, xarray imports it with half of scipy."""


@pytest.mark.parametrize(
    ("command", "needed"), [("forecast", []), ("returns", []), ("plan", ["scipy.optimize"])]
)
def test_an_answer_imports_no_more_than_it_needs(fitted_club: Path, command: str, needed: list[str]) -> None:
    words = [command, str(fitted_club), "--golfer", "G01", "--anyway", "--json"]
    asked = [sys.executable, "-c", ASK, ",".join(SLOW), *words]
    done = subprocess.run(asked, capture_output=True, text=True, check=True, env=dict(os.environ))
    assert done.stdout.split() == ["0", *needed]

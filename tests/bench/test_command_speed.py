"""A command answers while one waits: work of the whole process, from its start to its end."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.bench
LIMIT = {"forecast": 2.8, "plan": 2.8}
"""Seconds of work of one golfer's answer on a busy machine; one of them goes to libraries that it needs."""


def work(*words: str) -> float:
    """Processor seconds of a command."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    asked = [sys.executable, "-m", "paryield.cli", *words]
    subprocess.run(asked, check=True, capture_output=True, env={**os.environ, "OMP_NUM_THREADS": "1"})
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@pytest.mark.parametrize("command", LIMIT)
def test_a_command_answers_in_a_moment(fitted_club: Path, command: str) -> None:
    spent = min(work(command, str(fitted_club), "--golfer", "G01", "--anyway", "--json") for _ in range(3))
    print(f"{command}: {spent:.2f} s")
    assert spent < LIMIT[command]

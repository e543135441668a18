"""The compiled density is the same whether it was compiled just now or was kept from an earlier run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = """
from paryield.model.density import Density
from paryield.model.design import build_observations
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club
spec = ModelSpec()
density = Density(build_observations(make_club(ClubSpec(golfers=6, weeks=26, seed=3)).tables, spec), spec)
value, gradient = density(density.start + 0.1)
print(value.hex(), *(float(one).hex() for one in gradient))
"""


@pytest.mark.slow
def test_first_and_later_runs_give_the_same_bits(tmp_path: Path) -> None:
    """Sums that a compiler may reorder came out otherwise where functions were compiled together."""
    environment = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)}
    first, later = (
        subprocess.run(
            [sys.executable, "-c", SCRIPT], env=environment, capture_output=True, text=True, check=True
        ).stdout
        for _ in range(2)
    )
    assert list(tmp_path.rglob("*.nbc"))
    assert first == later

"""Twelve made-up rosters whose idle weeks leave no row: golfers who gave up practice and diary.

``uv run python tests/recovery/stopped.py FILE`` takes those that FILE does not hold yet.
Sixty rosters (``rosters.py``) had 19 such golfers, too few to tell an error of .2 from none. Seeds and days
follow from the first seed, and were written down before the first roster was made.
"""

from __future__ import annotations

import sys
from datetime import timedelta
from pathlib import Path

import numpy as np
from rosters import LAST_DAY, Roster, run

FIRST_SEED, ROSTERS = 8381, 12


def stopped() -> list[Roster]:
    """The twelve, on days by lot."""
    days = np.random.default_rng(FIRST_SEED).integers(0, 364, ROSTERS)
    return [
        Roster(FIRST_SEED + place, "silent", 1.0, LAST_DAY - timedelta(days=int(day)))
        for place, day in enumerate(days)
    ]


if __name__ == "__main__":
    run(Path(sys.argv[1]), stopped())

"""Sixteen made-up rosters that end in autumn: how well the winter after is foreseen, by two priors of season.

``uv run python tests/recovery/winters.py FILE`` takes those that FILE does not hold, each with both.
In sixty rosters (``rosters.py``) forecasts of January to March were half a stroke too low after 12 weeks.
Kinds, seeds and days follow from the first seed, and were written down before the first roster was made.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from rosters import USED, Roster, rows_of, run

FIRST_SEED = 8361
KINDS = ("steady", "weak", "thin", "busy", "other", "growing", "unposted", "null")
FIRST_DAY, DAYS = date(2025, 10, 1), 92
"""Twelve weeks later it is 24 December to 25 March."""
PRIORS = {
    "half a stroke": replace(USED, season_sd=0.5, season_half_year_sd=0.15),
    "one stroke": replace(USED, season_sd=1.0, season_half_year_sd=0.3),
}


def winters() -> list[Roster]:
    """Two rosters of each kind, on days by lot."""
    days = np.random.default_rng(FIRST_SEED).integers(0, DAYS, 2 * len(KINDS))
    return [
        Roster(FIRST_SEED + place, KINDS[place % len(KINDS)], 1.0, FIRST_DAY + timedelta(days=int(day)))
        for place, day in enumerate(days)
    ]


def with_both(roster: Roster) -> list[dict[str, object]]:
    """Rows of a roster, fitted with each of the priors."""
    return [{"season": name} | row for name, priors in PRIORS.items() for row in rows_of(roster, priors)]


if __name__ == "__main__":
    run(Path(sys.argv[1]), winters(), with_both)

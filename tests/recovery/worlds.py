"""Made-up clubs each in a world of its own: which practice pays, and how soon it wears out, drawn by lot.

``uv run python tests/recovery/worlds.py FILE`` fits those that FILE does not hold yet and adds, for each
category, what the fit says that it returns beside the others and the truth. In the generator as it is, the
same categories pay in every club: ten clubs of it tell of one world ten times. Whether ranges hold is seen on
many worlds only.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, replace
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pandas as pd
from contrasts_found import contrasts_found
from tested_years import tested_weekly, year_of_blocks

from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.synth import make_club
from paryield.synth.skills import AREA_SHARES, PARTS
from paryield.tables.categories import AREAS

SEEDS = tuple(range(8401, 8417))
"""Written down before the first of them was made."""
HALF_HOURS_SPREAD = 0.5
"""On the log scale; what a part has to give differs between clubs by the generator's own spread."""
LEVELLED = {
    "tee_line": 0.44, "tee_speed": 0.21, "strike": -0.57, "distance": -0.57, "chip": -0.28, "pitch": -0.28,
    "sand": 0.39, "line": -0.2, "pace": -0.2,
}  # fmt: skip
"""Logs by which parts give more or less, so that over many worlds no category returns more than another: what
twelve of them (99001 to 99012), made and not fitted, returned without."""
MOST = 0.6
SPEC = ModelSpec(chains=2, draws=150, tune=120)


@contextmanager
def world(seed: int) -> Iterator[None]:
    """Let every part of the game have the same strokes to give on average, and wear out at hours by lot."""
    rng = np.random.default_rng([seed, 84])
    strokes = np.array([part.share * AREA_SHARES[AREAS.index(part.area)] for part in PARTS])
    ceilings = np.array([part.ceiling for part in PARTS])
    level = np.exp([LEVELLED[part.name] for part in PARTS])
    even = np.minimum(level * float((strokes * ceilings).mean()) / strokes, MOST)
    middle = float(np.exp(np.mean(np.log([part.half_hours for part in PARTS]))))
    hours = middle * np.exp(rng.normal(0.0, HALF_HOURS_SPREAD, len(PARTS)))
    parts = tuple(
        replace(part, ceiling=float(ceiling), half_hours=float(half))
        for part, ceiling, half in zip(PARTS, even, hours, strict=True)
    )
    with patch("paryield.synth.skills.PARTS", parts):
        yield


def rows_of(seed: int) -> list[dict[str, object]]:
    """Forty golfers, a year of blocks by lot and tests of all areas every week."""
    with world(seed), tested_weekly():
        club = make_club(year_of_blocks(seed))
        found = contrasts_found(club, fit_tables(club.tables, SPEC, cores=1))
    rows = [{"seed": seed} | asdict(one) for one in found]
    return [{k: round(v, 4) if isinstance(v, float) else v for k, v in row.items()} for row in rows]


def run(file: Path) -> None:
    """Take the worlds that FILE does not hold."""
    seen = set(pd.read_csv(file)["seed"]) if file.exists() else set()
    for seed in SEEDS:
        if seed not in seen:
            rows = pd.DataFrame(rows_of(seed))
            rows.to_csv(file, mode="a", header=not file.exists(), index=False, lineterminator="\n")


if __name__ == "__main__":
    run(Path(sys.argv[1]))

"""Made-up years one after another, written down as they end: a run that was stopped goes on where it was.

``uv run python tests/recovery/season_years.py FOLDER [WAY ...]`` lives the years that FOLDER does not hold
yet, club by club in the order of the list, and adds their lines to ``season_year.csv`` and
``season_returns.csv``.
"""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path

import pandas as pd
from season_year import SEEDS, WAYS, Year, live_a_year

from paryield.model.spec import ModelSpec

SPEC = ModelSpec(chains=2, draws=150, tune=120)
YEARS, CONTRASTS = "season_year.csv", "season_returns.csv"
"""The second is not season_contrasts.csv, which holds gains of a reference golfer's first hours."""


def row_of(year: Year) -> dict[str, object]:
    """Return one line of the table of years: what was promised, told, thrown away and given up."""
    lost = {f"lost_{rule.replace(' ', '_')}": round(value, 4) for rule, value in year.thrown_away.items()}
    told = {word: year.verdicts.get(word, 0) for word in ("change", "try", "keep")}
    numbers = {"promised": year.promised, "told": year.told, "best_named": year.best_named}
    numbers |= {"given_up": year.given_up}
    rounded = {name: round(value, 4) for name, value in numbers.items()}
    return {"seed": year.seed, "way": year.way} | rounded | lost | told


def contrast_rows(year: Year) -> list[dict[str, object]]:
    """Return a line a category: its contrast, the truth and the word."""
    found = [{"seed": year.seed, "way": year.way} | asdict(one) for one in year.contrasts]
    return [
        {name: round(value, 4) if isinstance(value, float) else value for name, value in row.items()}
        for row in found
    ]


def done(folder: Path, name: str = YEARS) -> pd.DataFrame:
    """Read what was found so far."""
    path = folder / name
    return pd.read_csv(path) if path.exists() else pd.DataFrame({"seed": [], "way": []})


def _add(path: Path, rows: list[dict[str, object]]) -> None:
    pd.DataFrame(rows).to_csv(path, mode="a", header=not path.exists(), index=False, lineterminator="\n")


def run(
    folder: Path,
    ways: tuple[str, ...] = WAYS,
    seeds: tuple[int, ...] = SEEDS,
    spec: ModelSpec = SPEC,
    golfers: int = 60,
) -> pd.DataFrame:
    """Live the years that are not written down yet."""
    folder.mkdir(parents=True, exist_ok=True)
    there = done(folder)
    seen = set(zip(there["seed"], there["way"], strict=True))
    for seed in seeds:
        for way in ways:
            if (seed, way) in seen:
                continue
            year = live_a_year(seed, way, spec, golfers)
            _add(folder / CONTRASTS, contrast_rows(year))
            _add(folder / YEARS, [row_of(year)])
            print(row_of(year), flush=True)
    return done(folder)


if __name__ == "__main__":
    run(Path(sys.argv[1]), tuple(sys.argv[2:]) or WAYS)

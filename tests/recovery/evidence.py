"""Tables of the long runs, as files that notebook 04 shows: what was found, and of which run it is."""

from __future__ import annotations

import os
import subprocess
from datetime import date
from pathlib import Path

import pandas as pd

PLACE = os.environ.get("PARYIELD_EVIDENCE")
"""Folder in which long runs keep their tables (notebooks/evidence); without, they only print them."""
INDEX = "runs.csv"
SAID = ("date", "commit", "seeds", "command", "conditions")


def commit() -> str:
    """Return the commit that is run, and say where the folder differs from it."""
    words = ["git", "describe", "--always", "--dirty= with changes"]
    return subprocess.run(
        words, capture_output=True, text=True, check=True, cwd=Path(__file__).parent
    ).stdout.strip()


def keep(
    name: str,
    table: pd.DataFrame,
    *,
    seeds: str,
    command: str,
    conditions: str = "",
    place: str | Path | None = PLACE,
) -> None:
    """Keep a table in the place of the one that an earlier run left, with today's date and the commit.

    Parameters
    ----------
    name : str
        Name of the file, without its ending.
    table : DataFrame
        Rounded as it shall be shown; the index is left out.
    seeds, command, conditions : str
        What repeats the run, and what was beside it.
    place : path or None
        Folder of the tables; None keeps nothing.
    """
    if place is None:
        return
    folder = Path(place)
    table.to_csv(folder / f"{name}.csv", index=False, lineterminator="\n")
    runs = pd.read_csv(folder / INDEX, dtype=str, keep_default_na=False).set_index("table")
    runs.loc[name, list(SAID)] = [date.today().isoformat(), commit(), seeds, command, conditions]
    runs.to_csv(folder / INDEX, lineterminator="\n")

"""Published tables of strokes and putts, with the status of each number."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS

STATUS = {"v": "verified", "m": "from memory"}
REFERENCES = ("tour", "scratch", "ninety")
"""Golfers of the reference curves: tour players, scratch golfers, golfers who score about 90."""


@dataclass(frozen=True, eq=False)
class ChanceTable:
    """Chance to hole a putt by distance, for each reference golfer (Broadie, Every Shot Counts, 2014).

    ``tour_putts`` are the putts a tour player takes from there (from memory). ``tour_status`` is verified
    or from memory by row; the other two curves are from memory, but for 50 % from 5 ft of the 90-golfer
    (golfsciencejournal.org/article/7732, verified).
    """

    distance_ft: FLOATS
    chance: dict[str, FLOATS]
    tour_putts: FLOATS
    tour_status: tuple[str, ...]

    def status(self, reference: str) -> tuple[str, ...]:
        """Return the status of each row of one curve."""
        if reference == "tour":
            return self.tour_status
        known = reference == "ninety"
        return tuple("verified" if known and feet == 5 else "from memory" for feet in self.distance_ft)

    def at(self, reference: str, distance_ft: FLOATS) -> FLOATS:
        """Return the chance from any distance: straight lines between rows, certain within 1 ft."""
        feet = np.concatenate([[0.0, 1.0], self.distance_ft])
        return np.interp(distance_ft, feet, np.concatenate([[1.0, 1.0], self.chance[reference]]))


def _rows(name: str) -> list[dict[str, str]]:
    text = files("paryield.rounds").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@lru_cache(maxsize=1)
def chance_table() -> ChanceTable:
    """Return the table of one-putt chances that the package carries."""
    rows = _rows("make_chance.csv")
    chance = {name: np.array([float(row[f"{name}_pct"]) / 100.0 for row in rows]) for name in REFERENCES}
    return ChanceTable(
        np.array([float(row["feet"]) for row in rows]),
        chance,
        np.array([float(row["tour_putts"]) for row in rows]),
        tuple(STATUS[row["tour_status"]] for row in rows),
    )


@lru_cache(maxsize=1)
def strokes_table() -> tuple[FLOATS, dict[str, FLOATS]]:
    """Return yards, and tour strokes to hole out by lie with NaN where unknown (from memory)."""
    rows = _rows("strokes_to_hole_out.csv")
    lies = [name for name in rows[0] if name != "yards"]
    table = {lie: np.array([float(row[lie] or "nan") for row in rows]) for lie in lies}
    return np.array([float(row["yards"]) for row in rows]), table


def reference_curves() -> pd.DataFrame:
    """Return the reference curves.

    Returns
    -------
    DataFrame
        reference, distance_ft, make_probability, status.
    """
    table = chance_table()
    parts = [
        pd.DataFrame(
            {
                "reference": name,
                "distance_ft": table.distance_ft,
                "make_probability": table.chance[name],
                "status": table.status(name),
            }
        )
        for name in REFERENCES
    ]
    return pd.concat(parts, ignore_index=True)

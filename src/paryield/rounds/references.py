"""Published tables of strokes and putts, and the strokes that a tour player takes to hole out.

The table is Broadie's (Interfaces 42(2), 2012; FROM MEMORY, paper not read), putts are of Every Shot Counts
(2014; putts taken from memory). Between rows straight lines. Beyond the rows, all computed and no more than
a sensible continuation:

- nearer than 20 yd, each halving takes off what lies between 40 and 20 yd on the fairway, down to 2 yd;
- fairway, rough, sand and recovery beyond 400 yd rise as the tee does;
- the tee within 100 yd and recovery within 100 yd keep their distance to fairway and rough at 100 yd;
- beyond 600 yd and beyond 60 ft on the green the slope of the last rows is kept; a putt of 0 ft is 1.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.units import FEET_PER_YARD

STATUS = {"v": "verified", "m": "from memory"}
REFERENCES = ("tour", "scratch", "ninety")
"""Golfers of the reference curves: tour players, scratch golfers, golfers who score about 90."""

LIES = ("tee", "fairway", "rough", "sand", "recovery", "green")
SHORTEST_YARDS, TABLE_YARDS, JOIN_YARDS, LONGEST_YARDS, LAST_YARDS = 2.0, 20.0, 100.0, 400.0, 600.0

SHORT_GAME_YARDS = 50.0
"""From where on a shot off the green belongs to the short game (common practice, no source)."""

LONGEST_PAR_3_YARDS = 260.0
"""Tee shots from farther are on a par 4 or 5 where the par is unknown (Rules of Handicapping, Appendix F: a
par 3 is at most 260 yd for men; from memory)."""

LAST_SLOPE_YARDS = 500.0


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


def strokes_to_hole_out(lie: npt.ArrayLike, distance_yd: npt.ArrayLike) -> FLOATS:
    """Return the strokes a tour player takes from a place.

    Parameters
    ----------
    lie : array_like of str, shape (S,)
        One of tee, fairway, rough, sand, recovery, green.
    distance_yd : array_like, shape (S,)
        Yards to the hole.

    Returns
    -------
    array, shape (S,)
        Strokes; NaN where the lie is none of these.
    """
    lies, yards = np.broadcast_arrays(np.atleast_1d(lie), np.asarray(distance_yd, dtype=float))
    found = np.full(yards.shape, np.nan)
    for name in LIES:
        here = lies == name
        if here.any():
            found[here] = _putts(yards[here]) if name == "green" else _strokes(name, yards[here])
    return found


def baseline_status(lie: npt.ArrayLike, distance_yd: npt.ArrayLike) -> npt.NDArray[np.str_]:
    """Return ``from memory`` where the baseline lies within the rows of its table, else ``extrapolated``."""
    lies, yards = np.broadcast_arrays(np.atleast_1d(lie), np.asarray(distance_yd, dtype=float))
    low, high = np.full(yards.shape, np.inf), np.full(yards.shape, -np.inf)
    rows, table = strokes_table()
    for name, strokes in table.items():
        known = rows[np.isfinite(strokes)]
        low, high = np.where(lies == name, known[0], low), np.where(lies == name, known[-1], high)
    feet = chance_table().distance_ft / FEET_PER_YARD
    low, high = np.where(lies == "green", feet[0], low), np.where(lies == "green", feet[-1], high)
    return np.where((yards >= low) & (yards <= high), "from memory", "extrapolated")


def _putts(yards: FLOATS) -> FLOATS:
    table = chance_table()
    feet = yards * FEET_PER_YARD
    rows, putts = np.append(0.0, table.distance_ft), np.append(1.0, table.tour_putts)
    slope = (putts[-1] - putts[-2]) / (rows[-1] - rows[-2])
    return np.interp(feet, rows, putts) + slope * np.maximum(feet - rows[-1], 0.0)


def _row(lie: str, yards: float) -> float:
    rows, table = strokes_table()
    return float(table[lie][rows == yards][0])


def _between(lie: str, yards: FLOATS) -> FLOATS:
    rows, table = strokes_table()
    known = np.isfinite(table[lie])
    return np.interp(yards, rows[known], table[lie][known])


def _strokes(lie: str, yards: FLOATS) -> FLOATS:
    near = np.minimum(yards, JOIN_YARDS)
    if lie in ("tee", "recovery"):
        base = "fairway" if lie == "tee" else "rough"
        apart = _row(lie, JOIN_YARDS) - _row(base, JOIN_YARDS)
        short = _strokes(base, near) + apart
    else:
        halving = _row("fairway", 2 * TABLE_YARDS) - _row("fairway", TABLE_YARDS)
        closer = np.log2(np.clip(yards, SHORTEST_YARDS, TABLE_YARDS) / TABLE_YARDS)
        short = _between(lie, np.maximum(near, TABLE_YARDS)) + halving * closer
    far = _tee(yards)
    if lie != "tee":
        rise = _tee(np.maximum(yards, LONGEST_YARDS)) - _row("tee", LONGEST_YARDS)
        far = _between(lie, yards) + rise
    return np.where(yards < JOIN_YARDS, short, far)


def _tee(yards: FLOATS) -> FLOATS:
    slope = (_row("tee", LAST_YARDS) - _row("tee", LAST_SLOPE_YARDS)) / (LAST_YARDS - LAST_SLOPE_YARDS)
    return _between("tee", yards) + slope * np.maximum(yards - LAST_YARDS, 0.0)

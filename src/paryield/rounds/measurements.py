"""What a round says beyond its differential: each stat on a scale with an even, known sampling error.

Successes of chances become an angle, asin(sqrt((x + 3/8) / (n + 3/4))), with variance 1 / (4 n + 2); counts
become a root, sqrt(x + 3/8) on 18 holes, with variance 1/4 (Anscombe 1948, Biometrika 35:246; from memory,
checked by enumeration in the tests). On both the error hardly depends on the golfer, so that a lucky
round does not look more certain than an unlucky one.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.rounds.card_stats import CHANCES, round_stats
from paryield.rounds.shot_holes import ROUND
from paryield.tables import Tables

HOLES = 18.0
ROOTS = ("penalties", "three_putts")


def angle(hit: FLOATS, of: FLOATS) -> FLOATS:
    """Return successes of chances as an angle, radians, 0 to pi / 2."""
    return np.asarray(np.arcsin(np.sqrt((hit + 0.375) / (of + 0.75))))


def angle_sd(of: FLOATS) -> FLOATS:
    """Return the sampling error of :func:`angle`, radians."""
    return np.asarray(0.5 / np.sqrt(of + 0.5))


def root(count: FLOATS, holes: FLOATS) -> FLOATS:
    """Return a count on some holes as the root of the count on 18.

    What is added before the root falls from 3/8 on 18 holes to 1/4 on nine, so that short rounds agree with
    whole ones on average (computed; within 0.05 for 1 to 6 in 18 holes).
    """
    return np.asarray(np.sqrt((count + 0.125 + holes / 72.0) * HOLES / holes))


def root_sd(holes: FLOATS) -> FLOATS:
    """Return the sampling error of :func:`root`."""
    return np.asarray(0.5 * np.sqrt(HOLES / holes))


def round_measurements(tables: Tables) -> pd.DataFrame:
    """Return what every round says beyond its differential.

    Parameters
    ----------
    tables : Tables
        The club's tables; see :func:`paryield.rounds.round_stats` for what is counted.

    Returns
    -------
    DataFrame
        One row per round, in the order of the rounds table: golfer_id, played_on, round_no, ``holes``, and

        - ``greens``, ``fairways``, ``up_and_downs``, ``sand_saves`` (radians): successes as an angle;
        - ``penalties``, ``three_putts``: root of the count on 18 holes;
        - ``putts``: putts on 18 holes;
        - ``<stat>_sd``: sampling error of each of them but ``putts``, on the same scale;
        - ``stretch``: 18 / holes on which the putts rest (holes of the round without putts). The spread of
          putts about what the golfer's skill says is not known beforehand; its variance grows with this.

        NaN where the round does not tell.
    """
    stats = round_stats(tables)
    found = stats[[*ROUND, "holes"]].copy()
    for stat in CHANCES:
        hit, of = (stats[name].to_numpy() for name in (stat, f"{stat}_of"))
        found[stat], found[f"{stat}_sd"] = angle(hit, of), angle_sd(of)
    for stat in ROOTS:
        count, holes = (stats[name].to_numpy() for name in (stat, f"{stat}_of"))
        found[stat], found[f"{stat}_sd"] = root(count, holes), root_sd(holes)
    found["putts"] = stats["putts"] * HOLES / stats["putts_of"]
    found["stretch"] = HOLES / stats["putts_of"].fillna(stats["holes"].astype("float64"))
    return found

"""The stats of a round: as counts, and each on a scale with an even, known sampling error.

Successes of chances become an angle, asin(sqrt((x + 3/8) / (n + 3/4))), with variance 1 / (4 n + 2); counts
become a root, sqrt(x + 3/8) on 18 holes, with variance 1/4 (Anscombe 1948, Biometrika 35:246; from memory,
checked by enumeration in the tests). On both the error hardly depends on the golfer, so that a lucky
round does not look more certain than an unlucky one.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.rounds.shots import HOLE, ROUND
from paryield.tables import Tables

LEAST_HOLES = 9
"""Holes on which a stat must be noted to speak of the round (our choice): where few holes have a note,
it was written down because it was unusual."""

FAIRWAYS_OF_18 = 14.0
"""Fairways on 18 holes where their count is blank: par 72 has four par 3 (common practice, no source)."""

LEAST_PUTTS_A_HOLE = 0.5
"""Fewer putts a hole than this are a slip (0 for a blank), and left out (our choice; a tour player takes 1.6,
29 a round: golfsciencejournal.org/article/7732, verified)."""

CHANCES = {
    "greens": ("greens_hit", "holes"),
    "fairways": ("fairways_hit", "fairways_possible"),
    "up_and_downs": ("up_and_downs_made", "up_and_downs_tried"),
    "sand_saves": ("sand_saves_made", "sand_saves_tried"),
}
"""Stats that count successes of chances: columns of the rounds table."""

TALLIES = {"putts": "putts", "penalties": "penalty_strokes", "three_putts": "three_putts"}
"""Stats that count what happened on the holes played: column of the rounds table."""

STATS = (*CHANCES, *TALLIES)

HOLES = 18.0
ROOTS = ("penalties", "three_putts")


def round_stats(tables: Tables) -> pd.DataFrame:
    """Return the stats of every round as counts.

    Parameters
    ----------
    tables : Tables
        The club's tables. A stat that the rounds table leaves blank is counted on the holes where these
        note it on at least :data:`LEAST_HOLES`; a green is hit when strokes less putts are at most par - 2.

    Returns
    -------
    DataFrame
        golfer_id, played_on, round_no, holes, and for each of :data:`STATS` two floats: the count, and under
        ``<stat>_of`` the chances or holes that it is of. Both are NaN where the round does not tell.
    """
    rounds = tables.rounds
    found = rounds[[*ROUND, "holes"]].reset_index(drop=True)
    holes = rounds["holes"].to_numpy(dtype=float)
    cards = _cards(tables, found)
    for stat, (hit, possible) in CHANCES.items():
        count, of = _floats(rounds, hit), _floats(rounds, possible)
        if stat == "fairways":
            usual = np.round(FAIRWAYS_OF_18 * holes / 18.0)
            of = np.where(np.isnan(of), np.maximum(usual, count), of)
        found[stat], found[f"{stat}_of"] = _filled(count, of, cards, stat)
    for stat, column in TALLIES.items():
        found[stat], found[f"{stat}_of"] = _filled(_floats(rounds, column), holes, cards, stat)
    slip = found["putts"] < LEAST_PUTTS_A_HOLE * found["putts_of"]
    found.loc[slip, ["putts", "putts_of"]] = np.nan
    return found


def _floats(frame: pd.DataFrame, column: str) -> FLOATS:
    return frame[column].to_numpy(dtype=float, na_value=np.nan)


def _filled(count: FLOATS, of: FLOATS, cards: pd.DataFrame, stat: str) -> tuple[FLOATS, FLOATS]:
    """Return count and chances of a stat: as given, else from the holes; NaN where there was no chance."""
    given = ~np.isnan(count) & (of > 0)
    if f"{stat}_of" in cards:
        from_holes, of_holes = cards[stat].to_numpy(), cards[f"{stat}_of"].to_numpy()
    else:
        from_holes = of_holes = np.full(len(count), np.nan)
    return np.where(given, count, from_holes), np.where(given, of, of_holes)


def _cards(tables: Tables, rounds: pd.DataFrame) -> pd.DataFrame:
    """Count stats on the holes, one row per round in the order of ``rounds``."""
    holes = tables.holes[tables.holes["strokes"].notna()]
    strokes, putts, par = (_floats(holes, name) for name in ("strokes", "putts", "par"))
    penalty, fairway = _floats(holes, "penalty_strokes"), holes["fairway"]
    noted = {
        "greens": (strokes - putts <= par - 2.0, ~np.isnan(putts)),
        "putts": (putts, ~np.isnan(putts)),
        "three_putts": (putts >= 3.0, ~np.isnan(putts)),
        "penalties": (penalty, ~np.isnan(penalty)),
    }
    counts = holes[HOLE].reset_index(drop=True)
    for stat, (value, known) in noted.items():
        counts[stat] = np.where(known, value, 0.0).astype(float)
        counts[f"{stat}_of"] = known.astype(float)
        counts[f"{stat}_noted"] = known.astype(float)
    counts["fairways"] = _said(fairway, "hit")
    counts["fairways_of"] = counts["fairways"] + _said(fairway, "missed")
    counts["fairways_noted"] = fairway.notna().to_numpy(dtype=float)
    names = [*noted, "fairways"]
    sums = counts.groupby(ROUND)[[f"{stat}{end}" for stat in names for end in ("", "_of", "_noted")]].sum()
    sums = sums.reindex(pd.MultiIndex.from_frame(rounds[ROUND])).reset_index(drop=True)
    for stat in names:
        enough = (sums[f"{stat}_noted"] >= LEAST_HOLES) & (sums[f"{stat}_of"] > 0)
        sums[[stat, f"{stat}_of"]] = sums[[stat, f"{stat}_of"]].where(enough)
    return sums


def _said(column: pd.Series[str], word: str) -> FLOATS:
    return np.asarray((column == word).fillna(False).to_numpy(dtype=bool), dtype=float)


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

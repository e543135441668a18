"""The stats of a round as counts: from the rounds table, and from the holes where that is blank."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.rounds.shot_holes import HOLE, ROUND
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

"""Which holes have all their shots, and why the others do not."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.tables import Tables
from paryield.units import YARDS_PER_UNIT

ROUND = ["golfer_id", "played_on", "round_no"]
HOLE = [*ROUND, "hole"]
OF_HOLE = "of_hole"

REASONS = (
    "the first shot is not from the tee",
    "a shot follows the one that was holed",
    "the last shot was not holed",
    "shot numbers leave out more than the penalty strokes",
    "the shots do not add up to the strokes of the hole",
)


def judged_holes(tables: Tables) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the shots of whole holes, and the holes left out.

    A hole is whole when its shots begin with shot 1 from the tee, end with the one holed (blank counts as
    holed on the last), and agree with the strokes and penalty strokes in ``holes`` where these are known.

    Returns
    -------
    shots : DataFrame
        Key, lie, ``yards``, ``par`` and ``hole_yards`` of the hole, ``last``, ``gap`` (numbers left out after
        the shot), ``unplaced`` (penalty strokes of the hole that no number shows), ``of_hole``; in order.
    left_out : DataFrame
        Key of the hole and ``reason``.
    """
    shots = tables.shots.sort_values([*HOLE, "shot_no"], ignore_index=True)
    card = tables.holes[[*HOLE, "par", "strokes", "penalty_strokes"]]
    shots = shots.merge(card, on=HOLE, how="left")
    shots[OF_HOLE] = shots.groupby(HOLE, sort=False).ngroup()
    number = shots["shot_no"].to_numpy(dtype=float)
    shots["yards"] = shots["distance"] * shots["distance_unit"].map(YARDS_PER_UNIT).astype(float)
    hole = shots[OF_HOLE].to_numpy()
    shots["last"] = np.append(hole[1:] != hole[:-1], True)[: len(shots)]
    shots["gap"] = np.where(shots["last"], 0.0, np.append(np.diff(number) - 1.0, 0.0)[: len(shots)])
    shots["hole_yards"] = shots.groupby(OF_HOLE)["yards"].transform("first")
    holes = _by_hole(shots)
    whole = holes["reason"].isna()
    good = shots[OF_HOLE].map(whole).to_numpy(dtype=bool)
    shots = shots.assign(unplaced=shots[OF_HOLE].map(holes["unplaced"]))[good].reset_index(drop=True)
    left_out = holes.loc[~whole, [*HOLE, "reason"]].reset_index(drop=True)
    return shots, left_out


def _by_hole(shots: pd.DataFrame) -> pd.DataFrame:
    """Return one row per hole: key, ``unplaced`` and ``reason`` (NA when whole)."""
    by = shots.groupby(OF_HOLE)
    holes = by[HOLE].first()
    first = (by["shot_no"].first() == 1) & (by["lie"].first() == "tee")
    holed = shots["holed"].astype("boolean")
    early = (holed.fillna(False) & ~shots["last"]).groupby(shots[OF_HOLE]).any()
    not_holed = (~holed.fillna(True) & shots["last"]).groupby(shots[OF_HOLE]).any()
    taken, gaps = by["shot_no"].last().astype(float), by["gap"].sum()
    strokes, penalties = (by[name].first().astype("float64") for name in ("strokes", "penalty_strokes"))
    unplaced = (strokes - taken).fillna(0.0)
    allowed = (penalties - gaps).fillna(0.0)
    faults = [
        ~first,
        early,
        not_holed,
        penalties.notna() & (gaps > penalties),
        (unplaced < 0) | (unplaced > allowed),
    ]
    reason = pd.Series(np.select([fault.to_numpy(dtype=bool) for fault in faults], REASONS, ""), holes.index)
    return holes.assign(unplaced=unplaced, reason=reason.astype("string").mask(reason == ""))

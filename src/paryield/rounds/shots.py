"""Shots to strokes gained, shot by shot and by area; which holes have all shots, and why others do not."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.rounds.references import LONGEST_PAR_3_YARDS, SHORT_GAME_YARDS, strokes_to_hole_out
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

READING_ERROR = {"tee": 0.0, "green": 0.10}
OTHER_READING_ERROR = 0.05
"""Sd of a noted distance as a share of it: paced on the green, by marker or device elsewhere, none on the
tee, which is on the card (assumed, no source)."""

COLUMNS = (*HOLE, "shot_no", "area", "gained", "penalty_strokes", "own_variance", "before_variance")


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


def shot_strokes(tables: Tables) -> pd.DataFrame:
    """Return strokes gained by every shot of the holes that are whole.

    A shot gains what its place needs on tour, less what the next place needs, less 1 and less the penalty
    strokes it cost (Broadie 2012, Interfaces 42(2); from memory). Over a hole the gains sum to what the tour
    needs from the tee less the strokes taken. Areas: tee shots of a par 4 or 5 are off the tee; within 50 yd
    and not on the green is short game; on the green putting; all else, tee shots of a par 3 too, approach
    (common practice, no source).

    Parameters
    ----------
    tables : Tables
        The club's tables; ``shot_no`` counts strokes, so a number left out is a penalty stroke of the shot
        before it. Penalty strokes that stand only in ``holes`` go to the shot that lost most off the green.

    Returns
    -------
    DataFrame
        golfer_id, played_on, round_no, hole, shot_no, area, gained (strokes against the tour),
        penalty_strokes, and the variance that a wrong note of the shot's own place puts into its area
        (``own_variance``) and into the area of the shot before (``before_variance``): none where both are
        one area, in which the note cancels.
    """
    shots, _ = judged_holes(tables)
    yards, lie = shots["yards"].to_numpy(), shots["lie"].to_numpy(dtype=str)
    need = strokes_to_hole_out(lie, yards)
    last = shots["last"].to_numpy()
    after = np.where(last, 0.0, np.append(need[1:], 0.0))
    shots = shots.assign(gained=need - after - 1.0, area=_areas(shots, lie, yards))
    penalty = shots["gap"].to_numpy() + _unplaced(shots)
    error = READING_ERROR | dict.fromkeys(set(lie) - set(READING_ERROR), OTHER_READING_ERROR)
    relative = np.array([error[name] for name in lie])
    up, down = (strokes_to_hole_out(lie, yards * (1 + sign * relative)) for sign in (1, -1))
    variance = ((up - down) / 2.0) ** 2
    area = shots["area"].to_numpy(dtype=str)
    first = shots["shot_no"].to_numpy() == 1
    same = ~first & (area == np.append("", area[:-1])) if len(area) else first
    shots = shots.assign(
        gained=shots["gained"] - penalty,
        penalty_strokes=penalty,
        own_variance=np.where(same, 0.0, variance),
        before_variance=np.where(same | first, 0.0, variance),
    )
    return shots[list(COLUMNS)].reset_index(drop=True)


def holes_left_out(tables: Tables) -> pd.DataFrame:
    """Return the holes whose shots do not tell the whole story: the key of the hole, and ``reason``."""
    return judged_holes(tables)[1]


def _areas(shots: pd.DataFrame, lie: npt.NDArray[np.str_], yards: FLOATS) -> npt.NDArray[np.str_]:
    par = shots["par"].to_numpy(dtype=float, na_value=np.nan)
    long_hole = np.where(np.isnan(par), shots["hole_yards"].to_numpy() > LONGEST_PAR_3_YARDS, par > 3)
    choices = [(lie == "tee") & long_hole, lie == "tee", lie == "green", yards <= SHORT_GAME_YARDS]
    return np.select(choices, ["off_the_tee", "approach", "putting", "short_game"], "approach")


def _unplaced(shots: pd.DataFrame) -> FLOATS:
    """Penalty strokes that no shot number shows, at the shot off the green that lost most."""
    placed = np.zeros(len(shots))
    owing = shots[(shots["unplaced"] > 0) & (shots["lie"] != "green")]
    if not owing.empty:
        worst = owing.groupby(OF_HOLE)["gained"].idxmin().to_numpy()
        placed[shots.index.get_indexer(pd.Index(worst))] = shots.loc[worst, "unplaced"]
    return placed

"""From tables to occasions: one row a round or a test, with all that it says and how surely."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import days_since_epoch
from paryield.rounds import area_strokes, round_measurements
from paryield.scoring import differentials
from paryield.tables import Tables
from paryield.tables.categories import AREAS

FLOATS = npt.NDArray[np.float64]
ROUND = ["golfer_id", "played_on", "round_no"]
HOLES = 18.0
STANDARD_SLOPE = 113.0
PRACTICE_DAYS = 28
"""Successes counted in the diary are summed over four weeks: one measurement a golfer, kind and block."""
STATS = ("greens", "putts", "fairways", "up_and_downs", "penalties")
PROGRAMME_DAYS = 112
"""A programme without an end date is taken to run for 16 weeks."""


def round_rows(tables: Tables, cut: pd.Timestamp) -> pd.DataFrame:
    """Return rounds with a differential or with measured areas up to a day.

    Returns
    -------
    DataFrame
        golfer_id, on, round_no, course, competition, differential (of 18 holes, NaN where unknown) with
        ``differential_error`` (how much wider than a full round it spreads), per stat its value and
        ``*_error``, per area its strokes lost and ``*_error``.
    """
    known = differentials(tables)
    columns = [*ROUND, "course", "competition", "holes", "adjusted_gross_score", "course_rating"]
    columns += ["slope_rating", "pcc", "score_differential"]
    rounds = tables.rounds[columns].merge(known[[*ROUND, "differential"]], on=ROUND, how="left")
    rounds = _of_the_holes_played(rounds)
    stats = round_measurements(tables).drop(columns="holes")
    stats["putts_sd"] = np.sqrt(stats["stretch"])
    stats = stats[[*ROUND, *STATS, *(f"{stat}_sd" for stat in STATS)]]
    rounds = rounds.merge(stats.rename(columns=lambda name: name.replace("_sd", "_error")), on=ROUND, how="left")
    long = area_strokes(tables)
    for value, ending in (("lost", ""), ("error_sd", "_error")):
        wide = long.pivot(index=ROUND, columns="area", values=value).reindex(columns=list(AREAS))
        wide.columns = pd.Index([f"{area}{ending}" for area in AREAS])
        rounds = rounds.merge(wide.reset_index(), on=ROUND, how="left")
    rounds = rounds[rounds["played_on"] <= cut]
    says = rounds["differential"].notna() | rounds[list(AREAS)].notna().any(axis=1)
    return rounds[says].rename(columns={"played_on": "on"})


def _of_the_holes_played(rounds: pd.DataFrame) -> pd.DataFrame:
    """Take a short round for what its own holes say, not for the differential expected of the others.

    On h holes the mean is h / 18 of a full round's and the variance too, so that what is scaled up by 18 / h
    spreads sqrt(18 / h) times as much. A differential given for a short round stays as it is.
    """
    holes = rounds["holes"].astype("float64").to_numpy()
    part = holes / HOLES
    score, rating, slope = (
        rounds[name].astype("float64").to_numpy() for name in ("adjusted_gross_score", "course_rating", "slope_rating")
    )
    own = STANDARD_SLOPE / slope * (score - rating - part * rounds["pcc"].astype("float64").fillna(0.0).to_numpy())
    short = (holes < HOLES) & rounds["score_differential"].isna().to_numpy(bool) & ~np.isnan(own)
    value = np.where(short, own / part, rounds["differential"].astype("float64").to_numpy())
    wider = np.where(short, np.sqrt(1.0 / part), 1.0)
    return rounds.assign(differential=value, differential_error=wider)


def test_rows(tables: Tables, cut: pd.Timestamp, prior: dict[tuple[str, str], tuple[float, float]]) -> pd.DataFrame:
    """Return tests, and successes counted in the diary in blocks, up to a day.

    Returns
    -------
    DataFrame
        golfer_id, on, test (kind and source), area, value, test_error.
    """
    from paryield import rounds

    if not hasattr(rounds, "test_measurements"):
        return pd.DataFrame(columns=["golfer_id", "on", "test", "area", "value", "test_error"])
    test_measurements = rounds.test_measurements

    found = test_measurements(tables, prior)
    found = found[found["on"] <= cut]
    if found.empty:
        return pd.DataFrame(columns=["golfer_id", "on", "test", "area", "value", "test_error"])
    found = found.assign(test=found["kind"].astype(str) + " (" + found["source"].astype(str) + ")")
    diary = found["source"] == "practice"
    block = days_since_epoch(found["on"]) // PRACTICE_DAYS
    each = np.arange(len(found))
    found = found.assign(block=np.where(diary, block, -1 - each), weight=found["error_sd"] ** -2.0)
    found["weighted"] = found["weight"] * found["value"]
    sums = found.groupby(["golfer_id", "test", "area", "block"], as_index=False, observed=True).agg(
        on=("on", "max"), weight=("weight", "sum"), weighted=("weighted", "sum")
    )
    return pd.DataFrame(
        {
            "golfer_id": sums["golfer_id"],
            "on": sums["on"],
            "test": sums["test"],
            "area": sums["area"],
            "value": sums["weighted"] / sums["weight"],
            "test_error": sums["weight"] ** -0.5,
        }
    )


def exposures(
    programmes: pd.DataFrame, owner_ids: npt.NDArray[np.str_], day: npt.NDArray[np.int64], as_of: int
) -> tuple[tuple[str, ...], FLOATS]:
    """Share of each programme that a golfer has been through, shape (occasion, programme): 0 before, then
    rising evenly to 1 at its planned or actual end, held afterwards."""
    begun = programmes[days_since_epoch(programmes["started_on"]) <= as_of]
    names = tuple(sorted(set(begun["programme"].astype(str))))
    out = np.zeros((len(day), len(names)))
    for row in begun.itertuples():
        start = int(days_since_epoch(pd.Series([row.started_on]))[0])
        length = PROGRAMME_DAYS
        if not pd.isna(row.ended_on):
            length = max(int(days_since_epoch(pd.Series([row.ended_on]))[0]) - start, 1)
        whole = PROGRAMME_DAYS if row.outcome == "left" else length
        mine = owner_ids == row.golfer_id
        done = np.clip(day[mine] - start, 0, length) / max(whole, length)
        place = names.index(str(row.programme))
        out[mine, place] = np.maximum(out[mine, place], done)
    return names, out

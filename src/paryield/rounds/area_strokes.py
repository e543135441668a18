"""Strokes lost by scoring area in each round, from shots or as given, with a standard error."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.rounds.shots import HOLE, ROUND, shot_strokes
from paryield.scoring import differentials
from paryield.tables import AREAS, Tables

HOLES = 18

STANDARD_SLOPE = 113.0
"""Slope rating of a course of standard difficulty (Rules of Handicapping; from memory)."""

TOUR_TO_SCRATCH: FLOATS = np.array([1.1, 1.5, 0.9, 1.0])
"""Strokes by area in which a tour player beats the course rating, a round. ASSUMED, no source: 4.5 in all,
from tour averages near 71 on courses rated near 75.5 (from memory); putting from the reference curves
(computed), the rest as 5:7:4, the published shares of score gaps (Broadie 2008-2014, computed). Where the
shots of all holes and the course rating are known, 4.5 gives way to rating less what the tour needs from
these tees, in the same shares: a scratch golfer's expected score is the rating (Rules of Handicapping,
definitions; from memory). An error in the shares moves every golfer alike,
and so no ranking; it is not in the error of a round."""

HOLE_SD: FLOATS = np.array([0.40, 0.47, 0.36, 0.31])
"""Sd of strokes lost on one hole by area. ASSUMED: 3.3 strokes a round (published odds table, 13-22 handicap,
computed) on 18 holes, split by the shares of score gaps, areas taken as independent."""

GIVEN_ERROR_SD = 0.5
"""Error of strokes gained as given, a round of 18 holes and area (assumed, no source): unknown method."""

LEAST_ERROR_SD = 0.1
"""Least error of area strokes, a round: the baseline is no exact number (assumed, no source)."""

COLUMNS = (*ROUND, "area", "lost", "error_sd", "source")


def area_strokes(tables: Tables) -> pd.DataFrame:
    """Return strokes lost by area in each round that tells them.

    Strokes are those of an 18-hole round against a scratch golfer, positive when lost, on the scale of the
    score differential (times 113 / slope; as they are where the slope is unknown). Where a round has both
    shots and given strokes gained, the one with the smaller error counts.

    Parameters
    ----------
    tables : Tables
        The club's tables.

    Returns
    -------
    DataFrame
        golfer_id, played_on, round_no, area (one of :data:`paryield.tables.AREAS`), lost, error_sd (error
        of measurement of that round's strokes, holes without shots included; the golfer's luck of the day is
        not in it), source (``shots`` or ``given``); sorted by round and area.
    """
    found = pd.concat([_from_shots(tables), _given(tables)], ignore_index=True)
    order = pd.Categorical(found["area"], categories=list(AREAS), ordered=True)
    found = found.assign(order=order.codes).sort_values([*ROUND, "order", "error_sd"], kind="stable")
    found = found.drop_duplicates([*ROUND, "area"])
    return found[list(COLUMNS)].reset_index(drop=True)


def round_parts(tables: Tables) -> pd.DataFrame:
    """Return the differential of each round in parts.

    Returns
    -------
    DataFrame
        golfer_id, played_on, round_no, the four areas (strokes lost), ``remainder`` and ``differential``, for
        rounds with all four areas and a differential. The parts and the remainder sum to the
        differential; the remainder holds what the course and the day did, and all errors.
    """
    long = area_strokes(tables)
    wide = long.pivot(index=ROUND, columns="area", values="lost").reindex(columns=list(AREAS)).dropna()
    scores = differentials(tables)[[*ROUND, "differential"]].dropna()
    parts = wide.reset_index().merge(scores, on=ROUND, how="inner")
    parts["remainder"] = parts["differential"] - parts[list(AREAS)].sum(axis=1)
    parts.columns.name = None
    return parts[[*ROUND, *AREAS, "remainder", "differential"]]


def _scale(rounds: pd.DataFrame) -> FLOATS:
    slope = rounds["slope_rating"].fillna(STANDARD_SLOPE).to_numpy(dtype=float)
    return STANDARD_SLOPE / slope


def unseen_variance(holes_seen: FLOATS) -> FLOATS:
    """Return the variance of 18-hole strokes told from some of the holes, shape (R, areas).

    The holes not seen are told from the mean of those seen: variance x 18 x (18 - n) / n.
    """
    seen = np.minimum(holes_seen, HOLES)[:, None]
    return HOLE_SD**2 * HOLES * (HOLES - seen) / seen


def _from_shots(tables: Tables) -> pd.DataFrame:
    shots = shot_strokes(tables)
    shots["before"] = np.where(shots["shot_no"] == 1, "", shots["area"].shift(fill_value=""))
    seen = shots[HOLE].drop_duplicates().groupby(ROUND).size().rename("seen").reset_index()
    course = [*ROUND, "slope_rating", "course_rating", "pcc", "holes"]
    rounds = seen.merge(tables.rounds[course], on=ROUND, how="left")
    key = pd.MultiIndex.from_frame(rounds[ROUND])

    def total(area: str, value: str) -> FLOATS:
        sums = shots.groupby([*ROUND, area])[value].sum().unstack(area)
        return sums.reindex(index=key, columns=list(AREAS)).fillna(0.0).to_numpy()

    holes = rounds["seen"].to_numpy(dtype=float)
    up, scale = HOLES / holes[:, None], _scale(rounds)[:, None]
    gained = total("area", "gained")
    taken = shots["penalty_strokes"].add(1.0).groupby([shots[name] for name in ROUND]).sum().reindex(key)
    share, ahead = TOUR_TO_SCRATCH / TOUR_TO_SCRATCH.sum(), TOUR_TO_SCRATCH.sum()
    gap = _rating_less_tour(rounds, gained.sum(axis=1) + taken.to_numpy(dtype=float), holes)
    more = np.where(np.isnan(gap), 0.0, gap - ahead)[:, None] * share
    lost = scale * (-up * gained - TOUR_TO_SCRATCH - more)
    noted = total("area", "own_variance") + total("before", "before_variance")
    variance = up**2 * noted + unseen_variance(holes) + LEAST_ERROR_SD**2
    return _long(rounds, lost, scale * np.sqrt(variance), "shots")


def _rating_less_tour(rounds: pd.DataFrame, tour: FLOATS, seen: FLOATS) -> FLOATS:
    """Return rating and conditions less what the tour needs, on 18 holes; NaN unless all holes are seen."""
    rating, pcc, holes = (
        rounds[name].to_numpy(dtype=float, na_value=np.nan) for name in ("course_rating", "pcc", "holes")
    )
    whole = np.where(seen == holes, HOLES / holes, np.nan)
    return np.asarray(whole * (rating - tour) + np.nan_to_num(pcc))


def _given(tables: Tables) -> pd.DataFrame:
    rounds = tables.rounds[tables.rounds[list(AREAS)].notna().any(axis=1)].reset_index(drop=True)
    holes = rounds["holes"].to_numpy(dtype=float)
    up, scale = HOLES / holes[:, None], _scale(rounds)[:, None]
    tour = (rounds["baseline"] == "tour").to_numpy(dtype=bool, na_value=False)[:, None]
    lost = scale * (-up * rounds[list(AREAS)].to_numpy(dtype=float) - np.where(tour, TOUR_TO_SCRATCH, 0.0))
    variance = up**2 * GIVEN_ERROR_SD**2 * (holes[:, None] / HOLES) + unseen_variance(holes)
    return _long(rounds, lost, scale * np.sqrt(variance), "given")


def _long(rounds: pd.DataFrame, lost: FLOATS, error: FLOATS, source: str) -> pd.DataFrame:
    parts = [
        rounds[ROUND].assign(area=area, lost=lost[:, place], error_sd=error[:, place], source=source)
        for place, area in enumerate(AREAS)
    ]
    return pd.concat(parts, ignore_index=True).dropna(subset=["lost"])

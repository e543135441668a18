"""From tables to occasions: a row a round or a test with all that it says, and first guesses from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import days_since_epoch
from paryield.model.spec import ModelSpec
from paryield.model.terms.coach_tests import SPELL_DAYS, newness
from paryield.rounds import area_strokes, round_measurements, test_measurements
from paryield.rounds.coach_tests import Prior
from paryield.scoring import differentials
from paryield.tables import Tables
from paryield.tables.categories import AREAS

ROUND = ["golfer_id", "played_on", "round_no"]
HOLES = 18.0
STANDARD_SLOPE = 113.0
PRACTICE_DAYS = 28
"""Successes counted in the diary are summed over four weeks: one measurement a golfer, kind and block."""
STATS = ("greens", "putts", "fairways", "up_and_downs", "penalties")
TEST = ["test", "kind", "scale", "source", "area"]
UNITLESS = ("strokes", "probit", "log")
Scales = dict[str, tuple[float, float]]
LEAST_SPREAD_ERROR = 0.1
"""Least error of a speed or carry, in spreads of the club (our choice)."""
ROUNDS_OF_AN_INDEX = 3
"""Rounds of 18 holes that a first index takes: 54 holes (Rules of Handicapping, rule 4.5; from memory)."""
ABOVE_INDEX, INDEX_ERROR = 3.2, 0.8
"""A mean differential lies 2.5 to 4 strokes above the index that the best rounds make; a start index, often
of another club or from earlier years, tells as much as a round and a half. [judgement]"""

NEWCOMER_DAYS = 60


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
    rounds = rounds.merge(
        stats.rename(columns=lambda name: name.replace("_sd", "_error")), on=ROUND, how="left"
    )
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
        rounds[name].astype("float64").to_numpy()
        for name in ("adjusted_gross_score", "course_rating", "slope_rating")
    )
    own = (
        STANDARD_SLOPE
        / slope
        * (score - rating - part * rounds["pcc"].astype("float64").fillna(0.0).to_numpy())
    )
    short = (holes < HOLES) & rounds["score_differential"].isna().to_numpy(bool) & ~np.isnan(own)
    value = np.where(short, own / part, rounds["differential"].astype("float64").to_numpy())
    wider = np.where(short, np.sqrt(1.0 / part), 1.0)
    return rounds.assign(differential=value, differential_error=wider)


def test_rows(
    tables: Tables, cut: pd.Timestamp, prior: Prior, scales: Scales | None
) -> tuple[pd.DataFrame, Scales]:
    """Return tests, and successes counted in the diary in blocks, up to a day.

    ``scales`` are mean and spread of tests with values where they are settled already; those of the club
    are read off its tests.

    Returns
    -------
    DataFrame
        golfer_id, on, test (a task of its own: kind, name and distance), kind, scale, source, area, value
        (speed and carry in spreads about the club's mean), test_error.
    dict
        Mean and spread by name of each test with values.
    """
    found = test_measurements(tables, prior)
    found = found[found["on"] <= cut]
    if found.empty:
        return pd.DataFrame(columns=[*TEST, "golfer_id", "on", "value", "test_error"]), dict(scales or {})
    diary = (found["source"] == "practice").to_numpy(bool)
    each = found["kind"] + ": " + found["test"] + found["distance_ft"].map(lambda feet: _at(feet))
    found = found.assign(
        test=np.where(diary, found["kind"] + " (practice)", each),
        block=np.where(diary, days_since_epoch(found["on"]) // PRACTICE_DAYS, -1 - np.arange(len(found))),
    )
    found, known = _in_spreads(found, scales or {})
    weight = found["error_sd"].to_numpy(float) ** -2.0
    found = found.assign(weight=weight, weighted=weight * found["value"].to_numpy(float))
    sums = found.groupby(["golfer_id", *TEST, "block"], as_index=False, observed=True).agg(
        on=("on", "max"), weight=("weight", "sum"), weighted=("weighted", "sum")
    )
    sums = sums.assign(value=sums["weighted"] / sums["weight"], test_error=sums["weight"] ** -0.5)
    return sums[["golfer_id", "on", *TEST, "value", "test_error"]], known


def _at(feet: float) -> str:
    return "" if np.isnan(feet) else f", {feet:.0f} ft"


def _in_spreads(found: pd.DataFrame, scales: Scales) -> tuple[pd.DataFrame, Scales]:
    """Put values with a unit in spreads about the mean of the club's tests of that name."""
    value, error = found["value"].to_numpy(float).copy(), found["error_sd"].to_numpy(float).copy()
    with_unit = np.flatnonzero(~found["scale"].isin(UNITLESS).to_numpy())
    known = dict(scales)
    for name, rows in found.iloc[with_unit].groupby("test").indices.items():
        places = with_unit[rows]
        if str(name) not in known:
            known[str(name)] = float(value[places].mean()), float(value[places].std() or 1.0)
        middle, spread = known[str(name)]
        value[places] = (value[places] - middle) / spread
        error[places] = np.maximum(error[places] / spread, LEAST_SPREAD_ERROR)
    return found.assign(value=value, error_sd=error), known


def newness_of(rows: pd.DataFrame, priors: Mapping[str, Any]) -> FLOATS:
    """How new each test is to its golfer, shape (R,): by the days before on which he took one of the kind.

    0 for what is no test or was counted in practice. Tests before the record are not known of.
    """
    found = np.zeros(len(rows))
    if "source" not in rows:
        return found
    tested = (rows["test"].notna() & (rows["source"] == "test").fillna(False)).to_numpy(bool)
    if tested.any():
        times = rows[tested].groupby(["golfer_id", "kind"])["on"].rank(method="dense")
        found[tested] = newness(times.to_numpy(float) - 1.0, priors)
    return found


def spell_of(rows: pd.DataFrame, day: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Number of the spell of form at one kind of test, among those of its golfer, shape (R,)."""
    found = np.full(len(rows), -1, dtype=np.int64)
    if "source" not in rows:
        return found
    tested = rows["test"].notna().to_numpy(bool)
    mine = rows.loc[tested, ["golfer_id", "kind", "source"]].assign(spell=day[tested] // SPELL_DAYS)
    each = mine.groupby(["golfer_id", "kind", "source", "spell"], observed=True).ngroup()
    first = each.groupby(mine["golfer_id"]).transform("min")
    found[tested] = (each - first).to_numpy(dtype=np.int64)
    return found


def index_rows(golfers: pd.DataFrame, rounds: pd.DataFrame, as_of: int) -> pd.DataFrame:
    """Return what a start index says of golfers who have fewer rounds than an index takes, as rows of rounds.

    A mean differential :data:`ABOVE_INDEX` strokes above it, on the day of joining.
    """
    scored = rounds.loc[rounds["differential"].notna(), "golfer_id"].value_counts()
    few = golfers["golfer_id"].map(scored).fillna(0).to_numpy(dtype=float) < ROUNDS_OF_AN_INDEX
    known = golfers[few & golfers["start_index"].notna().to_numpy(bool)]
    latest = pd.Timestamp(np.datetime64(as_of, "D"))
    joined = known["joined_on"].where(known["joined_on"] <= latest, latest)
    found = pd.DataFrame(index=known.index, columns=rounds.columns).astype(rounds.dtypes.to_dict())
    return found.assign(
        golfer_id=known["golfer_id"],
        on=joined.astype(rounds["on"].dtype),
        round_no=0,
        differential=known["start_index"] + ABOVE_INDEX,
        differential_error=INDEX_ERROR,
    ).reset_index(drop=True)


def newcomers(golfers: pd.DataFrame, starts: INTS) -> FLOATS:
    joined = golfers["joined_on"]
    known = joined.notna().to_numpy(bool)
    out = np.zeros(len(golfers))
    if known.any():
        out[known] = (starts[known] - days_since_epoch(joined[known])) <= NEWCOMER_DAYS
    return out


def level_guess(differential: pd.Series, golfer: INTS, golfers: int, spec: ModelSpec) -> FLOATS:
    """Mean differential of each golfer, shrunk by two rounds' worth towards the reference golfer."""
    total = np.bincount(golfer, weights=differential.to_numpy(float), minlength=golfers)
    count = np.bincount(golfer, minlength=golfers)
    guess: FLOATS = (total + 2.0 * spec.reference_level) / (count + 2.0)
    return guess


def noise_guess(
    differential: pd.Series, wider: pd.Series, golfer: INTS, level: FLOATS, spec: ModelSpec
) -> tuple[FLOATS, FLOATS]:
    """Spread of each golfer's rounds about his own mean, and the degrees of freedom it is known with.

    Half the mean squared difference of successive rounds (von Neumann) estimates the variance without the
    slow changes of level; it is shrunk towards the published spread at the golfer's level with the weight
    that a log-sd of 0.2 stands for (a scaled inverse chi-square with 1 / (2 x 0.2^2) = 12.5 degrees).
    """
    priors = spec.priors
    base = priors.noise_base + priors.noise_slope * np.maximum(level - 3.0, -3.0)
    wide = wider.to_numpy(float) ** 2
    step = np.diff(differential.to_numpy(float)) / np.sqrt(0.5 * (wide[1:] + wide[:-1]))
    same = golfer[1:] == golfer[:-1]
    squares = np.bincount(golfer[1:][same], weights=0.5 * step[same] ** 2, minlength=len(level))
    # Successive differences overlap: n - 1 of them carry about 2 (n - 1) / 3 degrees of freedom.
    pairs = np.bincount(golfer[1:][same], minlength=len(level))
    known = pairs * 2.0 / 3.0
    prior_df = 1.0 / (2.0 * priors.noise_golfer_log**2)
    mean_square = np.divide(squares, pairs, out=base**2, where=pairs > 0)
    variance = (prior_df * base**2 + known * mean_square) / (prior_df + known)
    return np.asarray(np.sqrt(variance), dtype=float), np.asarray(prior_df + known, dtype=float)


def knots_of(first: int, as_of: int, spec: ModelSpec) -> FLOATS:
    span = max(as_of - first, 1)
    count = int(np.clip(np.ceil(span / spec.knot_days) + 1, 2, spec.most_knots))
    gap = max(span / (count - 1), spec.knot_days)
    places: FLOATS = as_of - gap * np.arange(count - 1, -1, -1, dtype=float)
    return places


def interpolation(day: INTS, knots: FLOATS) -> tuple[INTS, FLOATS]:
    """The knot before each day, and the weight of the next one, shape (R,) each."""
    place = (day - knots[0]) / (knots[1] - knots[0])
    knot = np.clip(np.floor(place), 0, len(knots) - 2).astype(np.int64)
    return knot, np.clip(place - knot, 0.0, 1.0)

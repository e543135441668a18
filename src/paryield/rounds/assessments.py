"""The coach's tests as rows: what was counted or valued, and what it says as a normal measurement."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.results import Problem
from paryield.rounds.putting import HOLE_MINUS_BALL_FEET
from paryield.tables import Reading, Tables
from paryield.tables.kinds_of_test import kind_of_test, name_of_kind, value_kind
from paryield.units import METRES_PER_SECOND_PER_UNIT, METRES_PER_UNIT, unit_of

COUNTED = ("golfer_id", "on", "test", "kind", "area", "success", "distance_ft", "tried", "made", "source")

LEAST_SHARE = 1e-3
"""Counts that narrow the prior by less than this share of its precision are taken to narrow it by so much:
the stated error stays finite (our choice)."""

ERROR_SHARE = {"speed": 0.02, "carry": 0.04}
"""Error of one noted value as a share of it: device, and mean of a few swings (assumed, no source)."""

SCALES = {"speed": "m/s", "carry": "m"}
FACTORS = {"speed": METRES_PER_SECOND_PER_UNIT, "carry": METRES_PER_UNIT}

VALUED = ("golfer_id", "on", "test", "kind", "area", "source", "scale", "distance_ft", "value", "error_sd")
COUNTS = ("tried", "made", "distances")


def assessment_rows(tables: Tables) -> pd.DataFrame:
    """Return the coach's tests that count successes.

    Returns
    -------
    DataFrame
        golfer_id, on (day), test, kind, area, success (``holed``, ``close``, ``up_and_down``, ``landed``),
        distance_ft (NaN unknown), tried, made (floats, whole), source (``test``). Tests with a value and
        unit, without a try, or of a name that says no kind are not in it; nor are putts to be holed of
        unknown or no distance.
    """
    tests = tables.assessments.rename(columns={"assessed_on": "on"})
    return _rows(tests, "test")


def practice_rows(tables: Tables) -> pd.DataFrame:
    """Return successes counted in the practice diary, in the columns of :func:`assessment_rows`.

    ``test`` is the category and ``source`` is ``practice``: weaker evidence, since practice is not a test.
    """
    diary = tables.practice[tables.practice["state"] == "done"]
    return _rows(diary.rename(columns={"practised_on": "on", "category": "test"}), "practice")


def _rows(frame: pd.DataFrame, source: str) -> pd.DataFrame:
    frame = frame[(frame["tried"] > 0).fillna(False) & frame["made"].notna() & frame["test"].notna()]
    kinds = {name: kind_of_test(name) for name in frame["test"].unique()}
    known = {name: kind for name, kind in kinds.items() if kind is not None}
    frame = frame[frame["test"].isin(list(known))]
    frame = frame.assign(
        kind=frame["test"].map({name: name_of_kind(name) for name in known}).astype("string"),
        area=frame["test"].map({name: kind[0] for name, kind in known.items()}).astype("string"),
        success=frame["test"].map({name: kind[1] for name, kind in known.items()}).astype("string"),
        tried=frame["tried"].astype("float64"),
        made=frame["made"].astype("float64"),
        source=source,
    )
    distance = frame["distance_ft"].to_numpy(dtype=float)
    useless = (frame["success"] == "holed").to_numpy(dtype=bool) & ~(distance > HOLE_MINUS_BALL_FEET)
    frame = frame[np.logical_not(useless)]
    return frame.sort_values(["golfer_id", "on", "test", "distance_ft"], ignore_index=True)[list(COUNTED)]


def as_normal(points: FLOATS, log_likelihood: FLOATS, mean: float, sd: float) -> tuple[FLOATS, FLOATS]:
    """Return the normal measurement that gives the posterior of counts its exact mean and variance.

    The prior is multiplied with the likelihood on a grid, the posterior's mean and variance are taken, and
    the prior is divided out again (moment matching: Minka 2001, Expectation propagation; from memory). So
    the prior times the normal returned has the mean and variance of the exact posterior.

    Parameters
    ----------
    points : array, shape (G,)
        Values of the quantity, evenly spaced, wide enough to hold the posterior.
    log_likelihood : array, shape (G, M)
        Of M tests.
    mean, sd : float
        Of the quantity beforehand.

    Returns
    -------
    value, error_sd : array, shape (M,)
        In the quantity's unit.
    """
    precision, lean = 1.0 / sd**2, mean / sd**2
    heights = log_likelihood - 0.5 * ((points - mean) / sd)[:, None] ** 2
    weights = np.exp(heights - heights.max(axis=0))
    weights = weights / weights.sum(axis=0)
    after = points @ weights
    variance = ((points[:, None] - after) ** 2 * weights).sum(axis=0)
    learnt = np.maximum(1.0 / variance - precision, LEAST_SHARE * precision)
    value = (after * (precision + learnt) - lean) / learnt
    return value, 1.0 / np.sqrt(learnt)


def value_rows(tables: Tables) -> pd.DataFrame:
    """Return tests of speed (m/s) and carry (m), whatever the unit noted.

    Returns
    -------
    DataFrame
        In the columns of :func:`paryield.rounds.test_measurements`; ``distance_ft`` as noted.
    """
    tests = _named(tables)
    good = tests[tests["factor"].notna() & (tests["value"] > 0)]
    value = good["value"] * good["factor"]
    found = good.assign(
        source="test",
        scale=good["kind"].map(SCALES).astype(object),
        value=value,
        error_sd=value * good["kind"].map(ERROR_SHARE).astype(float),
        **{name: pd.Series([()] * len(good), good.index, dtype=object) for name in COUNTS},
    )
    return found[[*VALUED, *COUNTS]].reset_index(drop=True)


def values_left_out(tables: Tables) -> pd.DataFrame:
    """Return tests of speed or carry that cannot be used.

    Returns
    -------
    DataFrame
        golfer_id, on, test, value, unit, ``reason``.
    """
    return _left_out(tables).reset_index(drop=True)


def with_values_left_out(reading: Reading) -> Reading:
    """Add a warning to a folder that was read for every test of speed or carry that cannot be used."""
    places = reading.places.get("assessments")
    bad = _left_out(reading.tables)
    if places is None or bad.empty:
        return reading
    told = zip(places.loc[bad.index].to_dict("records"), bad.to_dict("records"), strict=True)
    found = [
        Problem(
            file=str(place["file"]),
            row=int(place["row"]),
            column="unit",
            found="" if pd.isna(one["unit"]) else str(one["unit"]),
            message=f"{one['test']} is not used",
            remedy=str(one["reason"]),
            severity="warning",
        )
        for place, one in told
    ]
    return replace(reading, problems=(*reading.problems, *found))


def _left_out(tables: Tables) -> pd.DataFrame:
    tests = _named(tables)
    bad = tests[tests["factor"].isna() | ~(tests["value"] > 0)]
    needs = {kind: f"{kind} needs a value above 0 in {', '.join(units)}" for kind, units in FACTORS.items()}
    bad = bad.assign(reason=bad["kind"].map(needs).astype(object))
    return bad[["golfer_id", "on", "test", "value", "unit", "reason"]]


def _named(tables: Tables) -> pd.DataFrame:
    """Return tests of speed and carry with ``kind``, ``area`` and ``factor`` of the unit (NaN unknown)."""
    tests = tables.assessments.rename(columns={"assessed_on": "on"})
    tests = tests[tests["value"].notna() & tests["test"].notna()]
    kinds = {name: value_kind(name) for name in tests["test"].unique()}
    known = {name: kind for name, kind in kinds.items() if kind is not None}
    tests = tests[tests["test"].isin(list(known))]
    kind = tests["test"].map({name: named[0] for name, named in known.items()}).astype(object)
    units = [unit_of(word) if isinstance(word, str) else None for word in tests["unit"]]
    factor = [FACTORS[name].get(unit or "", np.nan) for name, unit in zip(kind, units, strict=True)]
    area = tests["test"].map({name: named[1] for name, named in known.items()}).astype(object)
    return tests.assign(kind=kind, area=area, factor=np.array(factor, dtype=float))

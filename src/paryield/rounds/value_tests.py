"""Tests that give a value: speed and carry, in one unit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from paryield.results import Problem
from paryield.rounds.assessments import value_kind
from paryield.tables import Reading, Tables
from paryield.units import METRES_PER_SECOND_PER_UNIT, METRES_PER_UNIT, unit_of

ERROR_SHARE = {"speed": 0.02, "carry": 0.04}
"""Error of one noted value as a share of it: device, and mean of a few swings (assumed, no source)."""

SCALES = {"speed": "m/s", "carry": "m"}
FACTORS = {"speed": METRES_PER_SECOND_PER_UNIT, "carry": METRES_PER_UNIT}

COLUMNS = ("golfer_id", "on", "test", "kind", "area", "source", "scale", "distance_ft", "value", "error_sd")
COUNTS = ("tried", "made", "distances")


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
    return found[[*COLUMNS, *COUNTS]].reset_index(drop=True)


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

"""A golfer's tests over time: in each test's own unit and in strokes, with the practice done between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import NormalDist
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.diary import fill_minutes
from paryield.forecast.once import own_rows
from paryield.rounds import test_measurements
from paryield.rounds.coach_tests import EASE, FALLBACK, PROBIT_PER_STROKE
from paryield.rounds.putting_skill import angle_to_strokes
from paryield.rounds.strikes import LOG_PER_STROKE, SPREAD
from paryield.tables import Tables
from paryield.units import METRES_PER_YARD, MINUTES_PER_HOUR

NORMAL = NormalDist()
QUARTER_DAYS = 91
EIGHT_IN_TEN = 1.2816
"""Normal errors that hold 8 cases in 10 (computed)."""
SERVES_LEAST = 0.25
"""Share of a category that must serve an area to stand beside its tests (our choice)."""


@dataclass(frozen=True)
class Result:
    """One test: value in its own unit with the range of 8 in 10, and strokes lost with their error.

    ``strokes`` and ``error`` are None for carries, of which the club's fit says what they are worth.
    """

    on: date
    value: float
    low: float
    high: float
    strokes: float | None
    error: float | None


@dataclass(frozen=True)
class Measured:
    """All results of a golfer in one test.

    Parameters
    ----------
    test, kind, area : str
    unit : str
        ``degrees``, ``% made``, ``% of the target`` or ``yd``; ``better_low`` says which way is better.
    results : tuple of Result
        By day.
    before, after : Result or None
        The first and the last quarter of a year on record taken together (halves where the record is
        shorter); None with one result.
    change : tuple of float or None
        Strokes a round saved from before to after (positive is better), and its error by the tests' own
        sampling: what lies between test and course for good cancels.
    practised : tuple of (str, float)
        Hours of practice that serves the area from the first result to the last, by category.
    """

    test: str
    kind: str
    area: str
    unit: str
    better_low: bool
    results: tuple[Result, ...]
    before: Result | None
    after: Result | None
    change: tuple[float, float] | None
    practised: tuple[tuple[str, float], ...]

    def record(self) -> dict[str, Any]:
        """As the command writes it."""
        change = self.change
        return {
            "test": self.test,
            "unit": self.unit,
            "results": [vars(one) for one in self.results],
            "before": None if self.before is None else vars(self.before),
            "after": None if self.after is None else vars(self.after),
            "strokes_saved": None if change is None else change[0],
            "strokes_saved_error": None if change is None else change[1],
            "hours_between": dict(self.practised),
        }


@dataclass(frozen=True)
class _Reading:
    """From the scale on which a test is linear in skill to its own unit and to strokes lost."""

    unit: str
    better_low: bool
    shown: Callable[[float], float]
    strokes: Callable[[float], float] | None
    per_stroke: float


def measured_tests(tables: Tables, golfer: str) -> list[Measured]:
    """Return each of a golfer's tests with at least one result, by area and name.

    What a stroke is worth on the scale of a test is what is assumed before any fit
    (:mod:`paryield.rounds.coach_tests`, :mod:`paryield.rounds.strikes`), the same for every club.
    """
    found = test_measurements(_own(tables, golfer), {})
    found = found[found["source"] == "test"]
    by_test = found.groupby(["area", "kind", "scale", "test", "distance_ft"], dropna=False, sort=True)
    return [_measured(tables, golfer, group) for _, group in by_test]


def _own(tables: Tables, golfer: str) -> Tables:
    mine = own_rows(tables, golfer)
    return replace(mine, golfers=mine.golfers.iloc[:0], rounds=mine.rounds.iloc[:0])


def _measured(tables: Tables, golfer: str, rows: pd.DataFrame) -> Measured:
    rows = rows.sort_values("on")
    head = rows.iloc[0]
    kind, area, feet = str(head["kind"]), str(head["area"]), float(head["distance_ft"])
    reading = _reading(kind, area, str(head["scale"]))
    value, error = rows["value"].to_numpy(dtype=float), rows["error_sd"].to_numpy(dtype=float)
    days = [day.date() for day in rows["on"]]
    results = tuple(_result(reading, *one) for one in zip(days, value, error, strict=True))
    groups = early_and_late(days)
    before = after = change = None
    if groups is not None:
        (first, first_error), (last, last_error) = (pooled(value[one], error[one]) for one in groups)
        ends = [[days[place] for place in np.flatnonzero(one)] for one in groups]
        before = _result(reading, ends[0][0], first, first_error)
        after = _result(reading, ends[1][-1], last, last_error)
        if reading.strokes is not None:
            saved = (first - last) / reading.per_stroke
            change = (saved, float(np.hypot(first_error, last_error)) / abs(reading.per_stroke))
    name = str(head["test"]).replace("_", " ")
    name += "" if np.isnan(feet) or kind == "putting" else f", {feet:g} ft"
    practised = practice_between(tables, golfer, area, days[0], days[-1])
    return Measured(
        name, kind, area, reading.unit, reading.better_low, results, before, after, change, practised
    )


def early_and_late(days: list[date]) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]] | None:
    """Which results stand for before and which for now; None where all are of one day.

    The first and the last quarter of a year on record; where the record is shorter than two, its halves.
    """
    first, last = days[0], days[-1]
    if first == last:
        return None
    reach = min(timedelta(days=QUARTER_DAYS), (last - first) / 2)
    early = np.array([day - first <= reach for day in days])
    late = np.array([last - day <= reach for day in days]) & ~early
    return early, late


def pooled(value: FLOATS, error: FLOATS) -> tuple[float, float]:
    """Mean of measurements by their precision, and its error."""
    weight = error**-2.0
    return float(np.sum(weight * value) / np.sum(weight)), float(np.sum(weight) ** -0.5)


def _reading(kind: str, area: str, scale: str) -> _Reading:
    usual = FALLBACK[area][0]
    if scale == "strokes":
        spreads, strokes = angle_to_strokes()

        def degrees(lost: float) -> float:
            return float(np.degrees(np.exp(np.interp(lost, strokes, np.log(spreads)))))

        return _Reading("degrees", True, degrees, lambda value: value, 1.0)
    if scale == "probit":
        ease = EASE[kind]
        return _Reading(
            "% made",
            False,
            lambda value: 100.0 * NORMAL.cdf(value),
            lambda value: usual + (ease - value) / PROBIT_PER_STROKE,
            -PROBIT_PER_STROKE,
        )
    if scale == "log":
        slope, middle = LOG_PER_STROKE[kind], float(np.log(SPREAD[kind]))
        unit, factor = ("degrees", 1.0) if kind == "tee" else ("% of the target", 100.0)
        return _Reading(
            unit,
            True,
            lambda value: factor * float(np.exp(value)),
            lambda value: usual + (value - middle) / slope,
            slope,
        )
    if scale == "m":
        return _Reading("yd", False, lambda value: value / METRES_PER_YARD, None, 1.0)
    return _Reading(scale, False, lambda value: value, None, 1.0)


def _result(reading: _Reading, on: date, value: float, error: float) -> Result:
    ends = [reading.shown(value + side * EIGHT_IN_TEN * error) for side in (-1.0, 1.0)]
    strokes = None if reading.strokes is None else float(reading.strokes(value))
    return Result(
        on,
        float(reading.shown(value)),
        min(ends),
        max(ends),
        strokes,
        None if strokes is None else float(error / abs(reading.per_stroke)),
    )


def practice_between(
    tables: Tables, golfer: str, area: str, since: date, until: date
) -> tuple[tuple[str, float], ...]:
    """Hours on record of the categories that serve an area, from a day up to another, most first."""
    serving = {one.name for one in tables.categories if one.serves.get(area, 0.0) >= SERVES_LEAST}
    rows = tables.practice[tables.practice["golfer_id"] == golfer]
    on = rows["practised_on"]
    rows = rows[
        (on >= pd.Timestamp(since)) & (on <= pd.Timestamp(until)) & rows["category"].isin(list(serving))
    ]
    minutes, _ = fill_minutes(rows, {category.name: category for category in tables.categories})
    hours = pd.Series(np.asarray(minutes, dtype=float), rows.index).groupby(rows["category"]).sum()
    hours = (hours / MINUTES_PER_HOUR).sort_values(ascending=False)
    return tuple((str(name), float(value)) for name, value in hours.items() if value > 0)

"""Tests and practice that count successes: rows of tried and made, with what a success means."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from paryield.rounds.putting import HOLE_MINUS_BALL_FEET
from paryield.tables import Tables

KINDS: tuple[tuple[str, str, str, str], ...] = (
    ("lag", "lag", "putting", "close"),
    ("putt", "putting", "putting", "holed"),
    ("sand", "bunker", "short_game", "up_and_down"),
    ("bunker", "bunker", "short_game", "up_and_down"),
    ("up_and_down", "up_and_down", "short_game", "up_and_down"),
    ("chip", "chip", "short_game", "landed"),
    ("pitch", "pitch", "short_game", "landed"),
    ("landing", "chip", "short_game", "landed"),
)
"""Beginnings of a word in the name of a test, its kind, the area it speaks of, and what a success is: putt
holed, lag putt left within 2 ft, ball up and down, first bounce in the circle (common practice, no source).
The first in this list counts."""

VALUE_KINDS = (("speed", "speed", "off_the_tee"), ("carry", "carry", "off_the_tee"))
"""The same for tests with a value: clubhead or ball speed, and carry, speak of the tee shot. 20 yd
more gain 0.75 stroke a round on tour (record-bee.com/2015/02/13, verified)."""

COLUMNS = ("golfer_id", "on", "test", "kind", "area", "success", "distance_ft", "tried", "made", "source")


def _matching(words: tuple[str, ...], test: str) -> int | None:
    name = "_" + re.sub(r"[\W_]+", "_", test.strip().lower())
    return next((place for place, word in enumerate(words) if f"_{word}" in name), None)


def kind_of_test(test: str) -> tuple[str, str] | None:
    """Return area and kind of success of a test by its name, or None when the name says neither."""
    place = _matching(tuple(kind[0] for kind in KINDS), test)
    return None if place is None else KINDS[place][2:]


def name_of_kind(test: str) -> str | None:
    """Return the kind of a test that counts successes (putting, lag, bunker, ...) by its name."""
    place = _matching(tuple(kind[0] for kind in KINDS), test)
    return None if place is None else KINDS[place][1]


def value_kind(test: str) -> tuple[str, str] | None:
    """Return kind (speed or carry) and area of a test with a value by its name, or None."""
    place = _matching(tuple(kind[0] for kind in VALUE_KINDS), test)
    return None if place is None else VALUE_KINDS[place][1:]


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
    return frame.sort_values(["golfer_id", "on", "test", "distance_ft"], ignore_index=True)[list(COLUMNS)]

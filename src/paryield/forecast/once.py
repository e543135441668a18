"""What belongs to a club's tables is worked out once for all its golfers, and forgotten with the tables."""

from __future__ import annotations

import atexit
from collections.abc import Callable, Hashable
from dataclasses import replace
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
import pandas as pd

from paryield.scoring import HandicapRecord, handicap_record, handicap_records
from paryield.scoring.settings import settings_of
from paryield.tables import Tables

SHARED = ("programmes", "plans", "calendar")
"""Tables whose rows are also about others than their golfer."""

_KEPT: WeakKeyDictionary[Tables, dict[Hashable, Any]] = WeakKeyDictionary()
atexit.register(_KEPT.clear)


def once[T](tables: Tables, key: Hashable, make: Callable[[], T]) -> T:
    """Return what ``make`` gave for these tables and this key the first time.

    Parameters
    ----------
    tables : Tables
        The same object, not an equal one. Kept without holding it, so that nobody who was erased stays.
    key : hashable
        What was asked of the tables.
    make : callable
        Its value must not hold the tables.
    """
    known = _KEPT.setdefault(tables, {})
    if key not in known:
        known[key] = make()
    found: T = known[key]
    return found


def own_rows(tables: Tables, golfer_id: str) -> Tables:
    """Return the tables with the rows of one golfer; programmes, plans and calendar whole.

    Cut out of the club once for all golfers, so that a list of golfers does not search every table for each.
    """
    if len(tables.golfers) == 1 and str(tables.golfers["golfer_id"].iloc[0]) == golfer_id:
        return tables
    cut: dict[str, dict[str, pd.DataFrame]] = once(tables, "own rows", lambda: _cut(tables))
    own: dict[str, Any] = {
        name: frames.get(golfer_id, getattr(tables, name).iloc[:0]) for name, frames in cut.items()
    }
    return once(tables, ("own rows", golfer_id), lambda: replace(tables, **own))


def _cut(tables: Tables) -> dict[str, dict[str, pd.DataFrame]]:
    """Rows of each golfer by table, in the order in which they stand."""
    found: dict[str, dict[str, pd.DataFrame]] = {}
    for name, frame in tables.items():
        if name in SHARED:
            continue
        codes, golfers = pd.factorize(frame["golfer_id"])
        order = np.argsort(codes, kind="stable")
        ends = np.cumsum(np.bincount(codes[codes >= 0], minlength=len(golfers))) + int((codes < 0).sum())
        ordered, first = frame.iloc[order], int((codes < 0).sum())
        found[name] = {}
        for golfer, end in zip(golfers, ends.tolist(), strict=True):
            found[name][str(golfer)] = ordered.iloc[first:end]
            first = end
    return found


def own_record(tables: Tables, golfer_id: str) -> HandicapRecord | None:
    """Return a golfer's handicap record, worked out once; None without a round and a start index.

    The index that a newcomer brings along is in force until his record has one of its own.
    """

    def worked_out() -> HandicapRecord | None:
        mine = own_rows(tables, golfer_id)
        found = handicap_records(mine).get(golfer_id)
        begun = mine.golfers["start_index"].dropna()
        if found is None and len(begun):
            return handicap_record([], start_index=float(begun.iloc[0]), settings=settings_of(tables))
        return found

    return once(tables, ("handicap record", golfer_id), worked_out)

"""A golfer's rows, practice entries and record, cut out of the club's tables once for all golfers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any
from weakref import WeakKeyDictionary, ref

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.diary import days_since_epoch, fill_minutes
from paryield.scoring import HandicapRecord, handicap_record, handicap_records, kept_records
from paryield.scoring.settings import settings_of
from paryield.tables import Tables
from paryield.tables.frames import once

SHARED = ("programmes", "plans", "calendar")
"""Tables whose rows are also about others than their golfer."""

_CLUB: WeakKeyDictionary[Tables, ref[Tables]] = WeakKeyDictionary()


def club_of(tables: Tables) -> Tables:
    """Return the tables of the club that one golfer's were cut out of; others as they are."""
    whole = _CLUB.get(tables)
    return tables if whole is None else whole() or tables


def own_rows(tables: Tables, golfer_id: str) -> Tables:
    """Return the tables with the rows of one golfer; programmes, plans and calendar whole.

    Cut out of the club once for all golfers, so that a list of golfers does not search every table for each.
    """
    if len(tables.golfers) == 1 and str(tables.golfers["golfer_id"].iloc[0]) == golfer_id:
        return tables

    def cut() -> Tables:
        names = (name for name, _ in tables.items() if name not in SHARED)
        mine: dict[str, Any] = {name: own_frame(tables, name, golfer_id) for name in names}
        found = replace(tables, **mine)
        _CLUB[found] = ref(tables)
        return found

    return once(tables, ("own rows", golfer_id), cut)


def own_frame(tables: Tables, name: str, golfer_id: str) -> pd.DataFrame:
    """Return one golfer's rows of one table, in the order in which they stand."""
    ordered, ends = by_golfer(tables, name)
    return ordered.iloc[slice(*ends.get(golfer_id, (0, 0)))]


def by_golfer(tables: Tables, name: str) -> tuple[pd.DataFrame, dict[str, tuple[int, int]]]:
    """Return the rows of one table in the order of their golfers, and where those of each begin and end."""
    return once(tables, ("by golfer", name), lambda: _by_golfer(getattr(tables, name)))


def _by_golfer(frame: pd.DataFrame) -> tuple[pd.DataFrame, dict[str, tuple[int, int]]]:
    codes, golfers = pd.factorize(frame["golfer_id"])
    order, nobody = np.argsort(codes, kind="stable"), int((codes < 0).sum())
    ends = np.cumsum(np.bincount(codes[codes >= 0], minlength=len(golfers))) + nobody
    bounds = zip([nobody, *ends[:-1].tolist()], ends.tolist(), strict=False)
    return frame.iloc[order], {str(one): each for one, each in zip(golfers, bounds, strict=True)}


def people(tables: Tables) -> dict[str, dict[Any, Any]]:
    """Return each golfer's row of the golfers table."""
    return once(
        tables,
        "people",
        lambda: {str(row["golfer_id"]): row for row in tables.golfers.to_dict("records")},
    )


def hand_on(records_of: Tables, tables: Tables) -> None:
    """Keep the handicap records worked out of some golfers' tables for those of the club that hold them."""
    for golfer_id, record in kept_records(records_of).items():
        once(tables, ("handicap record", golfer_id), lambda one=record: one)  # type: ignore[misc]


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


@dataclass(frozen=True)
class Entries:
    """Rows of the practice table, E of them, in the order in which they stand.

    Parameters
    ----------
    day : int array, shape (E,)
        Days since 1970-01-01.
    category, state : object arrays, shape (E,)
        Text; a blank state is ``done``, a blank category empty.
    minutes : array, shape (E,)
        Filled from the category's pace where only repetitions were given; NaN where neither can be known.
    """

    day: npt.NDArray[np.int64]
    category: npt.NDArray[Any]
    state: npt.NDArray[Any]
    minutes: FLOATS

    def rows(self, which: slice | npt.NDArray[np.bool_]) -> Entries:
        """Return some of them."""
        return Entries(self.day[which], self.category[which], self.state[which], self.minutes[which])


def own_entries(tables: Tables, golfer_id: str) -> Entries:
    """Return the practice entries of one golfer."""
    club = club_of(tables)
    everybody = once(club, "entries", lambda: _entries(club))
    _, ends = by_golfer(club, "practice")
    return everybody.rows(slice(*ends.get(golfer_id, (0, 0))))


def _entries(tables: Tables) -> Entries:
    """Entries of everybody, ordered by golfer."""
    practice, _ = by_golfer(tables, "practice")
    minutes, _ = fill_minutes(practice, {one.name: one for one in tables.categories})
    return Entries(
        days_since_epoch(practice["practised_on"]),
        practice["category"].fillna("").to_numpy(object),
        practice["state"].fillna("done").to_numpy(object),
        np.asarray(minutes, dtype=np.float64),
    )

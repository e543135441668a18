"""Practice entries of one golfer as arrays, read off the club's table once for all golfers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.dose.diary import days_since_epoch, fill_minutes
from paryield.forecast.once import by_golfer, club_of
from paryield.tables import Tables
from paryield.tables.frames import once

FLOATS = npt.NDArray[np.float64]


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

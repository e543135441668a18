"""What of the pages outlives a change of the records: all about golfers whom it does not touch."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pandas as pd

from paryield.tables import TABLES, Tables

if TYPE_CHECKING:
    from paryield.desk.state import Snapshot

NOBODY = "<NA>"
"""Stands for the rows of no golfer, such as the club's own days in the calendar."""


def untouched(before: Tables, now: Tables, as_of: date) -> set[str]:
    """Return the golfers about whom both say the same.

    Their rows are the same, the shared tables are, and so are all rounds up to ``as_of``, the last day of
    the fit: how often a golfer plays is partly learnt from the others.
    """
    if _marks(_until(before.rounds, as_of)) != _marks(_until(now.rounds, as_of)):
        return set()
    if before.settings != now.settings or before.categories != now.categories:
        return set()
    moved: set[str] = set()
    for name in TABLES:
        old, new = _marks(getattr(before, name)), _marks(getattr(now, name))
        moved |= {golfer for golfer in old.keys() | new.keys() if old.get(golfer) != new.get(golfer)}
    if NOBODY in moved:
        return set()
    return {str(golfer) for golfer in now.golfers["golfer_id"]} - moved


def carry(last: Snapshot, found: Snapshot) -> None:
    """Keep what was worked out for golfers whom the change did not touch; the fit must be the same."""
    kept = untouched(last.tables, found.tables, found.today()) - last.failed
    for golfer in kept & last.glances.keys():
        found.glances[golfer] = last.glances[golfer]
    for golfer in kept & last.views.keys():
        found.views[golfer] = last.views[golfer]
    for golfer in kept & last.parts.keys():
        found.parts[golfer] = last.parts[golfer]


def _until(rounds: pd.DataFrame, as_of: date) -> pd.DataFrame:
    return rounds[rounds["played_on"] <= pd.Timestamp(as_of)]


def _marks(frame: pd.DataFrame) -> dict[str, tuple[int, int]]:
    """Return for each golfer how many rows there are and a sum of their hashes."""
    if frame.empty:
        return {}
    whose = frame["golfer_id"].astype("string").fillna(NOBODY)
    hashes = pd.util.hash_pandas_object(frame.astype("string").fillna(NOBODY), index=False)
    grouped = hashes.groupby(whose.to_numpy())
    return {
        str(golfer): (int(count), int(total))
        for (golfer, total), count in zip(grouped.sum().items(), grouped.size(), strict=True)
    }

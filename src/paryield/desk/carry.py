"""What of the pages outlives a change of the records: all about golfers whom it does not touch.

Of a golfer whom it touches in his goal or plan alone, or in what his advised week takes from others, the
draws say the same: what is worked out anew is what names them (see :mod:`paryield.desk.renewed`).
"""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from paryield.desk.renewed import AIMS, OTHERS, PLANS, Before
from paryield.forecast.what_if import most_kept_up
from paryield.plan.advice import taken_from_others
from paryield.tables import TABLES, Tables
from paryield.tables.frames import once
from paryield.tables.schema import GOAL

if TYPE_CHECKING:
    from paryield.desk.state import Snapshot

NOBODY = "<NA>"
"""Stands for the rows of no golfer, such as the club's own days in the calendar."""
SLIGHT = frozenset((AIMS, PLANS))
"""What may move without a draw of the golfer, or his advised week, being another."""


def moved(before: Tables, now: Tables, as_of: date) -> dict[str, frozenset[str]] | None:
    """Return by golfer the tables in which his rows are others now; None where all golfers are touched.

    That is so where shared tables are others, or rounds up to ``as_of``, the last day of the fit: how often
    a golfer plays is partly learnt from the others.
    """
    if _marks(_until(before.rounds, as_of)) != _marks(_until(now.rounds, as_of)):
        return None
    if before.settings != now.settings or before.categories != now.categories:
        return None
    found: dict[str, set[str]] = {}
    old, new = _all_marks(before), _all_marks(now)
    for name in new:
        for golfer in old[name].keys() | new[name].keys():
            if old[name].get(golfer) != new[name].get(golfer):
                found.setdefault(golfer, set()).add(name)
    return None if NOBODY in found else {golfer: frozenset(names) for golfer, names in found.items()}


def untouched(before: Tables, now: Tables, as_of: date) -> set[str]:
    """Return the golfers about whom both say the same, none where all are touched."""
    found = moved(before, now, as_of)
    return set() if found is None else {str(golfer) for golfer in now.golfers["golfer_id"]} - found.keys()


def carry(last: Snapshot, found: Snapshot) -> None:
    """Keep what was worked out for golfers whom the change did not touch; the fit must be the same.

    A category that somebody is the first or the last to practise stands on everybody's pages, or no longer.
    """
    before, now = last.posterior, found.posterior
    if before is None or now is None or before.categories != now.categories:
        return
    names = moved(last.tables, found.tables, found.today())
    if names is None:
        return
    same_day = last.today() == found.today()
    same_reach = before is now or np.array_equal(most_kept_up(before), most_kept_up(now))
    for golfer in found.names.keys() - last.failed:
        which = names.get(golfer, frozenset())
        if which == {"practice"}:
            _keep_card(last, found, golfer)
        elif same_day and which <= SLIGHT:
            which |= _moved_beside(last, found, golfer)
            _keep_slightly(last, found, golfer, which) if which else _keep(last, found, golfer)
            if same_reach and AIMS not in which:
                _keep_weeks(last, found, golfer, which)
    found.parts |= {key: part for key, part in last.parts.copy().items() if key[0] == "overview"}


def _moved_beside(last: Snapshot, found: Snapshot, golfer: str) -> frozenset[str]:
    """Return :data:`OTHERS` where the golfer's advised week takes something else from others now."""
    before, now = last.posterior, found.posterior
    assert before is not None
    assert now is not None
    if before is now or golfer not in before.golfers or golfer not in now.golfers:
        return frozenset()
    same = taken_from_others(before, last.tables, golfer) == taken_from_others(now, found.tables, golfer)
    return frozenset() if same else frozenset((OTHERS,))


def _keep(last: Snapshot, found: Snapshot, golfer: str) -> None:
    """Keep all that is known of a golfer, and what is still to be renewed of him."""
    _one(last.glances, found.glances, golfer)
    _one(last.views, found.views, golfer)
    _one(last.parts, found.parts, golfer)
    _one(last.cards, found.cards, golfer)
    _one(last.renew, found.renew, golfer)


def _one[V](old: Mapping[Any, V], new: MutableMapping[Any, V], key: str) -> None:
    if key in old:
        new[key] = old[key]


def _keep_slightly(last: Snapshot, found: Snapshot, golfer: str, which: frozenset[str]) -> None:
    """Keep what is known of a golfer to be renewed where it names his goal, plan or week.

    A week that he ticked waits for another one as before, where nothing of his own moved.
    """
    before = last.renew.get(golfer, Before(frozenset()))
    found.renew[golfer] = before.further(
        which, last.views.get(golfer), last.glances.get(golfer), last.parts.get(golfer)
    )
    if which == {OTHERS}:
        _one(last.cards, found.cards, golfer)


def _keep_card(last: Snapshot, found: Snapshot, golfer: str) -> None:
    """Keep the week of a golfer who ticked something of it, to be shown until a new one is worked out."""
    view = last.views.get(golfer, last.cards.get(golfer))
    if view is not None:
        found.cards[golfer] = view


def _keep_weeks(last: Snapshot, found: Snapshot, golfer: str, which: frozenset[str]) -> None:
    """Keep the golfer's future under any hours, its picture, and the weeks advised on its page.

    They hold his goal, and how far sliders go: up to what somebody of the club keeps up. The weeks advised
    are others where those of like level practise otherwise.
    """
    if (scene := last.scenes.get(("scene", golfer))) is not None:
        found.scenes["scene", golfer] = scene
    for key in list(last.parts):  # other threads may still put parts there
        mine = isinstance(key, tuple) and key[:2] == ("week", golfer)
        if mine and (key[2] == "present" or OTHERS not in which):
            found.parts[key] = last.parts[key]


def _until(rounds: pd.DataFrame, as_of: date) -> pd.DataFrame:
    return rounds[rounds["played_on"] <= pd.Timestamp(as_of)]


def _all_marks(tables: Tables) -> dict[str, dict[str, tuple[int, int]]]:
    """Return the marks of each table, worked out once for the same tables.

    A golfer's goal stands by itself, as if :data:`AIMS` were a table.
    """

    def made() -> dict[str, dict[str, tuple[int, int]]]:
        found = {name: _marks(getattr(tables, name)) for name in TABLES if name != "golfers"}
        people = tables.golfers
        found["golfers"] = _marks(people.drop(columns=list(GOAL)))
        found[AIMS] = _marks(people[["golfer_id", *GOAL]])
        return found

    return once(tables, "marks", made)


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

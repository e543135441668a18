"""What happened to a golfer beside rounds and practice, as records that keep health notes to themselves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from paryield.tables.frames import Tables
from paryield.tables.schema import HEALTH_KINDS


@dataclass(frozen=True)
class Event:
    """One event of a golfer.

    Parameters
    ----------
    kind : str
        One of :data:`paryield.tables.schema.EVENT_KINDS`.
    happened_on : date
    until : date or None
        Last day, where it lasted; None for a day alone or where it goes on.
    area : str
        Scoring area that it touched; empty where none was named.
    note : str
        Empty also where it speaks of health and the reader may not see that.
    """

    kind: str
    happened_on: date
    until: date | None
    area: str
    note: str

    @property
    def of_health(self) -> bool:
        """Whether it is an injury or an illness."""
        return self.kind in HEALTH_KINDS


def events_of(tables: Tables, golfer_id: str, *, health_notes: bool = False) -> list[Event]:
    """Return a golfer's events, newest first.

    Parameters
    ----------
    tables : Tables
    golfer_id : str
    health_notes : bool
        Whether notes of injuries and illnesses are given: only to whoever may set limits.
    """
    mine = tables.events[tables.events["golfer_id"] == golfer_id]
    mine = mine.sort_values(["happened_on", "kind"], ascending=[False, True])
    found = []
    for row in mine.to_dict("records"):
        kind = str(row["kind"])
        silent = kind in HEALTH_KINDS and not health_notes
        until = None if pd.isna(row["until"]) else row["until"].date()
        note = "" if silent else _text(row["note"])
        found.append(Event(kind, row["happened_on"].date(), until, _text(row["area"]), note))
    return found


def _text(value: Any) -> str:
    return "" if pd.isna(value) else str(value)

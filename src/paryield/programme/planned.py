"""Hours a week that the plans asked of a member while in the programme."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.dose.exposure import Enrolment
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR


def planned_hours(tables: Tables, member: Enrolment, on: int) -> float | None:
    """Planned hours a week from the start to day ``on``, over all plans; None without a plan."""
    plans = tables.plans[tables.plans["golfer_id"] == member.golfer_id]
    total, found = 0.0, False
    for row in plans.to_dict("records"):
        begins, ends = (_day(row[name]) for name in ("starts_on", "ends_on"))
        covered = min(member.start + 10**6 if ends is None else ends, on) - max(begins or 0, member.start) + 1
        minutes = _minutes(tables, row)
        if covered > 0 and minutes is not None:
            total += minutes / MINUTES_PER_HOUR * covered / max(on - member.start + 1, 1)
            found = True
    return total if found else None


def _day(value: object) -> int | None:
    stamp = pd.Timestamp(value)  # type: ignore[arg-type]
    return None if pd.isna(stamp) else int(np.datetime64(stamp, "D").astype(int))


def _minutes(tables: Tables, row: dict[object, object]) -> float | None:
    minutes, reps = row["minutes_per_week"], row["reps_per_week"]
    if not pd.isna(minutes):  # type: ignore[call-overload]
        return float(minutes)  # type: ignore[arg-type]
    pace = tables.category(str(row["category"])).minutes_per_100_reps
    return None if pace is None or pd.isna(reps) else float(reps) * pace / 100.0  # type: ignore[arg-type, call-overload]

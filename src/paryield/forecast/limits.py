"""Limits that a physical therapist set, for the weeks ahead."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.forecast.once import club_of, own_frame
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR

FLOATS = npt.NDArray[np.float64]


def limit_hours(tables: Tables, golfer_id: str, names: Sequence[str], as_of: date, weeks: int) -> FLOATS:
    """Most weekly hours of each category that the limits allow at any time of the weeks after a day.

    Parameters
    ----------
    tables : Tables
    golfer_id : str
    names : sequence of str
        Categories.
    as_of : date
        The day before the first one looked at.
    weeks : int

    Returns
    -------
    array, shape (J,)
        Hours; infinite where there is no limit.
    """
    limits = own_frame(club_of(tables), "limits", golfer_id)
    if limits.empty:
        return np.full(len(names), math.inf)
    first, last = pd.Timestamp(as_of + timedelta(days=1)), pd.Timestamp(as_of + timedelta(days=7 * weeks))
    running = limits[
        (limits["starts_on"] <= last) & (limits["ends_on"].isna() | (limits["ends_on"] >= first))
    ]
    least = running.groupby("category")["most_minutes_per_week"].min()
    return np.array([float(least.get(name, math.inf)) / MINUTES_PER_HOUR for name in names])

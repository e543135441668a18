"""Who is still a member on a day."""

from __future__ import annotations

from datetime import date

import pandas as pd

from paryield.tables.frames import Tables


def departed(tables: Tables, day: date) -> dict[str, date]:
    """Return the golfers who had left the club by a day, with the day on which they left."""
    people = tables.golfers
    gone = people[(people["left_on"] <= pd.Timestamp(day)).fillna(False)]
    return {
        str(golfer): pd.Timestamp(left).date()
        for golfer, left in zip(gone["golfer_id"], gone["left_on"], strict=True)
    }

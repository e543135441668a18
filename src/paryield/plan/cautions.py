"""Cautions that stand next to every plan and every return, and jumps in load stated as facts.

The rules behind them are common practice without a published source, except that federations publish
their own guidance for juniors, which is the one to follow.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.forecast.once import club_of, own_entries, people
from paryield.plan.phases import is_full_swing, is_strength
from paryield.tables import Category, Tables
from paryield.units import MINUTES_PER_HOUR

STANDING_CAUTIONS: tuple[str, ...] = (
    "Stop when something hurts, and see a licensed medical or physical-therapy professional.",
    "Strength and mobility work is done as a qualified professional has set it.",
    "A junior's hours are for the coach and the parents to agree; follow the local federation's guidance.",
    "No heavy strength work on the day before a competition round in season.",
)
"""Shown with every plan and every return, in this order."""

JUMP = 1.3
LEAST_JUMP_MINUTES = 15.0
"""A rise of weekly minutes by more than this factor and amount over the last 4 weeks is stated. Published
thresholds for such ratios are contested (0.8-1.3, Gabbett 2016, from memory), so it is a fact, not a
probability of injury. [judgement]"""
RECENT_DAYS = 28


def cautions_of(
    tables: Tables, golfer_id: str, categories: Sequence[Category], hours: FLOATS, as_of: int
) -> tuple[str, ...]:
    """Return the standing cautions and the jumps of a planned week.

    Parameters
    ----------
    tables : Tables
    golfer_id : str
    categories : sequence of Category
    hours : array, shape (J,)
        Planned hours a week.
    as_of : int
        Last day of the data, days since 1970-01-01.
    """
    return (*STANDING_CAUTIONS, *jumps(tables, golfer_id, categories, hours, as_of))


def jumps(
    tables: Tables, golfer_id: str, categories: Sequence[Category], hours: FLOATS, as_of: int
) -> tuple[str, ...]:
    """Say where full swings or strength rise above the weekly mean of the last 4 weeks."""
    found = []
    kinds = {"Full swings": is_full_swing, "Strength work": is_strength}
    recent = recent_minutes(
        tables,
        golfer_id,
        {
            what: [category.name for category in tables.categories if belongs(category)]
            for what, belongs in kinds.items()
        },
        as_of,
    )
    for what, belongs in kinds.items():
        chosen = [place for place, category in enumerate(categories) if belongs(category)]
        planned = float(sum(hours[place] for place in chosen)) * MINUTES_PER_HOUR
        if planned <= 0:
            continue
        if recent is None:
            found.append(f"{what}: {planned:.0f} minutes a week planned; the last 4 weeks are not known.")
            continue
        before = recent[what]
        if planned > JUMP * before and planned - before > LEAST_JUMP_MINUTES:
            found.append(
                f"{what}: {planned:.0f} minutes a week planned, {before:.0f} on average in the last 4 weeks; "
                "a fact to weigh, not a forecast of injury."
            )
    return tuple(found)


def recent_minutes(
    tables: Tables, golfer_id: str, kinds: Mapping[str, Sequence[str]], as_of: int
) -> dict[str, float] | None:
    """Mean weekly minutes of each kind of category in the last 4 weeks; None without any entry."""
    every = own_entries(tables, golfer_id)
    late = (every.day > as_of - RECENT_DAYS) & (every.day <= as_of)
    mine = every.rows(late & (every.state != "unknown"))
    complete = people(club_of(tables)).get(golfer_id, {}).get("diary_complete")
    if not len(mine.day) and (pd.isna(complete) or not complete):
        return None
    return {
        kind: float(np.nansum(mine.minutes[np.isin(mine.category, list(names))])) * 7.0 / RECENT_DAYS
        for kind, names in kinds.items()
    }

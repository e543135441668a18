"""Plans keep to their ceilings: the limits of the golfer and the most hours of a week."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from paryield.arrays import BOOLS, FLOATS, INTS
from paryield.tables.categories import Category
from paryield.tables.frames import Tables
from paryield.tables.loaded import Loaded, with_known


def check_ceilings(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    """Note every plan that passes a limit or the golfer's most weekly hours.

    Parameters are those of :func:`paryield.tables.cross.check_between`.
    """
    _plans_keep_to_limits(loaded, categories, known)
    _plans_keep_to_hours(loaded, categories, known)


def filled_minutes(frame: pd.DataFrame, minutes: str, reps: str, categories: tuple[Category, ...]) -> FLOATS:
    """Return minutes, with blanks filled from reps at the category's pace; NaN where neither tells."""
    pace = {category.name: category.minutes_per_100_reps for category in categories}
    per_rep = frame["category"].map(pace).to_numpy(dtype=float, na_value=np.nan) / 100.0
    given = frame[minutes].to_numpy(dtype=float, na_value=np.nan)
    return np.where(np.isnan(given), frame[reps].to_numpy(dtype=float, na_value=np.nan) * per_rep, given)


def _plans_keep_to_limits(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    plans, limits = loaded["plans"], with_known(loaded["limits"], known)
    if plans.frame.empty or limits.empty:
        return
    planned = plans.frame.assign(row=np.arange(len(plans.frame)))
    planned["minutes"] = filled_minutes(plans.frame, "minutes_per_week", "reps_per_week", categories)
    pairs = planned.merge(limits, on=["golfer_id", "category"], suffixes=("", "_limit"))
    ends = pairs["ends_on_limit"].fillna(pd.Timestamp.max.as_unit("ns"))
    meet = (pairs["starts_on"] <= ends) & (pairs["ends_on"] >= pairs["starts_on_limit"])
    over = pairs[meet & (pairs["minutes"] > pairs["most_minutes_per_week"])]
    allowed = over.groupby("row")["most_minutes_per_week"].min()
    column = "minutes_per_week"
    plans.flag(
        _mask(len(plans.frame), allowed.index.to_numpy()),
        column,
        lambda row: f"passes the golfer's limit of {allowed[row]:g} minutes a week for this category",
        "plan no more than the limit, or ask whoever set it",
        found=lambda row: f"{planned['minutes'].iloc[row]:g} minutes",
    )


def _plans_keep_to_hours(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    plans = loaded["plans"]
    golfers = with_known(loaded["golfers"], known)
    if plans.frame.empty or golfers.empty:
        return
    ceiling = plans.frame["golfer_id"].map(golfers.set_index("golfer_id")["most_weekly_hours"])
    minutes = pd.Series(filled_minutes(plans.frame, "minutes_per_week", "reps_per_week", categories)).fillna(
        0
    )
    total = np.zeros(len(plans.frame))
    for _, rows in plans.frame.groupby(["plan", "golfer_id"]).indices.items():
        part = plans.frame.iloc[rows]
        starts, ends = part["starts_on"].to_numpy(), part["ends_on"].to_numpy()
        running = (starts[None, :] <= starts[:, None]) & (ends[None, :] >= starts[:, None])
        total[rows] = running @ minutes.iloc[rows].to_numpy()
    over = total > 60 * ceiling.to_numpy(dtype=float, na_value=np.nan) + 1e-9
    plans.flag_once(
        over & ~plans.bad,
        ["plan", "golfer_id"],
        "minutes_per_week",
        lambda row: (
            f"the plan takes {total[row] / 60:.1f} hours a week, most_weekly_hours is {ceiling.iloc[row]:g}"
        ),
        "plan fewer minutes, or raise the golfer's most_weekly_hours",
    )


def _mask(length: int, rows: INTS) -> BOOLS:
    mask = np.zeros(length, dtype=bool)
    mask[rows] = True
    return mask

"""Dated events: lessons, injuries and illness, new equipment and swing changes, as steps with weak priors."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.diary import days_since_epoch
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Term, Values

MOST_LESSONS = 6
"""Lessons beyond which another one is not counted: what it gives is in the trend by then. [judgement]"""
USUAL_DAYS, FADING_DAYS = 28.0, 28.0
"""Days for which an injury without an end is taken to last, and in which one still open fades ahead.
[judgement]"""


class Events(Term):
    """``-lesson_gain x lessons so far + ailing x (1 while hurt or ill) + changed x (1 after a change)``."""

    name, part, label = "events", "events", "lessons, injuries and changes of equipment or swing"
    kept = "events_now"
    values = (
        Value(
            "lesson_gain",
            Normal(
                Constant("lesson_gain_mean", 0.1, "strokes", source="a lesson, for good"),
                Constant("lesson_gain_sd", 0.3, "strokes"),
            ),
            "strokes that a lesson gives",
            label="what a lesson gives",
        ),
        Value(
            "ailing",
            Normal(
                Constant("ailing_mean", 0.5, "strokes", source="while an injury or illness lasts"),
                Constant("ailing_sd", 1.0, "strokes"),
            ),
            "strokes lost while hurt or ill",
            label="being hurt or ill",
        ),
        Value(
            "changed",
            Normal(0.0, Constant("changed_sd", 0.6, "strokes", source="new equipment or a changed swing")),
            "strokes lost after a change of equipment or swing",
            label="a change of equipment or swing",
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Lessons so far, whether hurt or ill, whether changed, shape (3, T)."""
        out = np.zeros((3, len(at.day)))
        if at.tables is None or at.tables.events.empty:
            return out
        events = at.tables.events.dropna(subset=["happened_on", "kind"])
        events = events.assign(on=days_since_epoch(events["happened_on"]))
        # What lies after the last day of the data is not known yet.
        events = events[events["on"] <= at.as_of]
        for golfer, own in events.groupby("golfer_id", sort=True):
            mine = np.flatnonzero(at.golfer == golfer)
            if len(mine):
                out[:, mine] = _steps(own, np.asarray(at.day, dtype=float)[mine])
        return out

    def ahead(self, at: Moments) -> FLOATS:
        """Lessons and changes stay; an injury that is open on the last day fades."""
        stays = super().ahead(at)
        if len(stays) == 3:
            stays[1] *= np.exp(-np.maximum(at.day - at.as_of, 0.0) / FADING_DAYS)
        return stays

    def weights(self, p: Values, xp: Any) -> Any:
        """Lessons take strokes away, the others add them."""
        return xp.stack([-p["lesson_gain"], p["ailing"], p["changed"]], axis=-1)


def _steps(events: pd.DataFrame, day: FLOATS) -> FLOATS:
    """Columns of one golfer's events on days, shape (3, T)."""
    on, kind = events["on"].to_numpy(float), events["kind"].to_numpy(object)
    ends = events["until"]
    last = np.where(ends.notna(), _days(ends), on + USUAL_DAYS)
    after = day[None, :] >= on[:, None]
    lessons = after[kind == "lesson"].sum(axis=0)
    ill = np.isin(kind, ["injury", "illness"])
    hurt = (after & (day[None, :] <= last[:, None]))[ill].any(axis=0)
    changed = after[np.isin(kind, ["equipment", "swing_change"])].any(axis=0)
    return np.stack([np.minimum(lessons, MOST_LESSONS), hurt, changed]).astype(float)


def _days(dates: pd.Series) -> FLOATS:
    filled = pd.to_datetime(dates).fillna(pd.Timestamp("1970-01-01"))
    return days_since_epoch(filled).astype(float)

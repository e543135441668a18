"""Reasons to look at a golfer that lie in the records since the fit."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from paryield.posterior import Posterior
from paryield.report.attention import AFTER_ALL, Reason
from paryield.report.views import GolferView
from paryield.report.words import day
from paryield.tables import Tables

REVIEW_WEEKS = 6
"""A review every 4 to 6 weeks (common practice, no source)."""


def more_reasons(tables: Tables, posterior: Posterior | None, view: GolferView) -> list[Reason]:
    """Return what is new since the fit, and whether a review is due."""
    found = [_new_rounds(tables, posterior, view), _review(tables, view)]
    return [Reason(AFTER_ALL + rank, text) for rank, text in enumerate(found, 1) if text]


def _new_rounds(tables: Tables, posterior: Posterior | None, view: GolferView) -> str:
    if posterior is None:
        return ""
    mine = tables.rounds[tables.rounds["golfer_id"] == view.golfer_id]
    seen = int(posterior.constant("rounds_seen")[posterior.golfer_number(view.golfer_id)])
    later = int((mine["played_on"] > pd.Timestamp(view.as_of)).sum())
    count = max(later, len(view.rounds) - seen)
    if count <= 0:
        return ""
    return (
        f"new data: {count} round{'' if count == 1 else 's'} since the fit; fit again to use {_them(count)}"
    )


def _them(count: int) -> str:
    return "it" if count == 1 else "them"


def _review(tables: Tables, view: GolferView) -> str:
    mine = tables.assessments[tables.assessments["golfer_id"] == view.golfer_id]
    if mine.empty:
        return ""
    last: Any = mine["assessed_on"].max()
    latest: date = last.date()
    weeks = (view.as_of - latest).days / 7
    return f"review due: last assessed on {day(latest)}" if weeks > REVIEW_WEEKS else ""

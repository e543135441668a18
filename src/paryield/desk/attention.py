"""Reasons to look at a golfer that lie in his records."""

from __future__ import annotations

from datetime import date
from typing import Any

from paryield.forecast.current import strain
from paryield.forecast.weights import MOST_K
from paryield.posterior import Posterior
from paryield.report.attention import AFTER_ALL, Reason
from paryield.report.views import Listed
from paryield.report.words import day
from paryield.tables import Tables

REVIEW_WEEKS = 6
"""A review every 4 to 6 weeks (common practice, no source)."""


def more_reasons(tables: Tables, posterior: Posterior | None, view: Listed) -> list[Reason]:
    """Return whether his rows strain the fit, and whether a review is due."""
    if view.left is not None:
        return []
    found = [_strained(posterior, view), _review(tables, view)]
    return [Reason(AFTER_ALL + rank, text) for rank, text in enumerate(found, 1) if text]


def _strained(posterior: Posterior | None, view: Listed) -> str:
    if posterior is None or strain(posterior, view.golfer_id) <= MOST_K:
        return ""
    return "the rows since the fit lie far from what it foresaw; a new fit would tell more"


def _review(tables: Tables, view: Listed) -> str:
    mine = tables.assessments[tables.assessments["golfer_id"] == view.golfer_id]
    if mine.empty:
        return ""
    last: Any = mine["assessed_on"].max()
    latest: date = last.date()
    weeks = (view.as_of - latest).days / 7
    return f"review due: last test on {day(latest)}" if weeks > REVIEW_WEEKS else ""

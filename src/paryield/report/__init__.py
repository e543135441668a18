"""Figures, sentences and pages: they take plain tables, show them, and compute nothing."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from paryield.report.views import CoachView, Goal, GolferView, Health, RunFacts

if TYPE_CHECKING:
    from paryield.report.html import coach_page, golfer_page

__all__ = ["CoachView", "Goal", "GolferView", "Health", "RunFacts", "coach_page", "golfer_page"]


def __getattr__(name: str) -> Any:
    if name in ("coach_page", "golfer_page"):  # late: an answer in a terminal needs no figures
        return getattr(import_module("paryield.report.html"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

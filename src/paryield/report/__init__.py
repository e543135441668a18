"""Figures, sentences and pages: they take plain tables, show them, and compute nothing."""

from typing import TYPE_CHECKING

from paryield import loaded_later

if TYPE_CHECKING:
    from paryield.report.html import coach_page, golfer_page
    from paryield.report.views import CoachView, Goal, GolferView, Health, RunFacts

__all__ = ["CoachView", "Goal", "GolferView", "Health", "RunFacts", "coach_page", "golfer_page"]

__getattr__ = loaded_later(
    __name__,
    {
        "html": ("coach_page", "golfer_page"),
        "views": ("CoachView", "Goal", "GolferView", "Health", "RunFacts"),
    },
)

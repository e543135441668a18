"""Figures, sentences and pages: they take plain tables, show them, and compute nothing."""

from paryield.report.html import coach_page, golfer_page
from paryield.report.views import CoachView, Goal, GolferView, Health, RunFacts

__all__ = ["CoachView", "Goal", "GolferView", "Health", "RunFacts", "coach_page", "golfer_page"]

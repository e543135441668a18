"""Figures that take tables and compute nothing; each returns a matplotlib Figure."""

from paryield.report.figures.club import club_overview
from paryield.report.figures.fan import forecast_fan
from paryield.report.figures.practice import returns_dots, week_dots
from paryield.report.figures.strokes import area_dots, split_dots

__all__ = [
    "area_dots",
    "club_overview",
    "forecast_fan",
    "returns_dots",
    "split_dots",
    "week_dots",
]

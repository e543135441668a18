"""Figures that take tables and compute nothing; each returns a matplotlib Figure."""

from paryield.report.figures.areas import area_dots
from paryield.report.figures.fan import forecast_fan
from paryield.report.figures.overview import club_overview
from paryield.report.figures.returns import returns_dots
from paryield.report.figures.split import split_dots
from paryield.report.figures.week import week_dots

__all__ = [
    "area_dots",
    "club_overview",
    "forecast_fan",
    "returns_dots",
    "split_dots",
    "week_dots",
]

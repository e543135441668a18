"""Draws + plan -> rounds -> index paths; chances and goals."""

from paryield.forecast.ahead import Ahead, look_ahead
from paryield.forecast.answer import Forecast, forecast, forecast_tables
from paryield.forecast.areas import AreaStrokes, area_now, areas, areas_fit
from paryield.forecast.gate import gate
from paryield.forecast.goals import Goals, goals, goals_tables
from paryield.forecast.habits import habit_hours, plan_hours
from paryield.forecast.outlook import GolferDraws, golfer_draws, steady_path
from paryield.forecast.what_if import Scene, WhatIf, make_scene, what_if

__all__ = [
    "Ahead",
    "AreaStrokes",
    "Forecast",
    "Goals",
    "GolferDraws",
    "Scene",
    "WhatIf",
    "area_now",
    "areas",
    "areas_fit",
    "forecast",
    "forecast_tables",
    "gate",
    "goals",
    "goals_tables",
    "golfer_draws",
    "habit_hours",
    "look_ahead",
    "make_scene",
    "plan_hours",
    "steady_path",
    "what_if",
]

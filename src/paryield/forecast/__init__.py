"""Draws + plan -> rounds -> index paths; chances and goals."""

from paryield.forecast.answer import Ahead, Forecast, forecast, forecast_tables, gate, look_ahead
from paryield.forecast.habits import habit_hours, plan_hours
from paryield.forecast.outlook import GolferDraws, golfer_draws, steady_path

__all__ = [
    "Ahead",
    "Forecast",
    "GolferDraws",
    "forecast",
    "forecast_tables",
    "gate",
    "golfer_draws",
    "habit_hours",
    "look_ahead",
    "plan_hours",
    "steady_path",
]

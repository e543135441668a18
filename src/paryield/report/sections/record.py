"""The record and the forecast of the index."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.report import figures, sentences
from paryield.report.figures.style import Width
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import GolferView


def record_section(view: GolferView) -> Markup:
    """Return the rounds so far, the fan of the index to come, and its table."""
    title, said = sentences.forecast_title(view), " ".join(sentences.forecast_sentences(view))
    goal = None if view.goal is None else (view.goal.by, view.goal.goal)

    def draw(width: Width) -> Figure:
        return figures.forecast_fan(view.rounds, view.forecast, goal=goal, title=title, width=width)

    figure = both_widths("fan", said, draw)
    return part("record.html", figure=figure, steps=_steps(view), goal=goal, why=_why(view), long=view.long)


def _why(view: GolferView) -> list[str]:
    row = view.ahead("handicap_index")
    return [] if row is None or not row["reportable"] else sentences.because_sentences(row)


def _steps(view: GolferView) -> list[dict[str, Any]]:
    """Forecast rows of the printed table: index and level side by side, today left out."""
    given = view.forecast[view.forecast["reportable"] & (view.forecast["weeks"] > 0)]
    weeks = sorted({int(week) for week in given["weeks"]})
    shown = [week for week in weeks if week % 4 == 0 or week == view.weeks] or weeks
    found = []
    for week in shown:
        index, level = view.ahead("handicap_index", week), view.ahead("mean_differential", week)
        on = next(row["on"] for row in (index, level, view.ahead("score_differential", week)) if row)
        found.append({"weeks": week, "on": on, "index": index, "level": level})
    return found

"""Where the strokes are lost, by scoring area."""

from __future__ import annotations

from markupsafe import Markup

from paryield.report import area_words, figures
from paryield.report.frames import records
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import GolferView
from paryield.report.words import missing


def areas_section(view: GolferView) -> Markup:
    """Return strokes lost by area against golfers of the same index and of the goal index."""
    rows = records(view.areas)
    if not rows:
        return Markup("")
    findings = [area_words.area_sentence(row) for row in rows]
    title = area_words.areas_title(view.areas)
    figure = both_widths(
        "areas",
        " ".join(findings),
        lambda width: figures.area_dots(view.areas, title=title, width=width),
    )
    rests = area_words.evidence_sentence(rows[0])
    goal = None if missing(rows[0]["goal"]) else float(rows[0]["goal"])
    return part("areas.html", figure=figure, rows=rows, goal=goal, rests=rests, long=view.long)

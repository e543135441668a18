"""What was measured, what is assumed, and the health of the fit."""

from __future__ import annotations

from markupsafe import Markup

from paryield.report.rendering import part
from paryield.report.views import PageView


def evidence_section(view: PageView, *, explained: bool = True) -> Markup:
    """Return the counts behind the numbers; ``explained`` adds what the three evidence words mean."""
    if not (view.notes or view.health.lines or explained):
        return Markup("")
    return part("evidence.html", notes=view.notes, lines=view.health.lines, explained=explained)

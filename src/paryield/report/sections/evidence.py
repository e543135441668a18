"""What was measured, what is assumed, and the health of the fit."""

from __future__ import annotations

from markupsafe import Markup

from paryield.report.rendering import part
from paryield.report.views import GolferView, PageView


def evidence_section(view: PageView) -> Markup:
    """Return the counts behind the numbers of a page of many golfers, empty where there are none."""
    if not (view.notes or view.health.lines):
        return Markup("")
    return part("evidence.html", lines=[*view.notes, *view.health.lines])


def measured_section(view: GolferView) -> Markup:
    """Return the counts behind one golfer's numbers, and what the three evidence words mean.

    The numbers of the health gate are for the coach: a golfer's first screen says whether it was passed.
    """
    return part("measured.html", notes=view.notes, lines=view.health.lines if view.long else ())

"""Golfer: record and forecast, strokes by area, return by practice category."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.show import desk_of, page
from paryield.desk.state import Desk, Snapshot
from paryield.report import sections
from paryield.report.html import golfer_answers

router = APIRouter()


@dataclass(frozen=True)
class Parts:
    """The parts of a golfer's page, drawn once for each state of the club."""

    answers: list[tuple[str, list[str]]]
    sections: list[Markup]
    evidence: Markup


@router.get("/golfers/{name}.html")
def golfer_page(request: Request, name: str) -> Response:
    """Show one golfer."""
    desk = desk_of(request)
    snapshot = desk.snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    if golfer_id not in snapshot.fitted:
        return page(
            request, "golfer_unfitted.html", title=snapshot.name_of(golfer_id), name=name, golfer_id=golfer_id
        )
    parts = parts_of(desk, snapshot, golfer_id)
    view = desk.view(snapshot, golfer_id)
    return page(
        request,
        "golfer.html",
        title=view.name,
        name=name,
        view=view,
        answers=parts.answers,
        sections=parts.sections,
        evidence=parts.evidence,
    )


def parts_of(desk: Desk, snapshot: Snapshot, golfer_id: str) -> Parts:
    """Return the drawn parts of a golfer's page."""
    if golfer_id not in snapshot.parts:
        view = desk.view(snapshot, golfer_id)
        snapshot.parts[golfer_id] = Parts(
            golfer_answers(view),
            [section(view) for section in sections.GOLFER],
            sections.evidence_section(view),
        )
    found: Parts = snapshot.parts[golfer_id]
    return found

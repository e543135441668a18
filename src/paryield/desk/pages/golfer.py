"""Golfer: record and forecast, strokes by area, return by practice category."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.renewed import Parts
from paryield.desk.show import desk_of, page
from paryield.desk.state import Desk, Snapshot
from paryield.report import sections
from paryield.report.first_screen import first_screen

router = APIRouter()


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
        first=parts.first,
        folds=parts.folds,
    )


def parts_of(desk: Desk, snapshot: Snapshot, golfer_id: str) -> Parts:
    """Return the drawn parts of a golfer's page."""
    if golfer_id not in snapshot.parts:
        view = desk.view(snapshot, golfer_id)
        before = snapshot.renew.get(golfer_id)
        known = {} if before is None else before.folds()
        snapshot.parts[golfer_id] = Parts(first_screen(view), sections.golfer_folds(view, known))
    found: Parts = snapshot.parts[golfer_id]
    return found

"""Rounds: the latest of one golfer with score and differential, each to be corrected."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.rounds import LATEST, counting_of, latest_rounds
from paryield.desk.show import desk_of, page

router = APIRouter()


@router.get("/golfers/{name}/rounds")
def rounds_page(request: Request, name: str, every: str = "") -> Response:
    """List the latest rounds, or all of them."""
    snapshot = desk_of(request).snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    golfer, rounds = snapshot.name_of(golfer_id), snapshot.tables.rounds
    return page(
        request,
        "rounds.html",
        title=f"Rounds: {golfer}",
        name=name,
        golfer=golfer,
        rounds=latest_rounds(snapshot.tables, golfer_id, None if every else LATEST),
        counting=counting_of(snapshot.tables, golfer_id),
        count=int((rounds["golfer_id"] == golfer_id).sum()),
    )

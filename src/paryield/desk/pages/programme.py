"""Programme: the manager's page."""

from __future__ import annotations

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from paryield.desk.security import may
from paryield.desk.show import desk_of, page

router = APIRouter()


@router.get("/programme", dependencies=[Depends(may("see_programme"))])
def programme_page(request: Request) -> Response:
    """Show what the programmes did."""
    programmes = desk_of(request).snapshot().tables.programmes
    named = programmes.assign(outcome=programmes["outcome"].fillna("not said"))
    counts = named.groupby(["programme", "outcome"]).size().reset_index(name="golfers")
    rows = counts.to_dict("records")
    return page(request, "programme.html", title="Programme", rows=rows)

"""Programme: the manager's page, without names."""

from __future__ import annotations

import threading
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.desk.show import desk_of, page
from paryield.desk.state import Snapshot
from paryield.errors import InputError
from paryield.programme import programme_fit
from paryield.report.facility import programme_answers, without_coaches

router = APIRouter()
working = threading.Lock()


@router.get("/programme")
def programme_page(request: Request) -> Response:
    """Show what the programmes did; small groups stay hidden, as in the facility's report."""
    snapshot = desk_of(request).snapshot()
    with working:
        shown = programme_parts(snapshot)
    return page(request, "programme.html", title="Programme", **shown)


def programme_parts(snapshot: Snapshot) -> dict[str, Any]:
    """Return the parts of the page, worked out once for each state of the club."""
    if ("page", "programme") not in snapshot.parts:
        snapshot.parts["page", "programme"] = _answered(snapshot)
    found: dict[str, Any] = snapshot.parts["page", "programme"]
    return found


def _answered(snapshot: Snapshot) -> dict[str, Any]:
    nothing: dict[str, Any] = {"answers": [], "sections": [], "notes": (), "reason": ""}
    if snapshot.tables.programmes.empty or snapshot.posterior is None or snapshot.withheld:
        return nothing
    try:
        found = programme_fit(snapshot.tables, snapshot.posterior, banner=snapshot.banner)
    except InputError as error:
        return nothing | {"reason": error.line()}
    answers, sections = programme_answers(without_coaches(found.records))
    return {"answers": answers, "sections": sections, "notes": found.notes, "reason": ""}

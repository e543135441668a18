"""Audit: who saw and changed what, newest first."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.club import Accounts, Club
from paryield.club.opened import COMMAND_LINE
from paryield.desk.show import desk_of, page

router = APIRouter()
SHOWN, LAST = 200, 2**31


@router.get("/audit")
def audit_page(request: Request, before: int | None = None) -> Response:
    """Show a stretch of the audit trail; people stand under their names as long as they may sign in."""
    desk = desk_of(request)
    with Club.open(desk.where) as club:
        trail = club.audit()
        people = {person.who: person.name for person in Accounts(club).people()}
    people[COMMAND_LINE] = "owner of this computer"
    if before is not None:
        trail = trail[trail["audit_no"] < max(min(before, LAST), 0)]
    lines = trail.iloc[::-1].head(SHOWN).fillna({"mark": ""}).to_dict("records")
    older = int(lines[-1]["audit_no"]) if len(trail) > SHOWN else None
    return page(request, "audit.html", title="Audit", lines=lines, people=people, older=older)

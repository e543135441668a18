"""Club: everyone at a glance, those who need attention first."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.desk.attention import more_reasons
from paryield.desk.guard import visitor_of
from paryield.desk.show import desk_of, page
from paryield.desk.state import Desk, Snapshot
from paryield.report import sections, sentences
from paryield.report.attention import Reason, by_attention, pressing
from paryield.report.views import GolferView
from paryield.report.write import coach_view

router = APIRouter()
WAIT_SECONDS = 2


@router.get("/golfers/")
def club_page(request: Request) -> Response:
    """Show the whole club."""
    desk = desk_of(request)
    snapshot = desk.snapshot()
    own = visitor_of(request).own(snapshot)
    fitted = [golfer for golfer in snapshot.fitted if golfer in own]
    views = [snapshot.views[golfer] for golfer in fitted if golfer in snapshot.views]
    waiting = [golfer for golfer in fitted if golfer not in snapshot.views and golfer not in snapshot.failed]
    if waiting and not desk.warms:
        views = [desk.view(snapshot, golfer) for golfer in fitted]
        waiting = []
    shown = [] if waiting else _ordered(snapshot, views)
    now, later = pressing(shown)
    return page(
        request,
        "club.html",
        title="Club",
        refresh=bool(waiting),
        plain_refresh=WAIT_SECONDS if waiting else None,
        ready=len(views),
        count=len(fitted),
        own=own,
        fitted=fitted,
        ordered=shown,
        waiting=now,
        later=later,
        trust=sentences.trust_sentences(views[0].health, views[0].run) if views else [],
        golfers=sections.golfers_section(shown, views[0].weeks) if shown else "",
        overview=_overview(desk, snapshot, views) if shown else [],
        unfitted=[golfer for golfer in own if golfer not in fitted or golfer in snapshot.failed],
    )


def _ordered(snapshot: Snapshot, views: list[GolferView]) -> list[tuple[GolferView, list[Reason]]]:
    """Return the golfers with all reasons to look at them, most pressing first."""
    found = []
    for view, reasons in by_attention(views):
        more = more_reasons(snapshot.tables, snapshot.posterior, view)
        found.append((view, [*reasons, *more]))
    return found


def _overview(desk: Desk, snapshot: Snapshot, views: list[GolferView]) -> list[object]:
    key = f"overview {[view.golfer_id for view in views]}"
    if key not in snapshot.parts:
        whole = coach_view(tuple(views))
        snapshot.parts[key] = [section(whole) for section in sections.COACH]
    found: list[object] = snapshot.parts[key]
    return found

"""Club: everyone at a glance, those who need attention first."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from paryield.desk.attention import more_reasons
from paryield.desk.guard import visitor_of
from paryield.desk.show import desk_of, page
from paryield.desk.state import Snapshot
from paryield.report import sections, sentences
from paryield.report.attention import Reason, by_attention, pressing, said_of_all
from paryield.report.glance import Glance
from paryield.report.views import Listed
from paryield.report.words import by_name
from paryield.report.write import coach_view

router = APIRouter()
WAIT_SECONDS = 2


@router.get("/golfers/")
def club_page(request: Request) -> Response:
    """Show the whole club; while golfers are worked out, those who are ready."""
    desk = desk_of(request)
    snapshot = desk.snapshot()
    own = dict(sorted(visitor_of(request).own(snapshot).items(), key=lambda one: by_name(one[1])))
    fitted = [golfer for golfer in own if golfer in snapshot.fitted]
    views = [snapshot.glances[golfer] for golfer in fitted if golfer in snapshot.glances]
    waiting = [
        golfer for golfer in fitted if golfer not in snapshot.glances and golfer not in snapshot.failed
    ]
    if waiting and not desk.warms:
        views = [desk.glance(snapshot, golfer) for golfer in fitted]
        waiting = []
    shown = _ordered(snapshot, views) if views else []
    now, later = pressing(shown)
    return page(
        request,
        "club.html",
        title="Club",
        refresh=bool(waiting),
        plain_refresh=WAIT_SECONDS if waiting else None,
        ready=len(views),
        count=len(views),
        in_all=len(fitted),
        to_come=waiting,
        own=own,
        weeks_old=snapshot.weeks_old(),
        fitted=fitted,
        ordered=shown,
        waiting=now,
        later=later,
        of_all=[] if waiting else said_of_all(shown),
        trust=sentences.trust_sentences(views[0].health, views[0].run) if views else [],
        golfers=_once(snapshot, "list", views, lambda: sections.golfers_section(shown, views[0].weeks))
        if shown
        else "",
        overview=_drawn(snapshot, views) if shown and not waiting else [],
        unfitted=[golfer for golfer in own if golfer not in fitted or golfer in snapshot.failed],
    )


def _ordered(snapshot: Snapshot, views: list[Glance]) -> list[tuple[Listed, list[Reason]]]:
    """Return the golfers with all reasons to look at them, most pressing first."""

    def found() -> list[tuple[Listed, list[Reason]]]:
        return by_attention(views, partial(more_reasons, snapshot.tables, snapshot.posterior))

    return _once(snapshot, "ordered", views, found)


def _overview(views: list[Glance]) -> list[Markup]:
    whole = coach_view(tuple(views))
    return [section(whole) for section in sections.COACH]


def _drawn(snapshot: Snapshot, views: list[Glance]) -> list[Markup]:
    """Return the picture of all golfers, drawn once for what it shows."""
    shown = [(one.golfer_id, one.name, one.index_now, one.ahead("handicap_index")) for one in views]
    key = ("overview", repr(shown))
    if key not in snapshot.parts:
        for old in list(snapshot.parts):  # other threads may put parts there meanwhile
            if old[0] == "overview":
                snapshot.parts.pop(old, None)
        snapshot.parts[key] = _overview(views)
    found: list[Markup] = snapshot.parts[key]
    return found


def _once[T](snapshot: Snapshot, name: str, views: list[Glance], make: Callable[[], T]) -> T:
    """Draw a part of the page once for a state of the club and the golfers on it."""
    key = f"{name} {[view.golfer_id for view in views]}"
    if key not in snapshot.parts:
        snapshot.parts[key] = make()
    found: T = snapshot.parts[key]
    return found

"""My week: one card with the sessions to tick; what is ticked goes on record."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.desk.entries import problems_of, store_rows
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.errors import InputError
from paryield.plan import STANDING_CAUTIONS
from paryield.report.pdf import pdf
from paryield.report.reader import written_for
from paryield.report.week_card import NOTHING, WeekCard, current_week, week_calendar, week_card, week_page
from paryield.results import Problem
from paryield.tables import Tables

router = APIRouter()


@router.get("/golfers/{name}/week")
def card_page(request: Request, name: str, done: str = "") -> Response:
    """Show the card."""
    stored = int(done) if done.isdigit() and len(done) < 4 else 0
    return _shown(request, name, (), stored=stored)


@router.post("/golfers/{name}/week")
def tick(request: Request, name: str, form: Sent) -> Response:
    """Put the ticked sessions on record: on their day, or today where that lies ahead."""
    golfer_id, card = _card(request, name)
    rows = [
        {
            "golfer_id": golfer_id,
            "practised_on": min(session.on, date.today()).isoformat(),
            "category": session.category,
            "minutes": str(session.minutes),
        }
        for place, session in enumerate(card.sessions)
        if form.get(f"done-{place}") and not session.done
    ]
    if not rows:
        nothing = Problem("", None, None, "", "nothing is ticked", "tick what was done")
        return _shown(request, name, (nothing,), status=400)
    try:
        store_rows(desk_of(request), "practice", rows, who=visitor_of(request).who)
    except InputError as error:
        return _shown(request, name, problems_of(error), status=400)
    return RedirectResponse(f"/golfers/{name}/week?done={len(rows)}", 303)


@router.get("/golfers/{name}/week.ics")
def card_file(request: Request, name: str) -> Response:
    """Return the sessions for a calendar."""
    _, card = _card(request, name)
    headers = {"Content-Disposition": 'attachment; filename="my-week.ics"'}
    return Response(week_calendar(card, name), media_type="text/calendar; charset=utf-8", headers=headers)


@router.get("/golfers/{name}/week.pdf")
def card_paper(request: Request, name: str) -> Response:
    """Return the card for a pocket: A6, with boxes to tick by hand."""
    _, card = _card(request, name)
    headers = {"Content-Disposition": 'attachment; filename="my-week.pdf"'}
    with written_for(desk_of(request).snapshot().tables.settings):
        page = week_page(card)
    return Response(pdf([page]), media_type="application/pdf", headers=headers)


def _card(request: Request, name: str) -> tuple[str, WeekCard]:
    desk = desk_of(request)
    snapshot = desk.snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    if golfer_id not in snapshot.fitted:
        return golfer_id, WeekCard(snapshot.name_of(golfer_id), "", "", ())
    view = desk.view(snapshot, golfer_id)
    begins = current_week(view.as_of, date.today())
    return golfer_id, week_card(view, begins, _practised(snapshot.tables, golfer_id, begins))


def _practised(tables: Tables, golfer_id: str, begins: date) -> dict[str, int]:
    """Return a golfer's entries in a week by category."""
    rows = tables.practice
    first, last = pd.Timestamp(begins), pd.Timestamp(begins + timedelta(days=6))
    own = (rows["golfer_id"] == golfer_id) & (rows["state"] == "done")
    mine = rows[own & rows["practised_on"].between(first, last)]
    return {str(name): int(count) for name, count in mine["category"].value_counts().items()}


def _shown(
    request: Request, name: str, problems: tuple[Problem, ...], *, stored: int = 0, status: int = 200
) -> Response:
    _, card = _card(request, name)
    shown = {"name": name, "card": card, "problems": problems, "stored": stored}
    shown |= {"nothing": NOTHING, "caution": STANDING_CAUTIONS[0]}
    return page(request, "week.html", status=status, title=f"My week: {card.name}", **shown)

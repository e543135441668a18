"""My week: one card with the sessions to tick; what is ticked goes on record."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

import pandas as pd
from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.desk.entries import problems_of, store_rows
from paryield.desk.group import next_entry
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.errors import InputError
from paryield.plan import STANDING_CAUTIONS
from paryield.report.pdf import pdf
from paryield.report.reader import written_for
from paryield.report.week_card import (
    NOTHING,
    Entry,
    Session,
    WeekCard,
    current_week,
    week_calendar,
    week_card,
    week_page,
)
from paryield.report.words import by_name, missing
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
    marks = [str(mark) for mark in form.getlist("done")]
    if not marks:
        nothing = Problem("", None, None, "", "nothing is ticked", "tick what was done")
        return _shown(request, name, (nothing,), status=400)
    open_to = {mark: session for mark, session in card.marked().items() if not session.done}
    if not open_to.keys() >= set(marks):
        other = Problem("", None, None, "", "the week has changed since this page was opened", "tick again")
        return _shown(request, name, (other,), status=400)
    rows = _rows(desk_of(request).snapshot().tables, golfer_id, [open_to[mark] for mark in marks])
    try:
        store_rows(desk_of(request), "practice", rows, who=visitor_of(request).who)
    except InputError as error:
        return _shown(request, name, problems_of(error), status=400)
    return RedirectResponse(f"/golfers/{name}/week?done={len(rows)}", 303)


@router.get("/golfers/{name}/week.ics")
def card_file(request: Request, name: str) -> Response:
    """Return the sessions for a calendar."""
    _, card = _card(request, name)
    headers = {"Content-Disposition": f'attachment; filename="{_called(card)}.ics"'}
    return Response(week_calendar(card, name), media_type="text/calendar; charset=utf-8", headers=headers)


@router.get("/golfers/{name}/week.pdf")
def card_paper(request: Request, name: str) -> Response:
    """Return the card for a pocket: A6, with boxes to tick by hand."""
    _, card = _card(request, name)
    headers = {"Content-Disposition": f'attachment; filename="{_called(card)}.pdf"'}
    with written_for(desk_of(request).snapshot().tables.settings):
        page = week_page(card)
    return Response(pdf([page]), media_type="application/pdf", headers=headers)


def _called(card: WeekCard) -> str:
    """Return what a file of the card is called: whose week, and the day on which it begins."""
    who = re.sub(r"[^a-z0-9]+", "-", by_name(card.name)).strip("-") or "golfer"
    first = min((session.on for session in card.sessions), default=date.today())
    return f"week-{who}-{first.isoformat()}"


def _card(request: Request, name: str) -> tuple[str, WeekCard]:
    desk = desk_of(request)
    snapshot = desk.snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    if golfer_id not in snapshot.fitted:
        return golfer_id, WeekCard(snapshot.name_of(golfer_id), "", "", ())
    # The week that was ticked stays on the page until another one is worked out: nobody waits for that here.
    view = snapshot.views.get(golfer_id) or snapshot.cards.get(golfer_id) or desk.view(snapshot, golfer_id)
    begins = current_week(view.as_of, date.today())
    return golfer_id, week_card(view, begins, _practised(snapshot.tables, golfer_id, begins))


def _rows(tables: Tables, golfer_id: str, sessions: Sequence[Session]) -> list[dict[str, str]]:
    """Return rows of the diary for sessions; of several of a kind on one day each has a number of its own."""
    rows: list[dict[str, str]] = []
    for session in sessions:
        day = min(session.on, date.today()).isoformat()
        same = {"golfer_id": golfer_id, "practised_on": day, "category": session.category}
        held = next_entry(tables, golfer_id, day, session.category)
        before = sum(same.items() <= row.items() for row in rows)
        counted = {} if session.reps is None else {"reps": str(session.reps)}
        rows.append(same | {"minutes": str(session.minutes), "entry_no": str(held + before)} | counted)
    return rows


def _practised(tables: Tables, golfer_id: str, begins: date) -> dict[str, list[Entry]]:
    """Return a golfer's entries in a week by category, in the order of their days."""
    rows = tables.practice
    first, last = pd.Timestamp(begins), pd.Timestamp(begins + timedelta(days=6))
    own = (rows["golfer_id"] == golfer_id) & (rows["state"] == "done")
    mine = rows[own & rows["practised_on"].between(first, last)].sort_values("practised_on", kind="stable")
    found: dict[str, list[Entry]] = {}
    for day, name, *much in mine[["practised_on", "category", "minutes", "reps"]].itertuples(index=False):
        minutes, balls = (None if missing(one) else float(one) for one in much)
        found.setdefault(str(name), []).append(Entry(day.date(), minutes, balls))
    return found


def _shown(
    request: Request, name: str, problems: tuple[Problem, ...], *, stored: int = 0, status: int = 200
) -> Response:
    _, card = _card(request, name)
    shown = {"name": name, "card": card, "problems": problems, "stored": stored}
    shown["ahead"] = any(one.on > date.today() and not one.done for one in card.sessions)
    shown |= {"nothing": NOTHING, "caution": STANDING_CAUTIONS[0]}
    return page(request, "week.html", status=status, title=f"My week: {card.name}", **shown)

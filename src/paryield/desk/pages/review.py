"""Since we last met: one golfer's review from a day that the reader chooses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from paryield.desk.show import fitted_golfer, page
from paryield.desk.state import Desk, Snapshot
from paryield.errors import InputError
from paryield.plan.review import review_tables
from paryield.report.sections import review_section
from paryield.report.views import GolferView
from paryield.report.words import day

router = APIRouter()
MONTH_DAYS = 30
"""Days back to which the link One month leads. [judgement]"""

USUAL = "The last six weeks"
"""Heading where no day is chosen: no meeting is on record, so none is spoken of."""


@dataclass(frozen=True)
class Span:
    """The days from which a review may begin, and the one from which it does."""

    first: date
    last: date
    since: date
    wrong: str = ""
    usual: bool = False


@router.get("/golfers/{name}/review")
def review_page(request: Request, name: str, since: str = "") -> Response:
    """Show the review from a day on; by default from the day that the golfer's page takes."""
    desk, snapshot, golfer_id = fitted_golfer(request, name)
    view = desk.view(snapshot, golfer_id)
    if view.review is None:
        raise InputError("nothing can be reviewed yet", remedy="log rounds and practice for some weeks")
    span = _span(snapshot, view, since.strip()[:20])
    heading = USUAL if span.usual else "Since we last met"
    return page(
        request,
        "review.html",
        status=400 if span.wrong else 200,
        title=f"{heading}: {view.name}",
        heading=heading,
        name=name,
        view=view,
        span=span,
        since=since.strip()[:20] if span.wrong else span.since.isoformat(),
        month=max(view.as_of - timedelta(days=MONTH_DAYS), span.first),
        content="" if span.wrong else _content(desk, snapshot, view, span.since),
    )


def _span(snapshot: Snapshot, view: GolferView, asked: str) -> Span:
    assert snapshot.posterior is not None
    assert view.review is not None
    posterior = snapshot.posterior
    begun = int(posterior.constant("starts")[posterior.golfer_number(view.golfer_id)])
    first, last = date(1970, 1, 1) + timedelta(days=begun), view.as_of - timedelta(days=1)
    usual = Span(first, last, view.review.since, usual=True)
    if not asked:
        return usual
    try:
        since = date.fromisoformat(asked)
    except ValueError:
        return replace(usual, wrong=f"{asked!r} is no day: choose one from {day(first)} to {day(last)}")
    if not first <= since <= last:
        return replace(
            usual, wrong=f"{day(since)} is not on record: choose a day from {day(first)} to {day(last)}"
        )
    return replace(usual, since=since, usual=since == usual.since)


def _content(desk: Desk, snapshot: Snapshot, view: GolferView, since: date) -> Markup:
    """Return the drawn review, worked out once for a state of the club and a day."""
    assert snapshot.posterior is not None
    assert view.review is not None
    key = ("review", f"{view.golfer_id} {since}")
    if key not in snapshot.parts:
        found = view.review
        if since != found.since:
            found = review_tables(snapshot.posterior, snapshot.tables, view.golfer_id, since=since)
        snapshot.parts[key] = review_section(replace(view, review=found))
    shown: Markup = snapshot.parts[key]
    return shown

"""Loads: how much everybody practises, and the limits that a physical therapist sets; no scores."""

from __future__ import annotations

from datetime import date
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.club.people import THERAPIST
from paryield.desk.entries import problems_of, store_rows
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.loads import limits_of, load_weeks
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.errors import InputError
from paryield.report.words import by_name
from paryield.results import Problem
from paryield.tables import events_of

router = APIRouter()
SET_BY = {THERAPIST: "physical therapist"}
SETS_LIMITS = "POST /loads/{name}/limit"
COLUMNS = ("category", "starts_on", "ends_on", "most_minutes_per_week", "note")


@router.get("/loads/")
def loads_page(request: Request) -> Response:
    """Show the last week's practice and the limits of the visitor's golfers."""
    snapshot = desk_of(request).snapshot()
    rows = [
        {
            "name": name,
            "address": f"/loads/{snapshot.page_of(golfer)}",
            "week": load_weeks(snapshot.tables, golfer, 1)[0],
            "limits": limits_of(snapshot.tables, golfer),
        }
        for golfer, name in sorted(visitor_of(request).own(snapshot).items(), key=lambda one: by_name(one[1]))
    ]
    return page(request, "loads.html", title="Loads", rows=rows)


@router.get("/loads/{name}.html")
def load_page(
    request: Request, name: str, category: str = "", starts_on: str = "", done: str = ""
) -> Response:
    """Show one golfer's practice week by week, the limits, and the form of a limit."""
    given = {"category": category[:100], "starts_on": starts_on[:20] or date.today().isoformat()}
    return _shown(request, name, given, (), done=done == "limit")


@router.post("/loads/{name}/limit")
def set_limit(request: Request, name: str, form: Sent) -> Response:
    """Store a limit; one of the same category and first day is replaced and stays in the history."""
    desk, visitor = desk_of(request), visitor_of(request)
    golfer_id = own_golfer(desk.snapshot(), visitor, name)
    given = {column: str(form.get(column, "")).strip() for column in COLUMNS}
    row = {column: value for column, value in given.items() if value}
    row |= {"golfer_id": golfer_id, "set_by": SET_BY.get(visitor.role, "coach")}
    try:
        store_rows(desk, "limits", [row], replace=True, who=visitor.who)
    except InputError as error:
        return _shown(request, name, given, problems_of(error), status=400)
    return RedirectResponse(f"/loads/{name}.html?done=limit", 303)


def _shown(
    request: Request,
    name: str,
    given: dict[str, str],
    problems: tuple[Problem, ...],
    *,
    done: bool = False,
    status: int = 200,
) -> Response:
    snapshot, visitor = desk_of(request).snapshot(), visitor_of(request)
    golfer_id = own_golfer(snapshot, visitor, name)
    limits = limits_of(snapshot.tables, golfer_id)
    return page(
        request,
        "load.html",
        status=status,
        title=f"Load: {snapshot.name_of(golfer_id)}",
        name=name,
        golfer=snapshot.name_of(golfer_id),
        weeks=load_weeks(snapshot.tables, golfer_id),
        limits=limits,
        events=events_of(snapshot.tables, golfer_id, health_notes=visitor.may(SETS_LIMITS)),
        given=_filled(given, limits) if not problems else given,
        problems=problems,
        done=done,
        categories=[category.name for category in snapshot.tables.categories],
    )


def _filled(given: dict[str, str], limits: list[Any]) -> dict[str, str]:
    """Return the values of the form: those of the limit that is to be changed, where one is named."""
    for one in limits:
        if one.category == given["category"] and one.starts_on.isoformat() == given["starts_on"]:
            return given | {
                "ends_on": one.ends_on.isoformat() if one.ends_on else "",
                "most_minutes_per_week": f"{one.minutes:g}",
                "note": one.note,
            }
    return given

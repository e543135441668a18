"""All pages: everything that the visitor may open, with what it is for."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.desk.guard import Visitor, visitor_of
from paryield.desk.show import desk_of, page
from paryield.report.words import by_name

router = APIRouter()
FEW = 12
"""Golfers up to whom each one's pages are listed here; beyond, the club's list leads to them."""


@dataclass(frozen=True)
class Place:
    """One page: its route, its title, and what it is for."""

    route: str
    title: str
    what: str

    def address(self, mark: str = "") -> str:
        """Return where it is, for a golfer's mark where it is a golfer's page."""
        return self.route.partition(" ")[2].replace("{name}", mark).replace("{kind}", "practice")


CLUB = (
    Place("GET /golfers/", "Club", "all golfers: who needs attention, index, forecast, goal and week"),
    Place(
        "GET /log", "Log", "a round (by hole too), a practice session, a test, an event; the latest changes"
    ),
    Place("GET /group", "Group", "a whole group's tests or practice, typed down a column"),
    Place("GET /bring-in", "Bring in", "spreadsheets, the club's own kind too"),
    Place("GET /programme", "Programme", "whether the programmes worked, without names"),
    Place("GET /programme/facility.html", "Programme report", "the same to hand on, as a page"),
    Place("GET /programme/facility.pdf", "Programme report, PDF", "the same on paper"),
    Place("GET /programme/facility.xlsx", "Workbook for the board", "its answers and numbers as sheets"),
    Place("GET /programme/programme.csv", "Programme table", "its numbers as one table"),
    Place("GET /health", "Health", "whether the fit can be trusted; fit again"),
    Place("GET /loads/", "Loads", "full swings and strength work by golfer, and limits"),
    Place("GET /people", "People", "who may sign in, and whose records they see"),
    Place("GET /audit", "Audit", "who saw and changed what"),
    Place("GET /settings", "Settings", "name, language, handicap settings, own practice categories"),
    Place("GET /account", "Account", "where you are signed in"),
    Place("GET /password", "Password", "change your own"),
    Place("GET /api/golfers", "Golfers as JSON", "for programs: names, index, where forecast and plan are"),
    Place("GET /api/openapi.json", "Description for programs", "what is answered as JSON (OpenAPI)"),
)
GOLFER = (
    Place(
        "GET /golfers/{name}.html", "Record", "first screen, rounds, review, goals, areas, practice, tests"
    ),
    Place("GET /golfers/{name}/goal", "Goal", "set an index to reach and by when, or take it away"),
    Place("GET /golfers/{name}/rounds", "Rounds", "the latest, with score and differential, to correct"),
    Place("GET /golfers/{name}/entries/{kind}", "Practice and tests", "the latest entries, to correct"),
    Place("GET /golfers/{name}/review", "Since we last met", "the review from a day that you choose"),
    Place("GET /golfers/{name}/week", "My week", "sessions to tick"),
    Place("GET /golfers/{name}/week.pdf", "My week on paper", "A6, for a pocket"),
    Place("GET /golfers/{name}/week.ics", "My week for a calendar", "one entry a session"),
    Place("GET /golfers/{name}/what-if", "Another week", "move the hours, see the index to come"),
    Place("GET /loads/{name}.html", "Loads", "swings and strength work, and limits"),
    Place("GET /api/golfers/{name}/forecast", "Forecast as JSON", "for programs"),
    Place("GET /api/golfers/{name}/plan", "Plan as JSON", "for programs"),
)
ELSEWHERE = {
    "GET /bring-in/{batch}": "a part of Bring in, while spreadsheets wait to be stored",
    "GET /bring-in/{batch}/answers": "a part of Bring in, while spreadsheets wait to be stored",
    "GET /bring-in/{batch}/rows": "a part of Bring in, while spreadsheets wait to be stored",
    "GET /golfers/{name}/entries/{kind}/correct": "a part of Practice and tests",
    "GET /": "leads to the first page",
    "GET /contents": "this page",
    "GET /health/rounds": "a part of Health, worked out when it is looked at",
    "GET /work": "a part of Health, while a fit is running",
}
"""Routes that are no page of their own."""


@router.get("/contents")
def contents_page(request: Request) -> Response:
    """List every page that the visitor may open."""
    snapshot, visitor = desk_of(request).snapshot(), visitor_of(request)
    own = visitor.own(snapshot) if any(visitor.may(one.route) for one in GOLFER) else {}
    golfers = [(snapshot.ids[golfer_id], name) for golfer_id, name in own.items()]
    return page(
        request,
        "contents.html",
        title="All pages",
        places=open_to(visitor, CLUB),
        of_golfer=open_to(visitor, GOLFER),
        golfers=sorted(golfers, key=lambda one: by_name(one[1])) if len(golfers) <= FEW else [],
        count=len(golfers),
    )


def open_to(visitor: Visitor, places: tuple[Place, ...]) -> list[Place]:
    """Return the pages among these that the visitor may open."""
    return [one for one in places if visitor.may(one.route)]

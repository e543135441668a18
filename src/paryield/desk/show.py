"""Pages from their templates: the desk's own, and the parts that the documents use too."""

from __future__ import annotations

from functools import cache
from typing import Any

from fastapi import Request
from jinja2 import ChoiceLoader, Environment, PackageLoader, PrefixLoader
from starlette.responses import HTMLResponse, JSONResponse, Response

from paryield.desk.guard import Visitor, identify, own_golfer, visitor_of
from paryield.desk.rights import OWNER
from paryield.desk.row_words import rows_word
from paryield.desk.security import token
from paryield.desk.state import Desk, Snapshot
from paryield.errors import InputError, InternalError, NotReportableError, ParyieldError
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.report import sentences
from paryield.report.rendering import environment
from paryield.report.words import category_text, one_line
from paryield.units import counted

PAGES = (
    ("Club", "/golfers/"),
    ("Log", "/log"),
    ("Bring in", "/bring-in"),
    ("Programme", "/programme"),
    ("Health", "/health"),
)
"""Pages of the whole club by title, as the navigation lists them."""

SIGNED_IN_PAGES = (
    *PAGES,
    ("Loads", "/loads/"),
    ("People", "/people"),
    ("Audit", "/audit"),
    ("Settings", "/settings"),
    ("Account", "/account"),
)
"""The same where people sign in; each sees those that are for him."""

ABOUT_LOAD = ("/what-if", "/week")
"""Ends of addresses of pages on which load is decided: cautions stand open there, and on Loads."""
ONE_PAGE = "GET /golfers/{name}.html"


def desk_of(request: Request) -> Desk:
    """Return the open club."""
    desk: Desk = request.app.state.desk
    return desk


def fitted_golfer(request: Request, name: str) -> tuple[Desk, Snapshot, str]:
    """Return the desk, what it knows now, and the golfer of an address, of whom the fit can answer.

    Raises
    ------
    NotReportableError
        When the fit is not sound and answers are withheld.
    InputError
        When the fit does not know him yet.
    """
    desk = desk_of(request)
    snapshot = desk.snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    if snapshot.withheld:
        raise NotReportableError(snapshot.withheld, remedy="see the page Health")
    if golfer_id not in snapshot.fitted:
        raise InputError("the fit does not know this golfer yet", remedy="fit the club, then look again")
    return desk, snapshot, golfer_id


def page(request: Request, template: str, *, status: int = 200, **shown: Any) -> HTMLResponse:
    """Return a whole page."""
    desk, visitor = desk_of(request), visitor_of(request)
    snapshot = desk.snapshot()
    frame = {
        "pages": pages_of(request, visitor),
        "can": visitor.may,
        "visitor": visitor,
        "path": request.url.path,
        "club": one_line(snapshot.tables.settings.club_name or desk.called),
        "snapshot": snapshot,
        "work": desk.work.progress(),
        "cautions": STANDING_CAUTIONS,
        "fold_cautions": not request.url.path.startswith("/loads")
        and not request.url.path.endswith(ABOUT_LOAD),
        "unofficial": sentences.UNOFFICIAL,
    }
    return HTMLResponse(render(request, template, **{**frame, **shown}), status)


def bare_page(request: Request, template: str, *, status: int = 200, **shown: Any) -> HTMLResponse:
    """Return a page that shows nothing of the club, for somebody who has not signed in yet."""
    return HTMLResponse(
        render(request, template, **{"pages": (), "path": "", "visitor": None, **shown}), status
    )


def pages_of(request: Request, visitor: Visitor | None) -> tuple[tuple[str, str], ...]:
    """Return title and address of the pages that a visitor is offered."""
    if visitor is None:
        return ()
    if visitor.role == OWNER:
        return tuple((title, path) for title, path in SIGNED_IN_PAGES if visitor.may(f"GET {path}"))
    found = tuple((title, path) for title, path in SIGNED_IN_PAGES if visitor.may(f"GET {path}"))
    if visitor.may(ONE_PAGE) and not visitor.may("GET /golfers/"):
        snapshot = desk_of(request).snapshot()
        one = [("Record", f"/golfers/{snapshot.page_of(golfer)}") for golfer in visitor.own(snapshot)]
        return (*one, *found)
    return found


def home_of(request: Request, visitor: Visitor) -> str:
    """Return the address of the first page of a visitor."""
    return pages_of(request, visitor)[0][1]


def render(request: Request, template: str, **shown: Any) -> str:
    """Return a template filled in, with the token that its forms carry."""
    key = desk_of(request).key
    given = {"token": token(key, request.state.session), **shown}
    return _templates().get_template(f"desk/{template}").render(**given)


def error_page(request: Request, error: ParyieldError) -> Response:
    """Return a page with the one line that says what was wrong, and what to do."""
    status = {2: 400, 3: 409}.get(error.exit_code, 500)
    return plain_error(request, status, error)


def plain_error(request: Request, status: int, error: ParyieldError) -> Response:
    """Return the page of an error, which needs nothing of the club; for a program the error as a record."""
    if request.url.path.startswith("/api/"):
        return JSONResponse({"error": error.to_dict()}, status)
    title = "Not reportable" if isinstance(error, NotReportableError) else "That did not work"
    if isinstance(error, InternalError):
        title = "Something went wrong here"
    about = {"pages": _pages_after(request), "path": "", "visitor": None, "can": lambda _: False}
    shown = _templates().get_template("desk/error.html").render(title=title, error=error, **about)
    return HTMLResponse(shown, status)


def _pages_after(request: Request) -> tuple[tuple[str, str], ...]:
    """Return the pages to choose from after an error; none where even that cannot be told."""
    if not request.app.state.sign_in:
        return PAGES
    try:
        return pages_of(request, identify(request))
    except Exception:  # the page of an error must not fail for the reason of the error
        return ()


@cache
def _templates() -> Environment:
    shared = environment()
    assert shared.loader is not None
    own = PackageLoader("paryield.desk", "templates")
    found = shared.overlay(loader=ChoiceLoader([PrefixLoader({"desk": own}), shared.loader]))
    found.filters |= {"words": category_text, "counted": counted, "rows_word": rows_word}
    return found

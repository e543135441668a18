"""Pages from their templates: the desk's own, and the parts that the documents use too."""

from __future__ import annotations

from functools import cache
from typing import Any

from fastapi import Request
from jinja2 import ChoiceLoader, Environment, PackageLoader, PrefixLoader
from starlette.responses import HTMLResponse

from paryield.desk.security import token
from paryield.desk.state import Desk
from paryield.errors import InternalError, NotReportableError, ParyieldError
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.report import sentences
from paryield.report.rendering import environment
from paryield.report.words import category_text, one_line

PAGES = (
    ("Club", "/golfers/"),
    ("Log", "/log"),
    ("Bring in", "/bring-in"),
    ("Programme", "/programme"),
    ("Health", "/health"),
)
"""Pages of the whole club by title, as the navigation lists them."""


def desk_of(request: Request) -> Desk:
    """Return the open club."""
    desk: Desk = request.app.state.desk
    return desk


def page(request: Request, template: str, *, status: int = 200, **shown: Any) -> HTMLResponse:
    """Return a whole page."""
    desk = desk_of(request)
    snapshot = desk.snapshot()
    frame = {
        "pages": PAGES,
        "path": request.url.path,
        "club": one_line(snapshot.tables.settings.club_name or "Your club"),
        "snapshot": snapshot,
        "work": desk.work.progress(),
        "cautions": STANDING_CAUTIONS,
        "unofficial": sentences.UNOFFICIAL,
    }
    return HTMLResponse(render(request, template, **{**frame, **shown}), status)


def render(request: Request, template: str, **shown: Any) -> str:
    """Return a template filled in, with the token that its forms carry."""
    key = desk_of(request).key
    given = {"token": token(key, request.state.session), **shown}
    return _templates().get_template(f"desk/{template}").render(**given)


def error_page(request: Request, error: ParyieldError) -> HTMLResponse:
    """Return a page with the one line that says what was wrong, and what to do."""
    status = {2: 400, 3: 409}.get(error.exit_code, 500)
    return plain_error(request, status, error)


def plain_error(request: Request, status: int, error: ParyieldError) -> HTMLResponse:
    """Return the page of an error, which needs nothing of the club."""
    title = "Not reportable" if isinstance(error, NotReportableError) else "That did not work"
    if isinstance(error, InternalError):
        title = "Something went wrong here"
    shown = (
        _templates().get_template("desk/error.html").render(title=title, error=error, pages=PAGES, path="")
    )
    return HTMLResponse(shown, status)


@cache
def _templates() -> Environment:
    shared = environment()
    assert shared.loader is not None
    own = PackageLoader("paryield.desk", "templates")
    found = shared.overlay(loader=ChoiceLoader([PrefixLoader({"desk": own}), shared.loader]))
    found.filters["words"] = category_text
    return found

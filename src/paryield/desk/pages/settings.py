"""Settings: the club's settings file on a page, with the checks of an import."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield import private
from paryield.club import Club, ImportRefused
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.desk.state import Desk
from paryield.results import Problem
from paryield.tables import TABLES
from paryield.tables.logo import logo_file
from paryield.tables.settings import settings_text

router = APIRouter()
FILE = "settings.toml"


@router.get("/settings")
def settings_page(request: Request, done: str = "") -> Response:
    """Show the settings."""
    tables = desk_of(request).snapshot().tables
    return _shown(request, settings_text(tables.settings, tables.categories), (), done=done == "yes")


@router.post("/settings")
def store(request: Request, form: Sent) -> Response:
    """Store the settings, or show them again with what is wrong."""
    desk, text = desk_of(request), str(form.get("text", "")).replace("\r\n", "\n")
    try:
        _store(desk, visitor_of(request).who, text)
    except ImportRefused as error:
        return _shown(request, text, error.problems, status=400)
    return RedirectResponse("/settings?done=yes", 303)


def _store(desk: Desk, who: str, text: str) -> None:
    with desk.scratch.folder() as folder:
        private.write(folder / FILE, text)
        head = ",".join(TABLES["plans"].required) + ",minutes_per_week\n"
        private.write(folder / "plans.csv", head)  # an import wants a table; this one is empty
        snapshot = desk.snapshot()
        if snapshot.tables.settings.logo:
            name, content = logo_file(snapshot.tables.settings.logo)
            private.write(folder / name, content)
        with Club.open(desk.where, who=who) as club:
            club.import_folder(folder, replace=True)


def _shown(
    request: Request, text: str, problems: tuple[Problem, ...], *, done: bool = False, status: int = 200
) -> Response:
    return page(
        request, "settings.html", status=status, title="Settings", text=text, problems=problems, done=done
    )

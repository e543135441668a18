"""Settings: the club's settings as a form and as the text of their file, with the checks of an import."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield import private
from paryield.club import Club, ImportRefused
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.settings_form import FILE, LOADS, SETTINGS, given_of, own_categories, text_of_form
from paryield.desk.show import desk_of, page
from paryield.desk.state import Desk
from paryield.results import Problem
from paryield.tables import TABLES
from paryield.tables.categories import AREAS
from paryield.tables.settings import logo_file, settings_text

router = APIRouter()


@router.get("/settings")
def settings_page(request: Request, done: str = "") -> Response:
    """Show the settings."""
    return _shown(request, done=done == "yes")


@router.post("/settings")
def store(request: Request, form: Sent) -> Response:
    """Store the form or the text, or show it again with what is wrong."""
    desk = desk_of(request)
    given = {name: str(value) for name, value in form.items()}
    typed = given.get("text")
    if typed is None:
        tables = desk.snapshot().tables
        text, problems = text_of_form(given, tables.settings, tables.categories)
    else:
        text, problems = typed.replace("\r\n", "\n"), ()
    if not problems:
        try:
            _store(desk, visitor_of(request).who, text)
        except ImportRefused as error:
            problems = error.problems
    if problems:
        shown = {"text": text} if typed is not None else {"given": given}
        return _shown(request, problems=problems, status=400, **shown)
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
    request: Request,
    *,
    given: dict[str, str] | None = None,
    text: str | None = None,
    problems: tuple[Problem, ...] = (),
    done: bool = False,
    status: int = 200,
) -> Response:
    tables = desk_of(request).snapshot().tables
    own = len(own_categories(tables.categories))
    return page(
        request,
        "settings.html",
        status=status,
        title="Settings",
        settings=SETTINGS,
        given=given_of(tables.settings, tables.categories) if given is None else given,
        text=settings_text(tables.settings, tables.categories) if text is None else text,
        as_text=text is not None,
        wrong={one.column for one in problems},
        own=own,
        places=range(own + 1),
        areas=AREAS,
        loads=LOADS,
        problems=problems,
        done=done,
    )

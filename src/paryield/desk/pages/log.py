"""Log: a round, a practice session or an assessment, with the checks of an import, and undo."""

from __future__ import annotations

from datetime import date
from typing import Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import Club, ImportRefused
from paryield.desk.changes import Change, latest_changes
from paryield.desk.fields import FORMS, Form
from paryield.desk.security import Sent, may
from paryield.desk.show import desk_of, page
from paryield.desk.state import Snapshot
from paryield.errors import InputError
from paryield.results import Problem

router = APIRouter()


@router.get("/log", dependencies=[Depends(may("log"))])
def log_page(request: Request, kind: str = "round", golfer: str = "", done: str = "") -> Response:
    """Show the forms and the latest changes."""
    given = {"golfer": golfer, "day": date.today().isoformat()}
    return _shown(request, _form(kind), given, (), done=done)


@router.post("/log/undo/{number}", dependencies=[Depends(may("log"))])
def undo(request: Request, number: int, form: Sent) -> Response:
    """Take back one change."""
    with Club.open(desk_of(request).where) as club:
        receipt = club.undo(number)
    return RedirectResponse(f"/log?done=undo{receipt.import_no}", 303)


@router.post("/log/{kind}", dependencies=[Depends(may("log"))])
def store(request: Request, kind: str, form: Sent) -> Response:
    """Store what was typed, or show it again with what is wrong."""
    chosen = _form(kind)
    desk = desk_of(request)
    snapshot = desk.snapshot()
    given = {key: str(value) for key, value in form.items()}
    golfers = {shown: golfer_id for golfer_id, shown in snapshot.ids.items()}
    if given.get("golfer", "") not in golfers:
        missing = Problem("", None, "golfer_id", "", "nobody is chosen", "choose a golfer")
        return _shown(request, chosen, given, (missing,), status=400)
    row = {name: given.get(name, "").strip() for name in chosen.columns}
    row |= {"golfer_id": golfers[given["golfer"]], chosen.day: given.get("day", "").strip()}
    row = {name: value for name, value in row.items() if value}
    try:
        with Club.open(desk.where) as club:
            number = club.log(chosen.table, row).number
    except ImportRefused as error:
        return _shown(request, chosen, given, error.problems, status=400)
    except InputError as error:
        held = Problem("", None, None, "", error.message, error.remedy)
        return _shown(request, chosen, given, (held,), status=400)
    return RedirectResponse(f"/log?kind={kind}&golfer={given['golfer']}&done={number}", 303)


def _form(kind: str) -> Form:
    if kind not in FORMS:
        raise InputError(f"there is nothing to log that is called {kind[:40]!r}", remedy="choose a form")
    return FORMS[kind]


def _shown(
    request: Request,
    chosen: Form,
    given: dict[str, str],
    problems: tuple[Problem, ...],
    *,
    done: str = "",
    status: int = 200,
) -> Response:
    desk = desk_of(request)
    snapshot = desk.snapshot()
    with Club.open(desk.where) as club:
        changes = latest_changes(club, snapshot.names)
    by_column: dict[str, list[str]] = {}
    for problem in problems:
        column = {chosen.day: "day", "golfer_id": "golfer"}.get(problem.column or "", problem.column or "")
        by_column.setdefault(column, []).append(f"{problem.message}: {problem.remedy}")
    return page(
        request,
        "log.html",
        status=status,
        title="Log",
        forms=FORMS,
        chosen=chosen,
        given=given,
        problems=by_column,
        people=_people(snapshot),
        categories=[category.name for category in snapshot.tables.categories],
        today=date.today().isoformat(),
        changes=changes,
        done=_done(done, changes),
    )


def _people(snapshot: Snapshot) -> list[tuple[str, str]]:
    pairs = [(snapshot.ids[golfer_id], name) for golfer_id, name in snapshot.names.items()]
    return sorted(pairs, key=lambda pair: pair[1].casefold())


def _done(done: str, changes: list[Change]) -> dict[str, Any] | None:
    """Return what to say about the change just made."""
    undone = done.startswith("undo")
    digits = done.removeprefix("undo")
    if not digits.isdigit():
        return None
    found = next((change for change in changes if change.number == int(digits)), None)
    if found is None:
        return None
    return {"text": f"{'Taken back' if undone else 'Stored'}: {found.text}.", "number": found.number}

"""Practice and tests on record: the latest of a golfer, to correct, put on another day or take off."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import Club
from paryield.club.edits import Stored
from paryield.club.moving import numbered, same_place
from paryield.club.people import OF_ONE
from paryield.desk.entries import by_field, problems_of
from paryield.desk.fields import Form
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.on_record import KINDS, LATEST, form_of, key_of, latest_entries
from paryield.desk.rounds import texts
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.errors import InputError

router = APIRouter()


@router.get("/golfers/{name}/entries/{kind}")
def entries_page(request: Request, name: str, kind: str, every: str = "") -> Response:
    """List the latest practice entries or tests, or all of them."""
    snapshot = desk_of(request).snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    form, golfer = form_of(kind), snapshot.name_of(golfer_id)
    rows = getattr(snapshot.tables, form.table)
    return page(
        request,
        "entries.html",
        title=f"{KINDS[kind]}: {golfer}",
        name=name,
        golfer=golfer,
        kind=kind,
        kinds=KINDS,
        entries=latest_entries(snapshot.tables, golfer_id, kind, None if every else LATEST),
        count=int((rows["golfer_id"] == golfer_id).sum()),
    )


@router.get("/golfers/{name}/entries/{kind}/correct")
def entry_page(request: Request, name: str, kind: str, at: str = "") -> Response:
    """Show one entry in the form that it came from."""
    golfer_id = own_golfer(desk_of(request).snapshot(), visitor_of(request), name)
    form = form_of(kind)
    with Club.open(desk_of(request).where) as club:
        stored = _stored(club, form, key_of(form, golfer_id, at))
    given = texts(stored.values)
    given |= {"day": given[form.day], "at": at, "seen": stored.seen}
    return _shown(request, name, golfer_id, form, given, {})


@router.post("/golfers/{name}/entries/{kind}/correct")
def correct(request: Request, name: str, kind: str, form: Sent) -> Response:
    """Store a correction, put the entry on another day, or take it off the record."""
    visitor, desk = visitor_of(request), desk_of(request)
    golfer_id = own_golfer(desk.snapshot(), visitor, name)
    chosen = form_of(kind)
    given = {str(field): str(value) for field, value in form.items()}
    try:
        key = key_of(chosen, golfer_id, given.get("at", ""))
        with Club.open(desk.where, who=visitor.who) as club:
            stored = _stored(club, chosen, key)
            if given.get("remove"):
                if visitor.role in OF_ONE:
                    raise InputError(
                        "the coach takes entries off the record",
                        remedy="correct the entry, or take back your own under Latest changes",
                    )
                number = club.remove(chosen.table, key, given.get("seen", "")).number
            else:
                cells = {**texts(stored.values), **_typed(chosen, given), "golfer_id": golfer_id}
                if same_place(chosen.table, key, cells, desk.where):
                    number = club.edit(chosen.table, cells, given.get("seen", "")).number
                else:
                    counter = numbered(chosen.table)
                    cells = {column: text for column, text in cells.items() if column != counter}
                    number = club.move(chosen.table, key, cells, given.get("seen", "")).number
    except InputError as error:
        wrong = by_field(chosen, problems_of(error))
        return _shown(request, name, golfer_id, chosen, given, wrong, status=400)
    return RedirectResponse(f"/log?kind={kind}&golfer={name}&done={number}", 303)


def _typed(form: Form, given: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed by column; a time or number that was typed is known from now on."""
    cells = {column: given.get(column, "").strip() for column in form.columns}
    cells[form.day] = given.get("day", "").strip()
    if form.kind == "practice" and (cells["minutes"] or cells["reps"]):
        cells["state"] = "done"
    return cells


def _stored(club: Club, form: Form, key: Mapping[str, str]) -> Stored:
    found = club.row(form.table, key)
    if found is None:
        raise InputError("that entry is no longer on record", remedy="look at the golfer's entries again")
    return found


def _shown(
    request: Request,
    name: str,
    golfer_id: str,
    form: Form,
    given: dict[str, str],
    problems: dict[str, list[str]],
    *,
    status: int = 200,
) -> Response:
    snapshot = desk_of(request).snapshot()
    return page(
        request,
        "entry.html",
        status=status,
        title=f"Correct: {snapshot.name_of(golfer_id)}",
        name=name,
        golfer=snapshot.name_of(golfer_id),
        kind=form.kind,
        chosen=form,
        given=given,
        problems=problems,
        categories=[category.name for category in snapshot.tables.categories],
        may_remove=visitor_of(request).role not in OF_ONE,
        today=date.today().isoformat(),
    )

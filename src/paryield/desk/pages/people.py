"""People: who may sign in; added, given a new one-time password, removed."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import ROLES, Accounts, Club, Issued
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.errors import InputError
from paryield.report.words import by_name, one_line

router = APIRouter()


@router.get("/people")
def people_page(request: Request) -> Response:
    """List everybody who may sign in."""
    return _shown(request)


@router.post("/people/add")
def add(request: Request, form: Sent) -> Response:
    """Add a person and show the one-time password, once."""
    desk, visitor = desk_of(request), visitor_of(request)
    ids = {shown: golfer for golfer, shown in desk.snapshot().ids.items()}
    sent = [str(one) for one in form.getlist("golfer") if one]
    name, role = str(form.get("name", "")), str(form.get("role", ""))
    try:
        if any(one not in ids for one in sent):
            raise InputError("this golfer is not in the club", remedy="choose from the list")
        with Club.open(desk.where, who=visitor.who) as club:
            issued = Accounts(club).add(name, role, [ids[one] for one in sent])
    except InputError as error:
        return _shown(request, wrong=error, given={"name": name, "role": role, "golfer": sent}, status=400)
    return _shown(request, issued=issued)


@router.post("/people/{person}/reset")
def reset(request: Request, person: str, form: Sent) -> Response:
    """Give a person a new one-time password and show it, once."""
    _not_oneself(request, person)
    with Club.open(desk_of(request).where, who=visitor_of(request).who) as club:
        return _shown(request, issued=Accounts(club).reset(person))


@router.post("/people/{person}/remove")
def remove(request: Request, person: str, form: Sent) -> Response:
    """Remove a person."""
    _not_oneself(request, person)
    with Club.open(desk_of(request).where, who=visitor_of(request).who) as club:
        Accounts(club).remove(person)
    return RedirectResponse("/people", 303)


def _not_oneself(request: Request, person_id: str) -> None:
    mine = visitor_of(request).person
    if mine is not None and mine.person_id == person_id:
        raise InputError(
            "nobody does this to himself", remedy="change your password under Account, or ask another one"
        )


def _shown(
    request: Request,
    *,
    issued: Issued | None = None,
    wrong: InputError | None = None,
    given: dict[str, object] | None = None,
    status: int = 200,
) -> Response:
    desk = desk_of(request)
    snapshot = desk.snapshot()
    mine = visitor_of(request).person
    rows = [
        {
            "person": person,
            "golfers": [snapshot.names.get(golfer, one_line(golfer)) for golfer in person.golfers],
            "oneself": mine is not None and mine.person_id == person.person_id,
        }
        for person in Accounts(desk.door).people()
    ]
    golfers = sorted(
        ((snapshot.ids[golfer], name, golfer) for golfer, name in snapshot.names.items()),
        key=lambda one: by_name(one[1]),
    )
    return page(
        request,
        "people.html",
        status=status,
        title="People",
        rows=rows,
        roles=ROLES,
        golfers=golfers,
        issued=issued,
        wrong=wrong,
        given=given or {"name": "", "role": "", "golfer": []},
    )

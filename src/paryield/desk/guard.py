"""The one door: who asks, whether the table lets him in, whose record it is, and a line for the audit."""

from __future__ import annotations

import contextlib
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from fastapi import Request
from starlette.exceptions import HTTPException

from paryield.club import Accounts, Club, Person, Session
from paryield.club.opened import COMMAND_LINE
from paryield.club.people import GUARDIAN, of_age
from paryield.desk.rights import BEFORE_CHANGE, OWNER, PUBLIC, SEEN, Rule, rule
from paryield.errors import ParyieldError

if TYPE_CHECKING:
    from paryield.desk.state import Desk, Snapshot

STYLE = "GET /shared.css"
AGAIN_SECONDS, KEPT = 600, 4096
"""The same page of the same golfer is noted for the same person once in ten minutes."""


@dataclass(frozen=True)
class Visitor:
    """Who asks for a page: the owner of this computer, or somebody signed in."""

    role: str = OWNER
    session: Session | None = None

    @property
    def person(self) -> Person | None:
        """Who is signed in; None for the owner."""
        return None if self.session is None else self.session.person

    @property
    def who(self) -> str:
        """How the audit trail calls the visitor."""
        return COMMAND_LINE if self.person is None else self.person.who

    @property
    def every_golfer(self) -> bool:
        """Whether his own golfers are all golfers."""
        return self.person is None or self.person.every_golfer

    def may(self, route: str) -> bool:
        """Tell whether a link or a form may be offered; the guard asks again when it is used."""
        return rule(route, self.role, self.every_golfer) is not Rule.NO

    def own(self, snapshot: Snapshot) -> dict[str, str]:
        """Return name by id of the golfers whose records are his, in the order of the club."""
        if self.every_golfer:
            return dict(snapshot.names)
        assert self.person is not None
        mine = set(self.person.golfers)
        if self.role == GUARDIAN:
            mine = {golfer for golfer in mine if not _of_age(snapshot, golfer)}
        return {golfer: name for golfer, name in snapshot.names.items() if golfer in mine}


class Closed(HTTPException):
    """Nobody is signed in, or the password must be changed first."""

    def __init__(self, leads_to: str) -> None:
        super().__init__(401, "sign in first")
        self.leads_to = leads_to


class Seen:
    """Notes in the audit trail who saw what, the same thing once in a while."""

    def __init__(self) -> None:
        self._last: OrderedDict[tuple[str, str, str | None], float] = OrderedDict()
        self._lock = threading.Lock()

    def note(self, where: str, who: str, what: str, golfer_id: str | None) -> None:
        """Write one line, unless the same was written a moment ago; a club that is read-only stays open."""
        key, moment = (who, what, golfer_id), time.monotonic()
        with self._lock:
            if moment - self._last.get(key, -1e9) < AGAIN_SECONDS:
                return
            self._last[key] = moment
            self._last.move_to_end(key)
            while len(self._last) > KEPT:
                self._last.popitem(last=False)
        with contextlib.suppress(ParyieldError), Club.open(where, who=who) as club:
            club.saw(what, [golfer_id])


def guard(request: Request) -> None:
    """Let a request through when the table of routes and roles does; every route asks this first.

    Raises
    ------
    Closed
        When nobody is signed in, or with a one-time password that is to be changed first.
    HTTPException
        403 for a route that the role does not reach, 404 for another's golfer, as for one that is not there.
    """
    route = route_of(request)
    if route == STYLE:
        return
    desk: Desk = request.app.state.desk
    visitor = identify(request)
    request.state.visitor = visitor
    if route in PUBLIC:
        return
    if visitor is None:
        raise Closed(_back(request))
    if visitor.person is not None and visitor.person.must_change and route not in BEFORE_CHANGE:
        raise Closed("/password")
    found = rule(route, visitor.role, visitor.every_golfer)
    if found is Rule.NO:
        raise HTTPException(403, "this page is not for you")
    golfer_id = None
    if "name" in request.path_params:
        golfer_id = own_golfer(desk.snapshot(), visitor, request.path_params["name"])
    if visitor.person is not None and route in SEEN:
        desk.seen.note(desk.where, visitor.who, SEEN[route], golfer_id)


def route_of(request: Request) -> str:
    """Return method and path of the route, as the table has them."""
    path = getattr(request.scope.get("route"), "path", "")
    return f"{request.method} {path}"


def identify(request: Request) -> Visitor | None:
    """Return who asks; None where sign-in is needed and nobody is signed in."""
    desk: Desk = request.app.state.desk
    if not request.app.state.sign_in:
        return Visitor()
    session = Accounts(desk.door).session(request.state.session)
    return None if session is None else Visitor(session.person.role, session)


def visitor_of(request: Request) -> Visitor:
    """Return who asks, on a route that the guard let through."""
    visitor = request.state.visitor
    assert isinstance(visitor, Visitor)
    return visitor


def own_golfer(snapshot: Snapshot, visitor: Visitor, name: str) -> str:
    """Return the golfer of a name in an address; 404 for another's as for one that is not there."""
    for golfer_id in visitor.own(snapshot):
        if snapshot.ids[golfer_id] == name:
            return golfer_id
    raise HTTPException(404)


def _back(request: Request) -> str:
    """Return the address of the sign-in, with the way back to a page."""
    if request.method != "GET" or request.url.path == "/" or "hx-request" in request.headers:
        return "/sign-in"
    query = f"?{request.url.query}" if request.url.query else ""
    return f"/sign-in?next={quote(request.url.path + query, safe='')}"


def _of_age(snapshot: Snapshot, golfer_id: str) -> bool:
    people: Any = snapshot.tables.golfers
    year = people.loc[people["golfer_id"] == golfer_id, "birth_year"]
    blank = year.empty or bool(year.isna().iloc[0])
    return not blank and of_age(int(year.iloc[0]), date.today())

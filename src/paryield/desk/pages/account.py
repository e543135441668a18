"""Sign in and out, the visitor's own password, and where he is signed in."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from paryield.club import Accounts, Session
from paryield.club.passwords import SHORTEST
from paryield.desk.guard import identify, visitor_of
from paryield.desk.security import Sent, drop_cookie, give_cookie
from paryield.desk.show import bare_page, desk_of, home_of, page
from paryield.errors import InputError

router = APIRouter()

WRONG = "Name and password do not go together, or the one-time password is too old."
MANY = "Too many attempts from here. Wait a quarter of an hour, then try again."


@router.get("/sign-in")
def sign_in_page(request: Request, next: str = "") -> Response:
    """Ask who it is."""
    if not request.app.state.sign_in:
        raise HTTPException(404)
    visitor = identify(request)
    if visitor is not None:
        return RedirectResponse(home_of(request, visitor), 303)
    return _asked(request, inside(next))


@router.post("/sign-in")
async def sign_in(request: Request, form: Sent) -> Response:
    """Let somebody in under a new session, or say that name and password do not go together."""
    if not request.app.state.sign_in:
        raise HTTPException(404)
    name, back = _text(form, "name"), inside(_text(form, "next"))
    wait = request.app.state.attempts.begin(name, address_of(request))
    if wait is None:
        return await run_in_threadpool(_asked, request, back, MANY, name, status=429)
    await asyncio.sleep(wait)
    return await run_in_threadpool(_signed_in, request, name, _text(form, "password"), back)


def _signed_in(request: Request, name: str, password: str, back: str) -> Response:
    accounts = Accounts(desk_of(request).door)
    session = accounts.sign_in(name, password)
    if session is None:
        return _asked(request, back, WRONG, name, status=400)
    request.app.state.attempts.succeeded(name, address_of(request))
    old = accounts.session(request.state.session)
    if old is not None:
        accounts.sign_out(old.person, old.session_id)
    response = RedirectResponse(back or "/", 303)
    give_cookie(request, response, session)
    return response


@router.post("/sign-out")
def sign_out(request: Request, form: Sent) -> Response:
    """End this session."""
    session = _session(request)
    Accounts(desk_of(request).door).sign_out(session.person, session.session_id)
    return _left(request)


@router.post("/sign-out/everywhere")
def sign_out_everywhere(request: Request, form: Sent) -> Response:
    """End all sessions of the visitor."""
    Accounts(desk_of(request).door).sign_out(_session(request).person)
    return _left(request)


@router.get("/account")
def account_page(request: Request, done: str = "") -> Response:
    """Show who is signed in, and where."""
    session = _session(request)
    others = Accounts(desk_of(request).door).sessions(session.person)
    shown = [
        {
            "session": one.session_id,
            "begun": moment(one.begun_at),
            "seen": moment(one.seen_at),
            "this": one.session_id == session.session_id,
        }
        for one in others
    ]
    person = session.person
    return page(
        request, "account.html", title="Account", person=person, sessions=shown, changed=done == "password"
    )


@router.post("/account/{session}/end")
def end_session(request: Request, session: str, form: Sent) -> Response:
    """End another session of the visitor's own."""
    mine = _session(request)
    if not Accounts(desk_of(request).door).sign_out(mine.person, session):
        raise InputError("this session has ended already", remedy="look at the account again")
    return _left(request) if session == mine.session_id else RedirectResponse("/account", 303)


@router.get("/password")
def password_page(request: Request) -> Response:
    """Ask for a new password."""
    return _password(request, "")


@router.post("/password")
def change_password(request: Request, form: Sent) -> Response:
    """Change the visitor's own password; his other sessions end, and this one goes on under a new token."""
    session, attempts = _session(request), request.app.state.attempts
    new = _text(form, "new")
    if attempts.begin(session.person.name, address_of(request)) is None:
        return _password(request, MANY, status=429)
    if new != _text(form, "again"):
        return _password(request, "The new password was not written alike twice.", status=400)
    try:
        token = Accounts(desk_of(request).door).change_password(session.person, _text(form, "old"), new)
    except InputError as error:
        return _password(request, error.line(), status=400)
    attempts.succeeded(session.person.name, address_of(request))
    response = RedirectResponse("/account?done=password", 303)
    give_cookie(request, response, token)
    return response


def inside(address: str) -> str:
    """Return an address when it is a page of the desk, else nothing: nobody is led elsewhere by a link."""
    hidden = any(ord(letter) <= 32 or letter == "\\" or ord(letter) == 127 for letter in address)
    try:
        parts = urlsplit(address)
    except ValueError:
        return ""
    if hidden or parts.scheme or parts.netloc or not address.startswith("/") or address.startswith("//"):
        return ""
    return address if len(address) <= 500 else ""


def address_of(request: Request) -> str:
    """Return the address that a request comes from."""
    return "" if request.client is None else request.client.host


def moment(seconds: int) -> str:
    """Return a moment (seconds since 1970) as text, UTC, ISO."""
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%d %H:%M UTC")


def _session(request: Request) -> Session:
    session = visitor_of(request).session
    if session is None:
        raise HTTPException(404)
    return session


def _text(form: FormData, name: str) -> str:
    value = form.get(name, "")
    return value if isinstance(value, str) else ""


def _left(request: Request) -> Response:
    response = RedirectResponse("/sign-in", 303)
    drop_cookie(request, response)
    return response


def _asked(request: Request, back: str, wrong: str = "", name: str = "", *, status: int = 200) -> Response:
    return bare_page(
        request, "sign_in.html", status=status, title="Sign in", back=back, wrong=wrong, name=name[:200]
    )


def _password(request: Request, wrong: str, *, status: int = 200) -> Response:
    person = _session(request).person
    return bare_page(
        request,
        "password.html",
        status=status,
        title="Change the password",
        wrong=wrong,
        shortest=SHORTEST,
        person=person,
    )

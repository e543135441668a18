"""What keeps the pages to themselves: policy, host names, tokens in forms, names that give nothing away."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData
from starlette.responses import Response

from paryield.errors import InputError

POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "connect-src 'self'",
        "img-src 'self' data:",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
COOKIE = "desk"
TOKEN = "token"
MOST_FIELDS, MOST_FIELD_BYTES = 400, 64 * 1024


@dataclass(frozen=True)
class Visitor:
    """Who asks for a page: on this computer alone there is one visitor, who may do everything."""

    role: str = "owner"


def may(action: str) -> Callable[[Request], Visitor]:
    """Return the dependency that lets a visitor do ``action``; every route names exactly one.

    ``action`` is one of see_club, see_golfer, plan, log, bring_in, see_programme, see_health, work. The
    pages are served to this computer only, so everybody here may do everything; a check by role belongs
    in this function.
    """

    def allowed(request: Request) -> Visitor:
        request.state.action = action
        return Visitor()

    return allowed


async def add_headers(request: Request, call_next: Callable[[Request], Awaitable[Response]]) -> Response:
    """Give every answer the policy, and a visitor the cookie that form tokens hang on."""
    session = request.cookies.get(COOKIE, "")
    fresh = len(session) != 43
    request.state.session = secrets.token_urlsafe(32) if fresh else session
    response = await call_next(request)
    for name, value in HEADERS.items():
        response.headers[name] = value
    if not request.url.path.startswith("/static/"):
        response.headers["Cache-Control"] = "no-store"
    if fresh:
        response.set_cookie(COOKIE, request.state.session, httponly=True, samesite="strict", path="/")
    return response


def token(key: bytes, session: str) -> str:
    """Return the token that a form of this visitor carries."""
    return hmac.new(key, b"form:" + session.encode(), hashlib.sha256).hexdigest()


async def posted(request: Request) -> AsyncIterator[FormData]:
    """Give a route its form, and refuse one that does not come from our own page.

    Raises
    ------
    InputError
        When the token is missing or is not this visitor's.
    """
    form = await request.form(max_fields=MOST_FIELDS, max_part_size=MOST_FIELD_BYTES)
    try:
        given = form.get(TOKEN)
        right = token(request.app.state.desk.key, request.state.session)
        own = request.headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")
        if not own or not isinstance(given, str) or not hmac.compare_digest(given.encode(), right.encode()):
            raise InputError(
                "the form is not from a page that is open here",
                remedy="open the page again and send it once more",
            )
        yield form
    finally:
        await form.close()


Sent = Annotated[FormData, Depends(posted)]
"""A form from our own page, as a route takes it."""


def opaque(key: bytes, kind: str, name: str) -> str:
    """Return a name for a URL from which nobody can tell the golfer."""
    return hmac.new(key, f"{kind}:{name}".encode(), hashlib.sha256).hexdigest()[:20]

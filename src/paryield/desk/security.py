"""What keeps the pages to themselves: policy, host names, tokens in forms, names that give nothing away."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData
from starlette.responses import Response

from paryield.desk.uploads import MOST_BYTES
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
ONLY_TLS = "max-age=31536000"
"""For a year the browser asks this host over TLS alone (RFC 6797)."""

COOKIE, SECURE_COOKIE = "desk", "__Host-desk"
"""Name of the cookie; with ``__Host-`` a browser takes it over TLS and from this host alone (RFC 6265bis)."""

TOKEN = "token"
MOST_FIELDS, MOST_FIELD_BYTES, MOST_FORM_BYTES = 400, 64 * 1024, 2**20
MOST_FILES = 1000


async def add_headers(request: Request, call_next: Callable[[Request], Awaitable[Response]]) -> Response:
    """Give every answer the policy, and a visitor the cookie that form tokens hang on."""
    session = request.cookies.get(cookie_name(request), "")
    fresh = len(session) != 43
    request.state.session = secrets.token_urlsafe(32) if fresh else session
    response = await call_next(request)
    for name, value in HEADERS.items():
        response.headers[name] = value
    if request.app.state.secure:
        response.headers["Strict-Transport-Security"] = ONLY_TLS
    if not request.url.path.startswith("/static/"):
        response.headers["Cache-Control"] = "no-store"
    if fresh and "set-cookie" not in response.headers:
        give_cookie(request, response, request.state.session)
    return response


def cookie_name(request: Request) -> str:
    """Return the name of the cookie."""
    return SECURE_COOKIE if request.app.state.secure else COOKIE


def give_cookie(request: Request, response: Response, session: str) -> None:
    """Set the cookie: out of reach of scripts and of other sites, and over TLS alone where there is TLS."""
    response.set_cookie(
        cookie_name(request),
        session,
        httponly=True,
        samesite="strict",
        secure=request.app.state.secure,
        path="/",
    )


def drop_cookie(request: Request, response: Response) -> None:
    """Take the cookie back."""
    response.delete_cookie(
        cookie_name(request), path="/", httponly=True, samesite="strict", secure=request.app.state.secure
    )


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
    brings_files = request.url.path == "/bring-in"
    most = MOST_BYTES + 2**20 if brings_files else MOST_FORM_BYTES
    length = request.headers.get("content-length", "")
    known = length.isascii() and length.isdecimal() and len(length) < 12
    if not known or int(length) > most:
        said = f"more than {most // 2**20} MB" if known else "it does not say how large it is"
        raise InputError(f"what was sent is too large ({said})", remedy="send less at once")
    form = await request.form(
        max_files=MOST_FILES if brings_files else 0, max_fields=MOST_FIELDS, max_part_size=MOST_FIELD_BYTES
    )
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

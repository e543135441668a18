"""The desk as an application: its routes, its guards, and one plain line for every error."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.responses import RedirectResponse, Response
from starlette.staticfiles import StaticFiles

from paryield.desk.attempts import Attempts
from paryield.desk.guard import Closed, guard, visitor_of
from paryield.desk.pages import (
    account,
    api,
    audit,
    bring_in,
    club,
    contents,
    entries,
    facility,
    goal,
    golfer,
    group,
    health,
    loads,
    log,
    people,
    programme,
    review,
    rounds,
    saved_plans,
    settings,
    style,
    week,
    what_if,
)
from paryield.desk.security import HEADERS, add_headers
from paryield.desk.show import error_page, home_of, plain_error
from paryield.desk.state import Desk
from paryield.errors import InputError, InternalError, ParyieldError

MODULES = (
    club,
    golfer,
    goal,
    rounds,
    entries,
    review,
    group,
    week,
    saved_plans,
    what_if,
    log,
    bring_in,
    programme,
    facility,
    health,
    loads,
    people,
    audit,
    settings,
    account,
    contents,
    api,
    style,
)
OWN_NAMES = ("127.0.0.1", "localhost", "[::1]")
STATIC = Path(__file__).parent / "static"


def make_app(
    where: str,
    *,
    anyway: bool = False,
    port: int | None = None,
    warm: bool = True,
    sign_in: bool = False,
    secure: bool = False,
    any_name: bool = False,
) -> FastAPI:
    """Return the application for a club.

    Parameters
    ----------
    where : str
        Path of the club file, or a database URL.
    anyway : bool
        Show answers of an unsound fit, under a banner.
    port : int, optional
        Where it is served.
    warm : bool
        Work out every golfer's page in the background.
    sign_in : bool
        Ask for a sign-in; without, whoever asks is the owner and may do everything.
    secure : bool
        Pages go over TLS, so the cookie does too.
    any_name : bool
        Answer under any host name, as for other computers, which reach the desk under names of their own.
    """
    app = FastAPI(
        title="paryield desk",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        dependencies=[Depends(guard)],
    )
    app.state.desk = Desk(where, anyway=anyway, warm=warm)
    app.state.port, app.state.sign_in, app.state.secure = port, sign_in, secure
    app.state.attempts = Attempts()
    app.middleware("http")(add_headers)
    if not any_name:
        # A page elsewhere may point a name of its own at this computer: only our own names are answered.
        # Beyond it a sign-in stands before every page, and its cookie is not sent under another name.
        app.add_middleware(TrustedHostMiddleware, allowed_hosts=list(OWN_NAMES), www_redirect=False)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for module in MODULES:
        app.include_router(module.router)
    app.add_exception_handler(ParyieldError, _ours)
    app.add_exception_handler(Closed, _closed)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(Exception, _unforeseen)

    @app.get("/", include_in_schema=False)
    def home(request: Request) -> RedirectResponse:
        return RedirectResponse(home_of(request, visitor_of(request)), 303)

    return app


def _ours(request: Request, error: Any) -> Response:
    return error_page(request, error)


def _closed(request: Request, error: Any) -> Response:
    if "hx-request" in request.headers:
        return Response(status_code=401, headers={"HX-Redirect": error.leads_to})
    return RedirectResponse(error.leads_to, 303)


def _http(request: Request, error: Any) -> Response:
    if error.status_code == 404:
        shown = InputError("there is no such page", remedy="choose one of the pages above")
    elif error.status_code == 403:
        shown = InputError("this page is not for you", remedy="ask the administrator of the club")
    else:
        shown = InputError(f"the request cannot be answered ({error.detail})", remedy="open the page again")
    return plain_error(request, error.status_code, shown)


def _invalid(request: Request, error: Any) -> Response:
    first = error.errors()[0]
    where = " ".join(str(part) for part in first["loc"][1:])
    return plain_error(request, 400, InputError(f"{where}: {first['msg']}", remedy="open the page again"))


def _unforeseen(request: Request, error: Exception) -> Response:
    shown = InternalError(
        f"something went wrong that should not ({type(error).__name__})",
        remedy="go back and try again; nothing was half stored",
    )
    response = plain_error(request, 500, shown)
    for name, value in HEADERS.items():
        response.headers[name] = value
    return response

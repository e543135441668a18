"""The desk as an application: its routes, its guards, and one plain line for every error."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.responses import RedirectResponse, Response
from starlette.staticfiles import StaticFiles

from paryield.desk.pages import bring_in, club, golfer, health, log, programme, style, what_if
from paryield.desk.security import HEADERS, add_headers
from paryield.desk.show import error_page, plain_error
from paryield.desk.state import Desk
from paryield.desk.uploads import MOST_BYTES
from paryield.errors import InputError, InternalError, ParyieldError

OWN_NAMES = ("127.0.0.1", "localhost", "[::1]")
STATIC = Path(__file__).parent / "static"


def make_app(where: str, *, anyway: bool = False, port: int | None = None, warm: bool = True) -> FastAPI:
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
    """
    app = FastAPI(
        title="paryield desk",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        max_body_size=MOST_BYTES + 2**20,
    )
    app.state.desk = Desk(where, anyway=anyway, warm=warm)
    app.state.port = port
    app.middleware("http")(add_headers)
    # A page elsewhere may point a name of its own at this computer: only our own names are answered.
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=[*OWN_NAMES, "testserver"], www_redirect=False)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for module in (club, golfer, what_if, log, bring_in, programme, health, style):
        app.include_router(module.router)
    app.add_exception_handler(ParyieldError, _ours)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(Exception, _unforeseen)

    @app.get("/", include_in_schema=False)
    def home() -> RedirectResponse:
        return RedirectResponse("/golfers/")

    return app


def _ours(request: Request, error: Any) -> Response:
    return error_page(request, error)


def _http(request: Request, error: Any) -> Response:
    if error.status_code == 404:
        shown = InputError("there is no such page", remedy="choose one of the pages above")
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

"""Health: whether the answers can be trusted, and the work that makes them."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from paryield.club import Club
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page, render
from paryield.errors import InputError
from paryield.forecast.misfit import misfit
from paryield.model.health import LABELS
from paryield.report.misfit_words import misfit_sentences

router = APIRouter()


@router.get("/health")
def health_page(request: Request) -> Response:
    """Show the checks of the newest fit, and start or watch a fit."""
    snapshot = desk_of(request).snapshot()
    health = None if snapshot.posterior is None else snapshot.posterior.facts["health"]
    work = desk_of(request).work.progress()
    running = work is not None and work.running
    return page(
        request,
        "health.html",
        title="Health",
        health=health,
        quantities=LABELS,
        plain_refresh=3 if running else None,
        damage="" if running else _damage(desk_of(request).where),
    )


def _damage(where: str) -> str:
    """Return what is wrong with the club itself, empty where all is as it was written."""
    try:
        with Club.open(where) as club:
            club.check()
    except InputError as error:
        return error.line()
    return ""


@router.get("/health/rounds")
def rounds_beside_forecasts(request: Request) -> Response:
    """Return what lies off between the record and the fit, as a part of the page."""
    snapshot = desk_of(request).snapshot()
    if snapshot.posterior is None:
        return HTMLResponse("")
    run = getattr(snapshot.posterior, "run", snapshot.posterior)
    found = misfit(run, snapshot.tables)
    said = misfit_sentences(None if found is None else found.to_dict(), snapshot.name_of)
    if "hx-request" not in request.headers:
        return page(request, "misfit_page.html", title="Rounds beside their forecasts", said=said)
    return HTMLResponse(render(request, "misfit.html", said=said))


@router.get("/work")
def work_now(request: Request) -> Response:
    """Return how far the work is, as a part of a page."""
    work = desk_of(request).work.progress()
    over = work is None or not work.running
    # What the page says above of the fit is of before: it is looked at anew.
    headers = {"HX-Refresh": "true"} if over and "hx-request" in request.headers else None
    return HTMLResponse(render(request, "progress.html", work=work), headers=headers)


@router.post("/work/start")
def start_work(request: Request, form: Sent) -> Response:
    """Start a fit."""
    desk_of(request).work.start(str(form.get("kind", "fit")), visitor_of(request).who)
    return RedirectResponse("/health", 303)


@router.post("/work/stop")
def stop_work(request: Request, form: Sent) -> Response:
    """Stop what is running."""
    desk_of(request).work.stop()
    return RedirectResponse("/health", 303)

"""Health: whether the answers can be trusted, and the work that makes them."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page, render

router = APIRouter()


@router.get("/health")
def health_page(request: Request) -> Response:
    """Show the checks of the newest fit, and start or watch a fit."""
    snapshot = desk_of(request).snapshot()
    health = None if snapshot.posterior is None else snapshot.posterior.facts["health"]
    work = desk_of(request).work.progress()
    refresh = 3 if work is not None and work.running else None
    return page(request, "health.html", title="Health", health=health, plain_refresh=refresh)


@router.get("/work")
def work_now(request: Request) -> Response:
    """Return how far the work is, as a part of a page."""
    return HTMLResponse(render(request, "progress.html", work=desk_of(request).work.progress()))


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

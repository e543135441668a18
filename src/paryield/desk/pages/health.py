"""Health: whether the answers can be trusted, and the work that makes them."""

from __future__ import annotations

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from paryield.desk.security import Sent, may
from paryield.desk.show import desk_of, page, render

router = APIRouter()


@router.get("/health", dependencies=[Depends(may("see_health"))])
def health_page(request: Request) -> Response:
    """Show the checks of the newest fit, and start or watch a fit."""
    snapshot = desk_of(request).snapshot()
    health = None if snapshot.posterior is None else snapshot.posterior.facts["health"]
    work = desk_of(request).work.progress()
    refresh = 3 if work is not None and work.running else None
    return page(request, "health.html", title="Health", health=health, plain_refresh=refresh)


@router.get("/work", dependencies=[Depends(may("work"))])
def work_now(request: Request) -> Response:
    """Return how far the work is, as a part of a page."""
    return HTMLResponse(render(request, "progress.html", work=desk_of(request).work.progress()))


@router.post("/work/start", dependencies=[Depends(may("work"))])
def start_work(request: Request, form: Sent) -> Response:
    """Start a fit."""
    desk_of(request).work.start(str(form.get("kind", "fit")))
    return RedirectResponse("/health", 303)


@router.post("/work/stop", dependencies=[Depends(may("work"))])
def stop_work(request: Request, form: Sent) -> Response:
    """Stop what is running."""
    desk_of(request).work.stop()
    return RedirectResponse("/health", 303)

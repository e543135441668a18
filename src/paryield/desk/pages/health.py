"""Health: whether the answers can be trusted, and the work that makes them."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from paryield.club import Club
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page, render
from paryield.errors import InputError

router = APIRouter()
QUANTITIES = {
    "gain": "what practice saves",
    "level_now": "level today",
    "noise_total": "spread of rounds",
    "response": "own answer to practice",
    "trend": "change without practice",
    "start_shift": "form on joining",
    "season_cos": "season, summer against winter",
    "season_sin": "season, spring against autumn",
    "programme_effect": "what a programme gave beyond its hours",
    "enrol_shift": "bad spell before joining a programme",
    "course_effect": "difficulty of a course",
    "competition": "cost of a competition",
    "log_half_life": "how long practice lasts",
    "start_share": "practice before the record",
    "sd_wander": "size of good and bad spells",
    "wander_days": "length of good and bad spells",
    "sd_response": "how golfers differ in their answer to practice",
    "share": "share of strokes by area",
    "noise_scale": "spread of rounds, club",
}
"""Quantities of the health gate in words."""


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
        quantities=QUANTITIES,
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

"""Bring in: spreadsheets dropped on the page, every problem with its row, and the good rows stored."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import Club, ImportRefused
from paryield.desk.guard import visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.desk.uploads import UPLOADS, keep_files
from paryield.results import Problem
from paryield.tables import Reading, read_folder

router = APIRouter()
MOST_PROBLEMS = 300


@router.get("/bring-in")
def bring_in_page(request: Request, done: str = "") -> Response:
    """Ask for spreadsheets."""
    receipt = UPLOADS.receipt(done)
    return page(request, "bring_in.html", title="Bring in", batch=None, receipt=receipt, **_problems(()))


@router.post("/bring-in")
def receive(request: Request, form: Sent) -> Response:
    """Read the spreadsheets and show what is in them; nothing is stored yet."""
    folder, batch = keep_files(form.getlist("files"))
    snapshot = desk_of(request).snapshot()
    try:
        reading = read_folder(folder, known=snapshot.tables)
    except Exception:
        UPLOADS.drop(batch)
        raise
    return page(
        request,
        "bring_in.html",
        title="Bring in",
        batch=batch,
        receipt=None,
        counts=_counts(reading),
        errors=len(reading.errors),
        **_problems(reading.problems),
    )


@router.post("/bring-in/{batch}/store")
def store(request: Request, batch: str, form: Sent) -> Response:
    """Store the rows: all, or the good ones."""
    folder = UPLOADS.folder(batch)
    try:
        with Club.open(desk_of(request).where, who=visitor_of(request).who) as club:
            receipt = club.import_folder(
                folder, keep_good="keep_good" in form, replace="replace" in form, undoable="undoable" in form
            )
    except ImportRefused as error:
        return page(
            request,
            "bring_in.html",
            status=400,
            title="Bring in",
            batch=batch,
            receipt=None,
            counts=[],
            errors=sum(problem.severity == "error" for problem in error.problems),
            **_problems(error.problems),
        )
    UPLOADS.finish(batch, receipt)
    return RedirectResponse(f"/bring-in?done={batch}", 303)


@router.post("/bring-in/{batch}/drop")
def drop(request: Request, batch: str, form: Sent) -> Response:
    """Forget the spreadsheets."""
    UPLOADS.drop(batch)
    return RedirectResponse("/bring-in", 303)


def _counts(reading: Reading) -> list[tuple[str, int, int]]:
    """Return good and faulty rows by table."""
    found = [(name, len(frame), reading.rejected.get(name, 0)) for name, frame in reading.tables.items()]
    return [row for row in found if row[1] or row[2]]


def _problems(problems: tuple[Problem, ...]) -> dict[str, Any]:
    ordered = sorted(problems, key=lambda problem: problem.severity)
    return {"problems": ordered[:MOST_PROBLEMS], "left_out": max(len(ordered) - MOST_PROBLEMS, 0)}

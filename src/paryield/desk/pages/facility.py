"""The programme report as a file to hand on, without names; small groups stay hidden."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from paryield.desk.pages.programme import working
from paryield.desk.show import desk_of
from paryield.desk.show import page as shown
from paryield.desk.state import Desk, Snapshot
from paryield.errors import InputError
from paryield.report.facility import facility_files, facility_view_of
from paryield.report.pdf import pdf
from paryield.report.reader import written_for
from paryield.report.write import health_lines

router = APIRouter()
WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@router.get("/programme/facility.html")
def report_page(request: Request) -> Response:
    """Return the report as a page to keep; nothing but a browser is needed to read it."""
    return _file(request, "facility.html", "text/html; charset=utf-8")


@router.get("/programme/facility.pdf")
def report_pdf(request: Request) -> Response:
    """Return the report as PDF."""
    desk, snapshot = _state(request)
    if snapshot.posterior is None:
        return _no_fit(request)
    page, parts = str(_files(desk, snapshot)["facility.html"]), snapshot.parts
    with working:
        if ("pdf", "facility") not in parts:
            parts["pdf", "facility"] = pdf([page])
    return _kept(parts["pdf", "facility"], "facility.pdf", "application/pdf")


@router.get("/programme/programme.csv")
def report_table(request: Request) -> Response:
    """Return the table of the report."""
    return _file(request, "programme.csv", "text/csv", "utf-8-sig")


@router.get("/programme/facility.xlsx")
def report_workbook(request: Request) -> Response:
    """Return the board's workbook."""
    return _file(request, "facility.xlsx", WORKBOOK)


def _file(request: Request, name: str, kind: str, coded: str = "utf-8") -> Response:
    """Return a file of the report; a page that says what to do where there is no fit yet."""
    desk, snapshot = _state(request)
    if snapshot.posterior is None:
        return _no_fit(request)
    content = _files(desk, snapshot)[name]
    return _kept(content if isinstance(content, bytes) else content.encode(coded), name, kind)


def _no_fit(request: Request) -> Response:
    return shown(request, "no_fit.html", status=400, title="Report of the programmes")


def _state(request: Request) -> tuple[Desk, Snapshot]:
    """Return the state of the club that one answer is about, whatever is stored meanwhile."""
    desk = desk_of(request)
    return desk, desk.snapshot()


def _files(desk: Desk, snapshot: Snapshot) -> dict[str, str | bytes]:
    """Return the report's files, made once for each state of the club."""
    with working:
        if ("page", "facility") not in snapshot.parts:
            if snapshot.posterior is None:
                raise InputError("there is no fit yet", remedy="fit the club first")
            with written_for(snapshot.tables.settings):
                view = facility_view_of(
                    snapshot.tables,
                    snapshot.number,
                    snapshot.posterior,
                    name=desk.where,
                    anyway=desk.anyway,
                    health_lines=health_lines,
                )
                snapshot.parts["page", "facility"] = facility_files(view)
    found: dict[str, str | bytes] = snapshot.parts["page", "facility"]
    return found


def _kept(content: bytes, name: str, kind: str) -> Response:
    return Response(
        content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )

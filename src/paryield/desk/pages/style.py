"""The style sheet of the documents, which the pages share."""

from __future__ import annotations

from functools import cache

from fastapi import APIRouter
from starlette.responses import Response

from paryield.report.rendering import environment

router = APIRouter()


@router.get("/shared.css")
def shared_style() -> Response:
    """Return the style sheet of the documents."""
    return Response(_style(), media_type="text/css")


@cache
def _style() -> str:
    loader = environment().loader
    assert loader is not None
    return loader.get_source(environment(), "style.css")[0]

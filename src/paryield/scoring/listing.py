"""The handicap record of a club as plain records, one a round."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING, TypedDict

from paryield.errors import InputError
from paryield.scoring.club import handicap_records
from paryield.scoring.steps import HandicapRecord
from paryield.units import counted

if TYPE_CHECKING:
    from paryield.tables import Tables


class IndexLine(TypedDict):
    """One round of a handicap record; strokes, None where there is nothing to show.

    ``lowest`` are the differentials averaged, reductions on them, and ``lowest_rounds`` whose they are:
    places in the golfer's list, from 1.
    """

    golfer_id: str
    played_on: str
    round_no: int
    course: str | None
    holes: int
    counts_for_index: bool
    scaled: bool
    differential: float | None
    index_before: float | None
    index_after: float | None
    lowest: list[float]
    lowest_rounds: list[int]
    adjustment: float
    average: float | None
    low_index: float | None
    low_index_on: str | None
    cap: str
    reduction: float
    note: str


def index_listing(tables: Tables, golfer: str | None = None) -> list[IndexLine]:
    """Work through the handicap records of a club.

    The index is for forecasting; the official one comes from the golfer's association.

    Parameters
    ----------
    tables : Tables
        The club's tables.
    golfer : str, optional
        Only this golfer.

    Returns
    -------
    list of IndexLine
        One a round, by golfer and in order of play.

    Raises
    ------
    InputError
        When there is no such golfer, or a score cannot be.
    """
    if golfer is not None:
        need_golfer(tables, golfer)
    records = handicap_records(tables, golfer=golfer)
    return [line for golfer_id, record in records.items() for line in listed(golfer_id, record)]


def listed(golfer_id: str, record: HandicapRecord) -> list[IndexLine]:
    """Return one golfer's part of :func:`index_listing`."""
    return [
        {
            "golfer_id": golfer_id,
            "played_on": step.played_on.isoformat(),
            "round_no": step.round_no,
            "course": step.course,
            "holes": step.holes,
            "counts_for_index": step.counts,
            "scaled": step.scaled,
            "differential": final,
            "index_before": step.index_before,
            "index_after": step.index_after,
            "lowest": list(step.lowest),
            "lowest_rounds": [place + 1 for place in step.rounds],
            "adjustment": step.adjustment,
            "average": step.average,
            "low_index": step.low_index,
            "low_index_on": step.low_index_on.isoformat() if step.low_index_on else None,
            "cap": step.cap,
            "reduction": step.reduction,
            "note": step.note,
        }
        for step, final in zip(record.steps, record.differentials, strict=True)
    ]


def need_golfer(tables: Tables, golfer: str) -> None:
    """Raise InputError when the club holds no such golfer, naming the nearest id."""
    held = [str(golfer_id) for golfer_id in tables.golfers["golfer_id"]]
    if golfer not in held:
        near = difflib.get_close_matches(golfer, held, n=1, cutoff=0.5)
        remedy = f"the nearest is {near[0]}" if near else f"the club holds {counted(len(held), 'golfer')}"
        raise InputError(f"there is no golfer {golfer!r}", remedy=remedy)

"""Every golfer's record and every round's differential, from a club's tables, and the record as a list."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import TYPE_CHECKING, TypedDict

from paryield.errors import InputError
from paryield.scoring.entries import HOLE_COLUMNS, ROUND_COLUMNS, Row, in_order, records
from paryield.scoring.record import handicap_record
from paryield.scoring.settings import HandicapSettings, settings_of
from paryield.scoring.steps import HandicapRecord
from paryield.units import counted

if TYPE_CHECKING:
    import pandas as pd

    from paryield.tables import Tables

GOLFER_COLUMNS = ("golfer_id", "start_index", "low_index", "low_index_on")

COLUMNS = (
    "golfer_id",
    "played_on",
    "round_no",
    "differential",
    "holes",
    "scaled",
    "counts_for_index",
    "course",
)


def handicap_records(
    tables: Tables, settings: HandicapSettings | None = None, golfer: str | None = None
) -> dict[str, HandicapRecord]:
    """Return the record of every golfer with rounds, by golfer_id in order.

    Parameters
    ----------
    tables : Tables
        The club's tables; golfers give start index and low index, holes the scores of rounds that have
        no adjusted gross score.
    settings : HandicapSettings, optional
        By default those of the club.
    golfer : str, optional
        Only this golfer's record.

    Raises
    ------
    InputError
        When a value cannot be; the golfer is named.

    Examples
    --------
    >>> from paryield.club import Club
    >>> with Club.open("club.db") as club:
    ...     records = handicap_records(club.tables())
    >>> sorted(records)[:3]
    ['G01', 'G02', 'G03']
    """
    settings = settings or settings_of(tables)
    people, played, scored = (
        frame if golfer is None else frame[frame["golfer_id"] == golfer]
        for frame in (tables.golfers, tables.rounds, tables.holes)
    )
    known = {row["golfer_id"]: row for row in records(people, GOLFER_COLUMNS)}
    rounds = _by_golfer(records(played, ROUND_COLUMNS))
    cards = _by_golfer(records(scored, HOLE_COLUMNS))
    found = {}
    for one in sorted(rounds):
        row = known.get(one, {})
        low_on = row.get("low_index_on")
        try:
            found[one] = handicap_record(
                in_order(rounds[one], cards.get(one, ())),
                low_index=row.get("low_index"),
                low_index_on=low_on.date() if low_on is not None else None,
                start_index=row.get("start_index"),
                settings=settings,
            )
        except InputError as error:
            raise InputError(error.message, where=f"golfer {one}", remedy=error.remedy) from error
    return found


def kept_records(tables: Tables) -> dict[str, HandicapRecord]:
    """Return :func:`handicap_records` of these tables, worked out once; they are not to be changed."""
    from paryield.tables.frames import once  # here, so that the plain arithmetic imports quickly

    return once(tables, "handicap records", lambda: handicap_records(tables))


def _by_golfer(rows: Iterable[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row["golfer_id"], []).append(row)
    return found


def differentials(
    tables: Tables, settings: HandicapSettings | None = None, golfer: str | None = None
) -> pd.DataFrame:
    """Return the score differential of every round of the club.

    A given score_differential wins (on a round of fewer holes it is taken as scaled up already); else
    it comes from the adjusted gross score or the hole scores. A round of 9 to 17 holes is scaled up with
    the expected differential of the holes not played, at the index in force (see
    :func:`paryield.scoring.expected_nine_hole_differential`), and flagged ``scaled``.

    Parameters
    ----------
    tables : Tables
        The club's tables.
    settings : HandicapSettings, optional
        By default those of the club.
    golfer : str, optional
        Only this golfer's rounds.

    Returns
    -------
    DataFrame
        golfer_id, played_on, round_no, differential (strokes, tenths; NaN where there is no score),
        holes, scaled, counts_for_index, course; one row per round, counting or not, sorted by golfer,
        day and round.
    """
    import pandas as pd  # here, so that the plain arithmetic imports quickly

    plain = settings is None and golfer is None
    records = kept_records(tables) if plain else handicap_records(tables, settings, golfer)
    rows = [
        (one, step.played_on, step.round_no, value, step.holes, step.scaled, step.counts, step.course)
        for one, record in records.items()
        for step, value in zip(record.steps, record.differentials, strict=True)
    ]
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    return frame.assign(
        golfer_id=frame["golfer_id"].astype("string"),
        played_on=pd.to_datetime(frame["played_on"]).astype("datetime64[ns]"),
        round_no=frame["round_no"].astype("Int64"),
        differential=frame["differential"].astype("float64"),
        holes=frame["holes"].astype("Int64"),
        scaled=frame["scaled"].astype("boolean"),
        counts_for_index=frame["counts_for_index"].astype("boolean"),
        course=frame["course"].astype("string"),
    )


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

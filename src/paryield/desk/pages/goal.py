"""Goal: the index that a golfer wants to reach and by when; stored, it is answered at once."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pandas as pd
from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import Club
from paryield.desk.changes import change_of
from paryield.desk.entries import problems_of, store_rows
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.desk.state import Desk, Snapshot
from paryield.errors import InputError
from paryield.forecast.once import own_record
from paryield.report.goal_words import goal_chance
from paryield.report.words import day, index_text
from paryield.tables import TABLES
from paryield.tables.cells import CellReader
from paryield.tables.schema import GOAL

router = APIRouter()
LABELS = {"goal_index": "Handicap Index to reach", "goal_on": "By"}
FURTHEST_DAYS = 2 * 365
"""A goal lies at most so far ahead: further on a forecast says next to nothing. [judgement]"""
UNFITTED = "Its chance is given after the next fit."


@router.get("/golfers/{name}/goal")
def goal_page(request: Request, name: str, done: str = "") -> Response:
    """Show the golfer's goal with its chance, and the form."""
    return _shown(request, name, None, {}, done=done)


@router.post("/golfers/{name}/goal")
def set_goal(request: Request, name: str, form: Sent) -> Response:
    """Store or clear the goal of one golfer, or show what was typed with what is wrong."""
    desk, visitor = desk_of(request), visitor_of(request)
    golfer_id = own_golfer(desk.snapshot(), visitor, name)
    given = {column: str(form.get(column, "")).strip()[:100] for column in GOAL}
    if form.get("clear"):
        given = dict.fromkeys(GOAL, "")
    elif wrong := _wrong(given, desk.snapshot().today()):
        return _shown(request, name, given, wrong, status=400)
    try:
        row = {"golfer_id": golfer_id, **given}
        number = store_rows(desk, "golfers", [row], replace=True, who=visitor.who)
    except InputError as error:
        wrong = {}
        for one in problems_of(error):
            column = one.column if one.column in GOAL else ""
            wrong.setdefault(column, f"{one.message}: {one.remedy}" if one.remedy else one.message)
        return _shown(request, name, given, wrong, status=400)
    return RedirectResponse(f"/golfers/{name}/goal?done={number or 'same'}", 303)


def _wrong(given: dict[str, str], last: date) -> dict[str, str]:
    """What is wrong by field: a cell as in a file, and a day that has passed or is too far off."""
    found = {}
    values = {}
    for column in GOAL:
        reader = CellReader(TABLES["golfers"].column(column), date.max)
        values[column] = reader.value(given[column])
        for fault in reader.faults.values():
            found[column] = f"{given[column]!r} {fault.message}: {fault.remedy}"
    if not given["goal_index"]:
        found["goal_index"] = "it is blank: type the index to reach, such as 12.3 or +1.2"
    on: Any = values["goal_on"]
    if given["goal_on"] and "goal_on" not in found:
        first = max(last, date.today())
        by, latest = date(1970, 1, 1) + timedelta(days=int(on)), first + timedelta(days=FURTHEST_DAYS)
        if by <= first:
            found["goal_on"] = f"{day(by)} has passed: give a day after {day(first)}"
        elif by > latest:
            found["goal_on"] = f"{day(by)} is too far off: give a day up to {day(latest)}"
    return found


def _shown(
    request: Request,
    name: str,
    given: dict[str, str] | None,
    wrong: dict[str, str],
    *,
    done: str = "",
    status: int = 200,
) -> Response:
    desk, visitor = desk_of(request), visitor_of(request)
    snapshot = desk.snapshot()
    golfer_id = own_golfer(snapshot, visitor, name)
    held = goal_held(snapshot, golfer_id)
    return page(
        request,
        "goal.html",
        status=status,
        title=f"Goal: {snapshot.name_of(golfer_id)}",
        name=name,
        golfer=snapshot.name_of(golfer_id),
        given=held if given is None else given,
        labels=LABELS,
        index=_index_now(snapshot, golfer_id),
        wrong=wrong,
        is_set=bool(held["goal_index"]),
        chance=_chance(desk, snapshot, golfer_id, held),
        done=_done(desk, done, golfer_id),
        first=max(snapshot.today(), date.today()) + timedelta(days=1),
    )


def _index_now(snapshot: Snapshot, golfer_id: str) -> float | None:
    """Return the Handicap Index in force by the rounds on record."""
    record = own_record(snapshot.tables, golfer_id)
    return None if record is None else record.index


def goal_held(snapshot: Snapshot, golfer_id: str) -> dict[str, str]:
    """Return the goal on record as text by column, as the form shows it; a plus index with its plus."""
    golfers = snapshot.tables.golfers
    row = golfers[golfers["golfer_id"] == golfer_id].iloc[0]
    aim, by = row["goal_index"], row["goal_on"]
    return {
        "goal_index": "" if pd.isna(aim) else index_text(float(aim)),
        "goal_on": "" if pd.isna(by) else f"{by.date()}",
    }


def _chance(desk: Desk, snapshot: Snapshot, golfer_id: str, held: dict[str, str]) -> str:
    """Return the goal on record with its chance by the rows now on record; empty where none is set."""
    if not held["goal_index"]:
        return ""
    if golfer_id in snapshot.fitted:
        goal = desk.glance(snapshot, golfer_id).goal
        if goal is not None:
            return goal_chance(goal)
    by = f" by {day(held['goal_on'])}" if held["goal_on"] else ""
    return f"{held['goal_index']}{by}. {UNFITTED}"


def _done(desk: Desk, done: str, golfer_id: str) -> dict[str, Any] | None:
    """Return what to say about what was just stored: whether it changed anything, and how to undo it."""
    if done == "same":
        return {"number": None}
    if not (done.isascii() and done.isdecimal() and len(done) < 12):
        return None
    with Club.open(desk.where) as club:
        change = change_of(club, int(done))
    mine = change is not None and change.is_of([golfer_id]) and change.undoable
    return {"number": int(done)} if mine else None

"""Answers for programs: who is in the club, a golfer's forecast and his advised week, as JSON; read-only."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any

from fastapi import APIRouter, Request
from fastapi.openapi.utils import get_openapi

from paryield import __version__
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.security import cookie_name
from paryield.desk.show import desk_of
from paryield.desk.state import Snapshot
from paryield.errors import NotReportableError
from paryield.report.views import GolferView
from paryield.report.words import missing
from paryield.scoring.club import index_listing

router = APIRouter(tags=["answers"])
ABOUT = (
    "Read-only answers of one club, under the same rights as its pages: a coach sees his golfers, a player "
    "or guardian one record. Sign in on the page and send its cookie. Quantiles are in strokes; a Handicap "
    "Index is worked out here, and the official one comes from the golfer's association. Every forecast is "
    "estimated; a plan says how far the returns behind it were measured."
)


@dataclass(frozen=True)
class Member:
    """One golfer: ``golfer`` is his mark in addresses, ``index`` the one worked out from his rounds."""

    golfer: str
    name: str
    index: float | None
    rounds: int
    forecast: str | None
    plan: str | None


@dataclass(frozen=True)
class Ahead:
    """One quantity so many weeks on, with the quantiles of its distribution in strokes.

    ``quantity`` is handicap_index, mean_differential (an average round) or score_differential (one round).
    What cannot be answered is not reportable and says why.
    """

    on: str
    weeks: int
    quantity: str
    reportable: bool
    reason: str | None
    q025: float | None
    q10: float | None
    q25: float | None
    q50: float | None
    q75: float | None
    q90: float | None
    q975: float | None


@dataclass(frozen=True)
class Outlook:
    """A golfer's forecast, practising as now; ``as_of`` is the last day on record."""

    golfer: str
    name: str
    as_of: str
    run: int
    quick: bool
    goal: float | None
    goal_by: str | None
    goal_chance: float | None
    ahead: list[Ahead]


@dataclass(frozen=True)
class Hours:
    """Hours a week of one practice category: now (scaled to the same total), advised, best-looking."""

    category: str
    hours_now: float
    hours_advised: float
    hours_best: float
    reps_advised: int | None


@dataclass(frozen=True)
class Sitting:
    """One session: its day, minutes, and repetitions where they are counted."""

    on: str
    category: str
    minutes: int
    reps: int | None


@dataclass(frozen=True)
class Gain:
    """Strokes a round that the best-looking week saves against the present one at the horizon."""

    q10: float
    q50: float
    q90: float


@dataclass(frozen=True)
class Week:
    """A golfer's advised week, and what must be said beside it."""

    golfer: str
    name: str
    as_of: str
    hours: float
    weeks: int
    verdict: str
    evidence: str
    gain: Gain
    chance_gain: float
    price_if_wrong: float
    weeks_plan: list[Hours]
    sessions: list[Sitting]
    notes: list[str]
    cautions: list[str]


@router.get("/api/golfers")
def members(request: Request) -> list[Member]:
    """List the golfers whose records the visitor may see."""
    snapshot, visitor = desk_of(request).snapshot(), visitor_of(request)
    latest = _latest(snapshot)
    found = []
    for golfer_id, name in visitor.own(snapshot).items():
        mark = snapshot.ids[golfer_id]
        index, rounds = latest.get(golfer_id, (None, 0))
        here = f"/api/golfers/{mark}" if golfer_id in snapshot.fitted else None
        links = (f"{here}/forecast", f"{here}/plan") if here else (None, None)
        found.append(Member(mark, name, index, rounds, *links))
    return found


@router.get("/api/golfers/{name}/forecast")
def outlook(request: Request, name: str) -> Outlook:
    """Say where a golfer will be, practising as now."""
    view, _ = _view(request, name)
    names = [one.name for one in fields(Ahead)]
    rows = [{key: row.get(key) for key in names} for row in view.forecast.to_dict("records")]
    ahead = [Ahead(**{key: _plain(value) for key, value in row.items()}) for row in rows]
    goal = view.goal
    return Outlook(
        golfer=name,
        name=view.name,
        as_of=view.as_of.isoformat(),
        run=view.run.number,
        quick=view.run.quick,
        goal=None if goal is None else goal.goal,
        goal_by=None if goal is None else goal.by.isoformat(),
        goal_chance=None if goal is None or missing(goal.chance) else goal.chance,
        ahead=ahead,
    )


@router.get("/api/golfers/{name}/plan")
def week(request: Request, name: str) -> Week:
    """Give a golfer's advised week with its sessions."""
    view, _ = _view(request, name)
    plan = view.plan
    if plan is None:
        raise NotReportableError("no week is planned for this golfer", remedy="log practice for some weeks")
    return Week(
        golfer=name,
        name=view.name,
        as_of=view.as_of.isoformat(),
        hours=plan["hours"],
        weeks=plan["weeks"],
        verdict=plan["verdict"],
        evidence=plan["evidence"],
        gain=Gain(*(plan["gain"][quantile] for quantile in ("q10", "q50", "q90"))),
        chance_gain=plan["chance_gain"],
        price_if_wrong=plan["price_if_wrong"],
        weeks_plan=[Hours(*(row[one.name] for one in fields(Hours))) for row in plan["weeks_plan"]],
        sessions=[Sitting(*(row[one.name] for one in fields(Sitting))) for row in plan["sessions"]],
        notes=plan["notes"],
        cautions=plan["cautions"],
    )


@router.get("/api/openapi.json", include_in_schema=False)
def description(request: Request) -> dict[str, Any]:
    """Describe these answers as the OpenAPI standard has it."""
    found = get_openapi(title="paryield", version=__version__, description=ABOUT, routes=router.routes)
    cookie = {"type": "apiKey", "in": "cookie", "name": cookie_name(request)}
    found.setdefault("components", {})["securitySchemes"] = {"signed_in": cookie}
    found["security"] = [{"signed_in": []}]
    return found


def _view(request: Request, name: str) -> tuple[GolferView, Snapshot]:
    """Return what is known of a golfer; an answer that his page would not show is refused here too."""
    desk = desk_of(request)
    snapshot = desk.snapshot()
    golfer_id = own_golfer(snapshot, visitor_of(request), name)
    if golfer_id not in snapshot.fitted:
        reason = snapshot.withheld or "no fit has seen this golfer"
        raise NotReportableError(reason, remedy="look at the page Health")
    return desk.view(snapshot, golfer_id), snapshot


def _latest(snapshot: Snapshot) -> dict[str, tuple[float | None, int]]:
    """Return index and number of rounds by golfer, worked out once for each state of the club."""
    key = ("api", "index")
    if key not in snapshot.parts:
        found: dict[str, tuple[float | None, int]] = {}
        for row in index_listing(snapshot.tables):
            before = found.get(row["golfer_id"], (None, 0))
            found[row["golfer_id"]] = (row["index_after"], before[1] + 1)
        snapshot.parts[key] = found
    kept: dict[str, tuple[float | None, int]] = snapshot.parts[key]
    return kept


def _plain(value: Any) -> Any:
    """Return a cell as JSON holds it: days as ISO text, blanks as null."""
    if missing(value) or (isinstance(value, float) and not math.isfinite(value)):
        return None
    return value.date().isoformat() if hasattr(value, "date") else value

"""Saved plans on the page Another week: side by side, one kept while the others end."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

import numpy as np
import pandas as pd
from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.club import Club
from paryield.desk.guard import own_golfer, visitor_of
from paryield.desk.security import Sent
from paryield.desk.show import desk_of
from paryield.desk.state import Desk, Snapshot
from paryield.errors import InputError
from paryield.forecast import Scene
from paryield.forecast.what_if import GAIN_WEEKS, WhatIf, answer, hours_of
from paryield.plan.saved import OVER, RUNNING, Saved, ended, runs_on, saved_plans
from paryield.report.sums import minutes_adding_up
from paryield.report.week_words import plans_words
from paryield.report.words import chance_text, index_span, index_text, missing, number
from paryield.results import summary
from paryield.tables import Tables

router = APIRouter()
MOST_SHOWN = 3
"""Plans side by side; more columns than that do not fit a telephone."""


@router.post("/golfers/{name}/plans/keep")
def keep(request: Request, name: str, form: Sent) -> Response:
    """Let one plan run on and end the others of this golfer that run."""
    desk, golfer_id, kept = _named(request, name, form)
    snapshot = desk.snapshot()
    others = [
        one.plan
        for one in saved_plans(snapshot.tables, snapshot.today(), golfer=golfer_id)
        if runs_on(one, snapshot.today()) and one.plan != kept
    ]
    _end(request, desk, golfer_id, others)
    return RedirectResponse(f"/golfers/{name}/what-if?{urlencode({'saved': 'kept', 'plan': kept})}", 303)


@router.post("/golfers/{name}/plans/end")
def end(request: Request, name: str, form: Sent) -> Response:
    """End one plan of this golfer on the last day of the records."""
    desk, golfer_id, plan = _named(request, name, form)
    _end(request, desk, golfer_id, [plan])
    return RedirectResponse(f"/golfers/{name}/what-if?saved=ended", 303)


def _named(request: Request, name: str, form: Any) -> tuple[Desk, str, str]:
    """Return the desk, the golfer and the plan that a form names."""
    desk = desk_of(request)
    golfer_id = own_golfer(desk.snapshot(), visitor_of(request), name)
    plan = str(form.get("plan", ""))
    if not plan:
        raise InputError("no plan is named", where="Saved plans", remedy="press a button beside a plan")
    return desk, golfer_id, plan


def _end(request: Request, desk: Desk, golfer_id: str, plans: list[str]) -> None:
    """Put the last day of plans on record as one change that can be undone."""
    if not plans:
        return
    with Club.open(desk.where, who=visitor_of(request).who) as club:
        tables, today = club.tables(), desk.snapshot().today()
        running = {one.plan for one in saved_plans(tables, today, golfer=golfer_id) if runs_on(one, today)}
        for plan in plans:
            if plan not in running:
                remedy = "look at the page again: it may have been ended or taken back meanwhile"
                raise InputError(f"no plan {plan!r} of this golfer runs", where="Saved plans", remedy=remedy)
        rows = pd.concat([ended(tables, plan, today, golfer=golfer_id) for plan in plans], ignore_index=True)
        club.import_tables({"plans": rows}, replace=True, undoable=True, entry=True)


def shown_plans(tables: Tables, scene: Scene) -> list[Saved]:
    """Return the saved plans that stand side by side: those that run or are to come, else the latest."""
    found = saved_plans(tables, scene.as_of, golfer=scene.golfer_id)
    return sorted(found, key=lambda one: one.state == OVER)[:MOST_SHOWN]


def beside(snapshot: Snapshot, scene: Scene, shift: float) -> list[dict[str, Any]]:
    """Return what the page shows of each saved plan; worked out once for the rows now on record."""
    key = f"saved plans {scene.golfer_id}"
    if key not in snapshot.parts:
        snapshot.parts[key] = [_column(scene, one, shift) for one in shown_plans(snapshot.tables, scene)]
    found: list[dict[str, Any]] = snapshot.parts[key]
    return found


def _column(scene: Scene, plan: Saved, shift: float) -> dict[str, Any]:
    hours = {name: plan.hours.get(name, 0.0) for name in scene.categories}
    draws = None
    try:
        found = answer(scene, hours_of(scene, hours))
    except InputError as error:
        gain = index = chance = error.line()
    else:
        draws = found.gain
        gain, index, chance = _spread(summary(draws)), index_ahead(found), chance_ahead(found, shift)
    return {
        "plan": plan.plan,
        "state": OVER if plan.state == RUNNING and not runs_on(plan, scene.as_of) else plan.state,
        "running": runs_on(plan, scene.as_of),
        "starts_on": plan.starts_on,
        "ends_on": plan.ends_on,
        "hours": hours,
        "shown": minutes_adding_up(hours),
        "total": sum(hours.values()),
        "limited": [
            name
            for name, most in zip(scene.categories, scene.ceiling, strict=True)
            if hours[name] > float(most) + 1e-9
        ],
        "unknown": sorted(set(plan.hours) - set(hours)),
        "index": index,
        "gain": gain,
        "chance": chance,
        "draws": draws,
    }


def told_between(plans: list[dict[str, Any]], rests: Callable[[dict[str, float]], str]) -> list[str]:
    """Say which of the shown plans saves most and whether that can be told from the next one.

    ``rests`` says of a difference of hours by category how far the returns behind it were measured.
    """
    known = [one for one in plans if one["draws"] is not None and one["state"] != OVER]
    if len(known) < 2:
        return []
    best, next_best = sorted(known, key=lambda one: -float(np.median(one["draws"])))[:2]
    more = best["draws"] - next_best["draws"]
    hours = {name: best["hours"][name] - next_best["hours"][name] for name in best["hours"]}
    told = {"evidence": rests(hours), "longer": best["total"] - next_best["total"]}
    return plans_words(best["plan"], next_best["plan"], summary(more), float(np.mean(more > 0)), **told)


def chance_shift(desk: Desk, snapshot: Snapshot, scene: Scene, present: WhatIf) -> float:
    """Return by how much the chance of the goal on the golfer's page differs from the sliders'.

    The sliders reckon in single precision; shifted by this, the present week has the chance of the page.
    """
    goal = desk.view(snapshot, scene.golfer_id).goal
    if goal is None or goal.chance is None or present.chance is None or missing(goal.chance):
        return 0.0
    return float(goal.chance) - present.chance


def chance_shown(found: WhatIf, shift: float) -> float | None:
    """Return the chance of the goal with the shift of :func:`chance_shift`; None where there is none."""
    return None if found.chance is None else min(max(found.chance + shift, 0.0), 1.0)


def chance_ahead(found: WhatIf, shift: float) -> str:
    """Return the chance of the golfer's goal as shown, blank where he has none that is still ahead."""
    chance = chance_shown(found, shift)
    return "" if chance is None else chance_text(chance)


def index_ahead(found: WhatIf) -> str:
    """Return the index in 12 weeks with its range, as shown."""
    for one in found.records:
        if one["quantity"] == "handicap_index" and one["weeks"] == GAIN_WEEKS and one["reportable"]:
            return f"{index_text(one['q50'])} ({index_span(one['q10'], one['q90'])})"
    return "not given"


def _spread(gain: dict[str, Any]) -> str:
    return f"{number(gain['q50'], 2)} ({number(gain['q10'], 2)} to {number(gain['q90'], 2)})"


def hours_called(tables: Tables, scene: Scene, plan: str) -> dict[str, float]:
    """Return the hours of a golfer's plan by category of the fit.

    Raises
    ------
    InputError
        When he has no plan of that name.
    """
    found = [one for one in saved_plans(tables, scene.as_of, golfer=scene.golfer_id) if one.plan == plan]
    if not found:
        raise InputError(
            f"there is no saved plan {plan!r} of this golfer", remedy="choose one that is listed"
        )
    return {name: found[0].hours.get(name, 0.0) for name in scene.categories}

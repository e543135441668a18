"""What if: hours by practice category on sliders, and the forecast that moves with them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

import numpy as np
from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.responses import HTMLResponse, RedirectResponse, Response

from paryield.desk.entries import store_rows
from paryield.desk.guard import visitor_of
from paryield.desk.hours import STEP, Week, meant, present_week, sent_week, spread_week, tops, week_of
from paryield.desk.pages.saved_plans import (
    beside,
    chance_ahead,
    chance_shift,
    chance_shown,
    hours_called,
    index_ahead,
    told_between,
)
from paryield.desk.security import Sent
from paryield.desk.show import fitted_golfer, page, render
from paryield.desk.state import Desk, Snapshot
from paryield.errors import InputError
from paryield.forecast import Scene
from paryield.forecast.what_if import WhatIf, answer, hours_of
from paryield.plan import STANDING_CAUTIONS, plan_tables
from paryield.plan.advice import usual_hours
from paryield.plan.advised import told_apart
from paryield.plan.evidence import gain_evidence
from paryield.plan.room import present_split
from paryield.plan.saved import running_plan
from paryield.plan.week_verdict import rests_on
from paryield.posterior.evidence import evidence_word
from paryield.report.figures.fan import Picture, what_if_picture
from paryield.report.plan_words import plan_sentence
from paryield.report.week_words import APART_HOURS, even_words, goal_words, index_words, week_sentences
from paryield.report.words import sentence
from paryield.results import summary

router = APIRouter()
PLAN_WEEKS = 12


@router.get("/golfers/{name}/what-if")
def what_if_page(request: Request, name: str) -> Response:
    """Show the sliders at the present week, or at the hours of a saved plan."""
    return _whole(request, name, None)


@router.post("/golfers/{name}/what-if")
def what_if_sent(request: Request, name: str, form: Sent) -> Response:
    """Show the answer for the hours sent, as a whole page."""
    return _whole(request, name, form)


@router.post("/golfers/{name}/what-if/move")
def what_if_moved(request: Request, name: str, form: Sent) -> Response:
    """Return the answer for the hours sent, as parts of the page."""
    desk, snapshot, scene = _scene(request, name)
    week = sent_week(scene, dict(form))
    return HTMLResponse(render(request, "move.html", moving=True, **_answered(desk, snapshot, scene, week)))


@router.post("/golfers/{name}/what-if/plan")
def save_plan(request: Request, name: str, form: Sent) -> Response:
    """Store the hours as a plan that starts on the last day of the records."""
    desk, _, scene = _scene(request, name)
    week = sent_week(scene, dict(form))
    title = str(form.get("plan", "")).strip()
    if not title:
        raise InputError("the plan has no name", where="Save as a plan", remedy="write one and save again")
    ends = scene.as_of + timedelta(weeks=PLAN_WEEKS)
    rows = [
        {
            "plan": title,
            "golfer_id": scene.golfer_id,
            "category": category,
            "starts_on": scene.as_of.isoformat(),
            "ends_on": ends.isoformat(),
            "minutes_per_week": f"{round(60 * hours)}",
        }
        for category, hours in week.hours.items()
        if hours > 0
    ]
    if not rows:
        raise InputError("the plan has no hours", where="Save as a plan", remedy="move a slider first")
    number = store_rows(desk, "plans", rows, replace=True, who=visitor_of(request).who)
    done = "same" if number is None else number
    return RedirectResponse(f"/golfers/{name}/what-if?{urlencode({'saved': done, 'plan': title})}", 303)


def _whole(request: Request, name: str, form: FormData | None) -> Response:
    desk, snapshot, scene = _scene(request, name)
    plan = request.query_params.get("plan", "")
    week = present_week(scene) if form is None else sent_week(scene, dict(form))
    filed = _filed(snapshot, scene)
    if plan:
        week = week_of(scene, hours_called(snapshot.tables, scene, plan))
    else:
        week = _begun(desk, snapshot, scene, request.query_params.get("hours", ""), filed) or week
    shown = _answered(desk, snapshot, scene, week, asked=True)
    title = f"Another week: {snapshot.name_of(scene.golfer_id)}"
    saved = request.query_params.get("saved", "")
    shown["plans"] = beside(snapshot, scene, shown["shift"])
    runs = running_plan(snapshot.tables, scene.golfer_id, scene.as_of)
    shown |= {"asked_plan": plan, "follows": "" if runs is None else runs.plan}
    shown["between"] = told_between(shown["plans"], lambda hours: _measured(snapshot, scene, hours))
    return page(
        request, "what_if.html", title=title, name=name, saved=saved, filed=filed, moving=False, **shown
    )


def _begun(desk: Desk, snapshot: Snapshot, scene: Scene, asked: str, filed: float | None) -> Week | None:
    """Return the week that a link starts from: the hours on file, the usual split, or the advised week."""
    assert snapshot.posterior is not None
    if asked == "file" and filed is not None:
        return spread_week(scene, filed)
    if asked == "usual":
        total = float(scene.now.sum()) if filed is None else filed
        usual = present_split(snapshot.posterior, scene.golfer_id, scene.categories, total)
        return week_of(scene, dict(zip(scene.categories, usual.tolist(), strict=True)))
    record = desk.view(snapshot, scene.golfer_id).plan if asked == "advised" else None
    rows = [] if record is None else record["weeks_plan"]
    return week_of(scene, {row["category"]: row["hours_advised"] for row in rows}) if rows else None


def _filed(snapshot: Snapshot, scene: Scene) -> float | None:
    """Return the weekly hours on file that the golfer's page plans for, where the diary's are others."""
    assert snapshot.posterior is not None
    filed, done = usual_hours(snapshot.tables, snapshot.posterior, scene.golfer_id), float(scene.now.sum())
    return filed if done > 0 and told_apart(filed, done) else None


def _scene(request: Request, name: str) -> tuple[Desk, Snapshot, Scene]:
    desk, snapshot, golfer_id = fitted_golfer(request, name)
    scene = desk.scene(snapshot, golfer_id)
    if not scene.categories:
        raise InputError(
            "nobody in the club has a practice diary yet",
            remedy="log practice for some weeks, then fit again",
        )
    return desk, snapshot, scene


def _answered(
    desk: Desk, snapshot: Snapshot, scene: Scene, week: Week, *, asked: bool = False
) -> dict[str, Any]:
    found = answer(scene, hours_of(scene, meant(scene, week)))
    present, picture = _present(snapshot, scene)
    shift = chance_shift(desk, snapshot, scene, present)
    chances = tuple(chance_shown(one, shift) for one in (present, found))
    now = present_week(scene)
    advised = _advised(desk, snapshot, scene, week.total, asked=asked)
    lines = _compared(snapshot, scene, week, found, advised)
    rows = [
        {
            "place": place,
            "name": name,
            "hours": week.hours[name],
            "now": now.hours[name],
            "top": top,
            "seen": min(float(seen) / top, 1.0) if top > 0 else 1.0,
            "beyond": week.hours[name] > float(seen) + 0.025,
            "locked": name in week.locked,
            "moved": name == week.moved,
        }
        for place, (name, top, seen) in enumerate(
            zip(scene.categories, tops(scene), scene.seen, strict=True), start=1
        )
    ]
    return {
        "golfer_id": scene.golfer_id,
        "rows": rows,
        "week": week,
        "total_now": now.total,
        "shift": shift,
        "present_index": index_ahead(present),
        "present_chance": chance_ahead(present, shift),
        "lines": lines[:1]
        + index_words(found.records, present.records)
        + goal_words(scene.goal, scene.by, *chances),
        "asides": lines[1:],
        "advised": advised,
        "picture": picture.svg(found.records, " ".join(lines)),
    }


def _compared(
    snapshot: Snapshot, scene: Scene, week: Week, found: WhatIf, advised: dict[str, Any] | None
) -> list[str]:
    """Return how the week compares with the present one, and with as much time in the usual split.

    Sliders stand at whole minutes, an advised week does not: where they stand at it, its own numbers are
    said, so that two on one page do not differ in the last digit.
    """
    now, even = present_week(scene), spread_week(scene, week.total)
    own = advised if advised is not None and advised["best"] else None
    if own is not None and week.hours != week_of(scene, own["best"]).hours:
        own = None
    same_start = own is not None and _alike(week_of(scene, own["now"]), now)
    gain, chance = summary(found.gain), float(np.mean(found.gain > 0))
    if own is not None and same_start:
        gain, chance = own["gain"], own["chance"]
    changed = bool(found.gain.any())
    evidence = _rests_on(snapshot, scene, week)
    lines = week_sentences(gain, chance, changed=changed, evidence=evidence, present=now.total)
    if now.total <= 0 or not (abs(week.total - now.total) >= APART_HOURS or (own and not same_start)):
        return lines
    if own is None:
        more = found.gain - (found if week.hours == even.hours else _usual_split(snapshot, scene, week)).gain
    return [*lines, even_words(summary(more) if own is None else own["gain"], week.total)]


def _alike(one: Week, other: Week) -> bool:
    """Whether two weeks are the same to a minute of each practice."""
    return all(abs(hours - other.hours[name]) < 1.5 * STEP for name, hours in one.hours.items())


def _usual_split(snapshot: Snapshot, scene: Scene, week: Week) -> WhatIf:
    """Return the answer for as much time split as an advised week is held against."""
    assert snapshot.posterior is not None
    return answer(scene, present_split(snapshot.posterior, scene.golfer_id, scene.categories, week.total))


def _rests_on(snapshot: Snapshot, scene: Scene, week: Week) -> str:
    """Return how far the returns behind a week's difference from the present one were measured."""
    now = dict(zip(scene.categories, scene.now.tolist(), strict=True))
    return _measured(snapshot, scene, {name: week.hours[name] - now[name] for name in now})


def _measured(snapshot: Snapshot, scene: Scene, difference: dict[str, float]) -> str:
    """Return how far the returns behind a difference of weekly hours were measured."""
    assert snapshot.posterior is not None
    if ("page", "evidence") not in snapshot.parts:
        snapshot.parts["page", "evidence"] = gain_evidence(snapshot.posterior)
    hours = np.array([difference[name] for name in scene.categories])
    return evidence_word(rests_on(snapshot.parts["page", "evidence"], scene.categories, hours))


def _advised(
    desk: Desk, snapshot: Snapshot, scene: Scene, total: float, *, asked: bool
) -> dict[str, Any] | None:
    """Return the advised split of as many hours; worked out when asked for, shown as long as it fits."""
    key = ("week", scene.golfer_id, f"advised {total:.2f}")
    if key not in snapshot.parts and asked and total > 0:
        try:
            record = _record_for(desk, snapshot, scene, total)
        except InputError as error:
            none: dict[str, Any] = {"hours": {}, "best": {}, "now": {}, "total": 0.0, "cautions": []}
            snapshot.parts[key] = none | {"said": error.line()}
        else:
            advised_hours = {row["category"]: row["hours_advised"] for row in record["weeks_plan"]}
            snapshot.parts[key] = {
                "hours": advised_hours,
                "best": {row["category"]: row["hours_best"] for row in record["weeks_plan"]},
                "gain": record["gain"],
                "chance": record["chance_gain"],
                "now": {row["category"]: row["hours_now"] for row in record["weeks_plan"]},
                "total": sum(advised_hours.values()),
                "said": sentence(plan_sentence(record)),
                "cautions": [line for line in record["cautions"] if line not in STANDING_CAUTIONS],
            }
    advised: dict[str, Any] | None = snapshot.parts.get(key)
    return advised


def _record_for(desk: Desk, snapshot: Snapshot, scene: Scene, total: float) -> dict[str, Any]:
    """Return the advised week for a total; for the present one, and that on file, the golfer's page's.

    The sliders can only come near to the hours on file, the diary's hours are often others, and what is
    advised in whole quarters of an hour may be fewer: all of them are answered by what the golfer's page
    advises, so that no page contradicts another.
    """
    assert snapshot.posterior is not None
    filed = usual_hours(snapshot.tables, snapshot.posterior, scene.golfer_id)
    near = STEP * len(scene.categories)
    shown = desk.view(snapshot, scene.golfer_id).plan
    if shown is not None:
        placed = sum(row["hours_best"] for row in shown["weeks_plan"])
        if min(abs(total - one) for one in (filed, present_week(scene).total, placed)) <= near:
            return shown
    return plan_tables(snapshot.posterior, snapshot.tables, golfers=[scene.golfer_id], hours=total).records[0]


def _present(snapshot: Snapshot, scene: Scene) -> tuple[WhatIf, Picture]:
    """Return the answer for the present week and the picture that every other week is drawn into."""
    key = ("week", scene.golfer_id, "present")
    if key not in snapshot.parts:
        present = answer(scene, scene.now)
        full = answer(scene, hours_of(scene, dict(zip(scene.categories, tops(scene), strict=True))))
        picture = what_if_picture(present.records, full.records, goal=scene.goal, by=scene.by)
        snapshot.parts[key] = (present, picture)
    found: tuple[WhatIf, Picture] = snapshot.parts[key]
    return found

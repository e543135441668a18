"""Asks the desk anything at all: requests made up from its own list of routes and forms."""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from malformed import MALFORMED
from paryield.club import Club
from paryield.desk.fields import FORMS
from paryield.desk.on_record import KINDS, form_of, key_of, latest_entries
from paryield.desk.security import COOKIE, TOKEN, token

SESSION = "s" * 43
OWN = "http://127.0.0.1"
"""The address of this computer; the desk turns away other names."""
SECONDS = 600.0
"""An answer that takes longer is a hang: a page works out six golfers, on a machine that may be busy."""

ANY = {"type": "string"}
FIT = {"adjusted_gross_score": "85", "course_rating": "71.2", "slope_rating": "128"}
FIT |= {"category": "chipping", "minutes": "30", "reps": "60", "test": "putting ladder", "distance_ft": "10"}
FIT |= {"name": "Perpetua Owlbright", "role": "therapist", "text": 'locale = "de_DE"', "next": "/log"}
FIT |= {"starts_on": "2026-05-01", "most_minutes_per_week": "90"}
FIT |= {"tried": "10", "made": "6", "schedule": "random", "note": "=1+1", "plan": "summer", "kind": "quick"}
"""A value that is right for a field of this name."""

GOOD = {
    "golfers.csv": b"golfer_id,display_name\nZ1,Perpetua Owlbright\n",
    "rounds.csv": b"golfer_id,played_on,score_differential\nZ1,2026-05-01,14.2\n",
}
FOLDERS = [GOOD, *(case.files for case in MALFORMED if case.files)]
BATCH = re.compile(r"/bring-in/([\w-]{22})\b")


def described(app: FastAPI) -> dict[str, Any]:
    """Return the desk's own description (OpenAPI) with what its forms hold and which golfers there are.

    A route that is not named here gets a form of any fields.
    """
    found: dict[str, Any] = app.openapi()
    desk = app.state.desk
    snapshot = desk.snapshot()
    names = list(snapshot.ids.values())
    sliders = [
        f"{kind}.{one.name}" for one in snapshot.tables.categories for kind in ("hours", "was", "lock")
    ]
    columns = sorted({name for form in FORMS.values() for name in form.columns})
    path = {"name": enum(names), "kind": enum(list(FORMS)), "number": {"type": "integer"}, "batch": ANY}
    fields: dict[str, list[str]] = {
        "/sign-in": ["name", "password", "next"],
        "/password": ["old", "new", "again"],
        "/people/add": ["name", "role", "golfer"],
        "/settings": ["text"],
        "/loads/{name}/limit": ["category", "starts_on", "ends_on", "most_minutes_per_week", "note"],
        "/golfers/{name}/goal": ["goal_index", "goal_on", "clear"],
        "/log/{kind}": [
            *("golfer", "day", "another", "correct", "seen", "was", "remove", "filled", "filled_for"),
            *columns,
        ],
        "/golfers/{name}/entries/{kind}/correct": ["at", "seen", "remove", "day", *columns],
        "/bring-in/{batch}/store": ["keep_good", "replace"],
        "/bring-in/{batch}/adopt": ["question", "answer", "number", "when"],
        "/work/start": ["kind"],
    }
    for place, operations in found["paths"].items():
        for method, operation in operations.items():
            for one in operation.get("parameters", []):
                if one["in"] == "path":
                    one["schema"] = path.get(one["name"], ANY)
            if method == "post":
                wanted = [*sliders, "keep_total", "plan"] if "what-if" in place else fields.get(place, [])
                shapes = {name: value_of(name, names) for name in wanted}
                form = {"type": "object", "properties": shapes, "additionalProperties": ANY}
                kind = "multipart/form-data" if place == "/bring-in" else "application/x-www-form-urlencoded"
                operation["requestBody"] = {"required": True, "content": {kind: {"schema": form}}}
    return found


def enum(words: list[str]) -> dict[str, Any]:
    """Return the schema of one of these words, or any other."""
    return {"anyOf": [{"enum": words}, ANY]}


def value_of(name: str, golfers: list[str]) -> dict[str, Any]:
    """Return the schema of a form's field."""
    if name == "golfer":
        return enum(golfers)
    if name.startswith(("hours.", "was.")):
        return enum(["0", "0.05", "1.5", "3", "nan", "-1", "1e9"])
    return enum([FIT[name]]) if name in FIT else ANY


@dataclass
class Asked:
    """What the answers were: counts by status, the slowest in seconds, and batches that were read."""

    statuses: Counter[int] = field(default_factory=Counter)
    slowest: float = 0.0
    batches: list[str] = field(default_factory=list)


FILES = st.sampled_from(FOLDERS).map(lambda files: list(files.items())) | st.lists(
    st.tuples(
        st.sampled_from(["rounds.csv", "golfers.CSV", "club.xlsx", "settings.toml", "../../x.csv", "a.exe"])
        | st.text(min_size=1, max_size=20),
        st.binary(max_size=200),
    ),
    max_size=5,
)


def ask(
    app: FastAPI,
    asked: Asked,
    examples: int,
    number: int,
    session: Callable[[], str] | None = None,
    **call: Any,
) -> None:
    """Send so many made-up requests to every route, and look at each answer.

    Parameters
    ----------
    app : FastAPI
        The desk.
    asked : Asked
        Is added to.
    examples, number : int
        Requests to each route, and the seed.
    session : callable, optional
        Signs somebody in and returns his cookie, before each route; without, the desk asks for none.
    **call
        Where to send them (``base_url``); by default to ``app`` itself.
    """
    import schemathesis  # takes a second, and only slow tests ask

    schema = schemathesis.openapi.from_dict(described(app))
    schema.app = None if "base_url" in call else app
    call = {"base_url": OWN, **call}
    golfers = list(app.state.desk.snapshot().ids.values())
    now: dict[str, str] = {}
    for found in schema.get_all_operations():
        operation = found.ok()
        now[COOKIE] = SESSION if session is None else session()
        now[TOKEN] = token(app.state.desk.key, now[COOKIE])

        @seed(number)
        @settings(
            max_examples=examples,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(data=st.data(), case=operation.as_strategy(), forged=st.integers(0, 9), fit=st.booleans())
        def send(data: st.DataObject, case: Any, forged: int, fit: bool) -> None:
            more = {"timeout": SECONDS, **call}
            case.cookies = {COOKIE: now[COOKIE]}
            if isinstance(case.body, dict):
                if fit:
                    case.body = fitting(data, case, golfers)
                if forged:
                    case.body[TOKEN] = now[TOKEN]
                if case.path == "/bring-in":
                    chosen = data.draw(FILES)
                    more["files"] = [("files", file) for file in chosen]
                    more["files"] += [(name, (None, str(value))) for name, value in case.body.items()]
            if asked.batches and "batch" in case.path_parameters and forged > 2:
                case.path_parameters["batch"] = asked.batches.pop()
            if "name" in case.path_parameters and forged > 2:
                case.path_parameters["name"] = data.draw(st.sampled_from(golfers))
            if case.path.endswith("/entries/{kind}/correct") and forged > 2:
                name_an_entry(data, case, app)
            if "number" in case.path_parameters and fit:
                case.path_parameters["number"] = data.draw(st.integers(1, 30))
            began = time.perf_counter()
            answer = case.call(**more)
            text = answer.content.decode("utf-8", "replace")  # a PDF is no text
            look(case, answer.status_code, text)
            asked.slowest = max(asked.slowest, time.perf_counter() - began)
            asked.statuses[answer.status_code] += 1
            asked.batches += BATCH.findall(f"{text} {answer.headers.get('location', '')}")

        send()


def name_an_entry(data: st.DataObject, case: Any, app: FastAPI) -> None:
    """Let a request be about a practice entry or test that is on record, as it is now."""
    desk = app.state.desk
    tables, ids = desk.snapshot().tables, desk.snapshot().ids
    kind = data.draw(st.sampled_from(sorted(KINDS)))
    held = {golfer: latest_entries(tables, golfer, kind, 5) for golfer in ids}
    held = {golfer: entries for golfer, entries in held.items() if entries}
    if not held:
        return
    golfer = data.draw(st.sampled_from(sorted(held)))
    at = data.draw(st.sampled_from(held[golfer])).at
    case.path_parameters |= {"name": ids[golfer], "kind": kind}
    case.query = {**(case.query or {}), "at": at}
    if isinstance(case.body, dict):
        with Club.open(desk.where) as club:
            form = form_of(kind)
            stored = club.row(form.table, key_of(form, golfer, at))
        case.body |= {"at": at, "seen": "" if stored is None else stored.seen}


def fitting(data: st.DataObject, case: Any, golfers: list[str]) -> dict[str, str]:
    """Return a form that the desk should take: the fields of this one with values that are right."""
    names = list(case.body)
    if "kind" in case.path_parameters:
        case.path_parameters["kind"] = kind = data.draw(st.sampled_from(sorted(FORMS)))
        names = ["day", *FORMS[kind].columns]
    hours = {name: "1.5" for name in names if name.startswith(("hours.", "was."))}
    form = {name: FIT[name] for name in names if name in FIT} | hours
    day = data.draw(st.dates(date(2026, 1, 1), date(2026, 6, 1)))
    return form | {"golfer": data.draw(st.sampled_from(golfers)), "day": day.isoformat()}


def look(case: Any, status: int, text: str) -> None:
    """Assert that an answer is no fault of ours: no 5xx, no traceback."""
    assert status < 500, f"{status}: {case.as_curl_command()}"
    assert "Traceback (most recent" not in text, case.as_curl_command()
    assert "something went wrong that should not" not in text, case.as_curl_command()

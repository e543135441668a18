"""Every route of the desk, asked by every role: what each reaches, and whose records."""

from __future__ import annotations

import re
from typing import Any

import pytest
from fastapi.routing import APIRoute
from house import OTHERS, PEOPLE, Guest, House

from paryield.desk import make_app
from paryield.desk.app import MODULES
from paryield.desk.rights import COLUMNS, PUBLIC, RIGHTS, Rule, rule

RECORD = {
    "GET /golfers/{name}.html",
    "GET /golfers/{name}/what-if",
    "POST /golfers/{name}/what-if",
    "POST /golfers/{name}/what-if/move",
    "GET /log",
    "POST /log/{kind}",
    "POST /log/undo/{number}",
}
COACHING = {"GET /golfers/", "POST /golfers/{name}/what-if/plan", "GET /loads/", "GET /loads/{name}.html"}
PROGRAMME = {
    "GET /programme",
    "GET /programme/facility.html",
    "GET /programme/facility.pdf",
    "GET /programme/programme.csv",
}
WHOLE_CLUB = {
    "GET /bring-in",
    "POST /bring-in",
    "POST /bring-in/{batch}/store",
    "POST /bring-in/{batch}/drop",
    "GET /health",
    "GET /work",
    "POST /work/start",
    "POST /work/stop",
}
HOUSEKEEPING = {
    "GET /people",
    "POST /people/add",
    "POST /people/{person}/reset",
    "POST /people/{person}/remove",
    "GET /audit",
    "GET /settings",
    "POST /settings",
}
OWN_ACCOUNT = {
    "GET /account",
    "GET /password",
    "POST /password",
    "POST /sign-out",
    "POST /sign-out/everywhere",
    "POST /account/{session}/end",
}
ALLOWED: dict[str, set[str]] = {
    "coach": RECORD | COACHING | PROGRAMME | WHOLE_CLUB,
    "coach of two": RECORD | COACHING,
    "player": RECORD,
    "guardian": RECORD,
    "manager": PROGRAMME,
    "therapist": {"GET /loads/", "GET /loads/{name}.html", "POST /loads/{name}/limit"},
    "therapist of one": {"GET /loads/", "GET /loads/{name}.html", "POST /loads/{name}/limit"},
    "administrator": HOUSEKEEPING,
}
"""What each may reach, written out from what the club was promised and not from the table of the code."""

SIGN_OUT = {"POST /sign-out", "POST /sign-out/everywhere"}
REACHED, REFUSED, ABSENT = {200, 303, 400, 409}, 403, 404


def routes() -> list[str]:
    """Return every route of the desk as method and path, from the code of the pages."""
    found = [route for module in MODULES for route in module.router.routes]
    assert all(isinstance(route, APIRoute) for route in found)
    pairs = [(method, route.path) for route in found for method in sorted(route.methods)]
    return sorted({f"{method} {path}" for method, path in pairs} | {"GET /"})


ROUTES = routes()
PRIVATE = [route for route in ROUTES if route not in PUBLIC]


def filled(house: House, route: str, golfer_id: str) -> tuple[str, str]:
    """Return method and address of a route, with a golfer and with harmless parts elsewhere."""
    method, path = route.split()
    shown = house.app.state.desk.snapshot().ids[golfer_id]
    parts = {"name": shown, "kind": "round", "number": "1", "batch": "x", "person": "nobody", "session": "x"}
    return method, re.sub(r"{(\w+)}", lambda part: parts[part.group(1)], path)


def asked(house: House, short: str | None, route: str, golfer_id: str, **more: Any) -> Any:
    """Ask for a route as somebody; forms are sent with their token and nothing that could be stored."""
    guest = house.guest(short)
    method, address = filled(house, route, golfer_id)
    if method == "GET":
        return guest.get(address, **more)
    data = {"text": "= not a setting"} if route == "POST /settings" else {}
    return guest.post(address, data, **more)


def own_of(short: str) -> str:
    return (PEOPLE[short][2] or (OTHERS,))[0]


def test_the_table_holds_every_route_and_no_other() -> None:
    assert set(RIGHTS) == set(PRIVATE)
    assert set(ROUTES) - set(RIGHTS) == PUBLIC


def test_a_route_that_is_not_in_the_table_is_reached_by_nobody(house: House) -> None:
    for app in (house.app, make_app(str(house.where), warm=False)):

        @app.get("/left-out")
        def left_out() -> str:
            return "open"

    for short in PEOPLE:
        assert house.guest(short).get("/left-out").status_code == REFUSED
    assert house.guest().get("/left-out").status_code == 303
    assert Guest(app).get("/left-out").status_code == REFUSED
    app.state.desk.close()


def test_a_role_or_a_word_that_is_unknown_reaches_nothing() -> None:
    assert rule("GET /golfers/", "king", True) is Rule.NO
    assert rule("GET /elsewhere", "owner", True) is Rule.NO
    assert rule("GET /health", "coach", False) is Rule.NO
    assert all(set(row) == set(COLUMNS) for row in RIGHTS.values())


@pytest.mark.parametrize("route", PRIVATE)
def test_without_a_sign_in_nothing_is_reached(shared_house: House, route: str) -> None:
    answer = asked(shared_house, None, route, "G01")
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")
    assert answer.content == b""
    hx = asked(shared_house, None, route, "G01", headers={"HX-Request": "true"})
    assert (hx.status_code, hx.headers["HX-Redirect"], hx.content) == (401, "/sign-in", b"")


@pytest.mark.parametrize("short", PEOPLE)
def test_each_reaches_what_is_his_and_nothing_else(shared_house: House, short: str) -> None:
    may = ALLOWED[short] | OWN_ACCOUNT | {"GET /"}
    wrong = []
    for route in PRIVATE:
        if route in SIGN_OUT:
            continue
        status = asked(shared_house, short, route, own_of(short)).status_code
        if route == "POST /log/undo/{number}" and PEOPLE[short][2] and route in may:
            right = status == ABSENT  # the first import is not his
        else:
            right = status in REACHED if route in may else status == REFUSED
        if not right:
            wrong.append((route, status))
    assert wrong == []


@pytest.mark.parametrize("short", [short for short, person in PEOPLE.items() if person[2]])
def test_anothers_golfer_is_as_one_who_is_not_there(shared_house: House, short: str) -> None:
    for route in PRIVATE:
        if "{name}" not in route or route not in ALLOWED[short]:
            continue
        answer = asked(shared_house, short, route, OTHERS)
        method, address = filled(shared_house, route, OTHERS)
        guest = shared_house.guest(short)
        nobody = re.sub(r"[0-9a-f]{20}", "0" * 20, address)
        missing = guest.get(nobody) if method == "GET" else guest.post(nobody)
        assert (answer.status_code, missing.status_code) == (ABSENT, ABSENT), route
        assert answer.text == missing.text


@pytest.mark.parametrize("short", PEOPLE)
def test_only_offered_pages_are_offered(shared_house: House, short: str) -> None:
    """Every link and form on the pages that somebody reaches leads where he may go."""
    guest = shared_house.guest(short)
    seen: set[str] = set()
    left = ["/"]
    while left:
        path = left.pop()
        seen.add(path)
        answer = guest.get(path)
        if answer.status_code == 303:
            left.append(answer.headers["location"])
            continue
        assert answer.status_code in (200, 409), path
        if "text/html" not in answer.headers["content-type"] or "attachment" in str(answer.headers):
            continue
        for address in re.findall(r'<a [^>]*href="([^"#]+)"', answer.text):
            found = address.replace("&amp;", "&").split("#")[0]
            if re.fullmatch(r"[0-9a-f]{20}\.html", found):
                found = f"/golfers/{found}"
            if found not in seen and len(seen) < 40:
                left.append(found)
        for address in re.findall(r'action="([^"]+)"', answer.text):
            assert any(
                re.fullmatch(re.sub(r"{\w+}", "[^/]+", route.split()[1]), address)
                for route in ALLOWED[short] | OWN_ACCOUNT
                if route.startswith("POST")
            ), (path, address)
    assert len(seen) > 2

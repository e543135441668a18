"""Every route of the desk, asked by every role: what each reaches, and whose records."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from collections import Counter
from typing import Any

import pandas as pd
import pytest
from desk_reader import text_of
from fastapi.routing import APIRoute
from house import OTHERS, PEOPLE, Guest, House

from paryield.club import Club
from paryield.desk import make_app
from paryield.desk.app import MODULES
from paryield.desk.rights import COLUMNS, PUBLIC, RIGHTS, Rule, rule

RECORD = {
    "GET /golfers/{name}.html",
    "GET /golfers/{name}/goal",
    "POST /golfers/{name}/goal",
    "GET /golfers/{name}/rounds",
    "GET /golfers/{name}/entries/{kind}",
    "GET /golfers/{name}/entries/{kind}/correct",
    "POST /golfers/{name}/entries/{kind}/correct",
    "GET /golfers/{name}/review",
    "GET /golfers/{name}/week",
    "POST /golfers/{name}/week",
    "GET /golfers/{name}/week.ics",
    "GET /golfers/{name}/week.pdf",
    "GET /golfers/{name}/what-if",
    "POST /golfers/{name}/what-if",
    "POST /golfers/{name}/what-if/move",
    "GET /api/golfers",
    "GET /api/golfers/{name}/forecast",
    "GET /api/golfers/{name}/plan",
    "GET /api/openapi.json",
    "GET /log",
    "POST /log/{kind}",
    "POST /log/undo/{number}",
}
COACHING = {
    "GET /golfers/",
    "POST /golfers/{name}/what-if/plan",
    "POST /golfers/{name}/plans/keep",
    "POST /golfers/{name}/plans/end",
    "GET /loads/",
    "GET /loads/{name}.html",
    "GET /group",
    "POST /group",
}
PROGRAMME = {
    "GET /programme",
    "GET /programme/facility.html",
    "GET /programme/facility.pdf",
    "GET /programme/facility.xlsx",
    "GET /programme/programme.csv",
}
WHOLE_CLUB = {
    "GET /bring-in",
    "POST /bring-in",
    "GET /bring-in/{batch}",
    "GET /bring-in/{batch}/answers",
    "GET /bring-in/{batch}/rows",
    "POST /bring-in/{batch}/store",
    "POST /bring-in/{batch}/adopt",
    "POST /bring-in/{batch}/drop",
    "GET /health",
    "GET /health/rounds",
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
    may = ALLOWED[short] | OWN_ACCOUNT | {"GET /", "GET /contents"}
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


def shape_of(path: str) -> str:
    """Return an address without whose and which entry it is about."""
    return re.sub("[0-9a-f]{20}", "*", re.sub("=[^&]*", "=", path))


OF_A_SHAPE = 2
"""Pages of one shape that are read: of the hundred entries of a golfer each has the same links and forms."""


@pytest.mark.parametrize("short", PEOPLE)
def test_only_offered_pages_are_offered(shared_house: House, short: str) -> None:
    """Every link and form on the pages that somebody reaches leads where he may go."""
    guest = shared_house.guest(short)
    seen: set[str] = set()
    shapes: Counter[str] = Counter()
    left = ["/"]
    while left:
        path = left.pop()
        if path in seen or shapes[shape_of(path)] == OF_A_SHAPE:
            continue
        seen.add(path)
        shapes[shape_of(path)] += 1
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
            if found not in seen:
                left.append(found)
        forms = re.findall(r'<form method="(get|post)" action="([^"]+)"', answer.text)
        forms += [("post", address) for address in re.findall(r'formaction="([^"]+)"', answer.text)]
        assert len(forms) == answer.text.count('action="')
        for method, address in forms:
            assert any(
                re.fullmatch(re.sub(r"{\w+}", "[^/]+", route.split()[1]), address)
                for route in ALLOWED[short] | OWN_ACCOUNT
                if route.startswith(method.upper())
            ), (path, address)
    assert len(seen) > 2


def names_of(house: House) -> dict[str, str]:
    return dict(house.app.state.desk.snapshot().names)


def words_of(answer: Any) -> str:
    if answer.headers["content-type"] == "application/pdf":
        tool = shutil.which("pdftotext")
        assert tool is not None, "poppler-utils is needed to read the PDF"
        return subprocess.run(
            [tool, "-", "-"], input=answer.content, capture_output=True, check=True
        ).stdout.decode()
    if answer.headers["content-type"].endswith(".sheet"):
        with zipfile.ZipFile(io.BytesIO(answer.content)) as book:
            return " ".join(book.read(name).decode() for name in sorted(book.namelist()))
    return str(answer.text)


def test_what_the_manager_reaches_holds_no_name_and_no_small_group(shared_house: House) -> None:
    people, pages = names_of(shared_house), 0
    for route in sorted(ALLOWED["manager"] | {"GET /account", "GET /password"}):
        answer = asked(shared_house, "manager", route, "G01")
        assert answer.status_code == 200
        words = words_of(answer)
        for golfer_id, name in people.items():
            assert name not in words, route
            assert not re.search(rf"\b{golfer_id}\b", words), route
            assert shared_house.app.state.desk.snapshot().ids[golfer_id] not in words, route
        for name, _, _ in PEOPLE.values():
            assert name not in words or name == PEOPLE["manager"][0], route
        if route in PROGRAMME:
            assert "spring" in words
            pages += 1
    assert pages == 5
    table = asked(shared_house, "manager", "GET /programme/programme.csv", "G01").text.splitlines()
    head = table[0].lstrip("\ufeff").split(",")
    rows = [dict(zip(head, line.split(","), strict=False)) for line in table[1:]]
    tiny = [row for row in rows if row["programme"] == "tiny"]
    assert tiny
    assert all(row["hidden"] == "yes" for row in tiny)
    assert all(int(row["golfers"]) >= 5 for row in rows if row.get("golfers"))
    page = text_of(asked(shared_house, "manager", "GET /programme", "G01").text)
    assert "fewer than 5" in page.lower()


@pytest.mark.parametrize("short", ["therapist", "therapist of one"])
def test_what_the_therapist_reaches_holds_volumes_and_no_score(shared_house: House, short: str) -> None:
    guest = shared_house.guest(short)
    snapshot = shared_house.app.state.desk.snapshot()
    golfers = PEOPLE[short][2] or tuple(snapshot.names)
    pages = ["/loads/", *(f"/loads/{snapshot.ids[golfer]}.html" for golfer in golfers)]
    for path in pages:
        words = text_of(re.sub(r'(?s)<section class="cautions">.*?</section>', "", guest.get(path).text))
        assert not re.search(r"\d\.\d", words), path
        for word in ("differential", "handicap", "score", "index", "stroke", "round", "putts", "made"):
            assert not re.search(rf"\b{word}", words.lower()), (path, word)
        assert "minutes" in words.lower()
    mine = snapshot.tables.practice[snapshot.tables.practice["golfer_id"] == golfers[0]]
    latest = snapshot.tables.practice["practised_on"].max()
    week = mine[mine["practised_on"] > latest - pd.Timedelta(days=7)]
    assert week["minutes"].notna().all()
    assert f"{week['minutes'].sum():,.0f}" in text_of(guest.get(pages[1]).text)


def test_the_administrator_sees_names_and_no_score(shared_house: House) -> None:
    guest = shared_house.guest("administrator")
    for path in ("/people", "/audit", "/account"):
        words = text_of(guest.get(path).text)
        for word in ("differential", "handicap index", "strokes"):
            assert word not in words.lower(), (path, word)
    snapshot = shared_house.app.state.desk.snapshot()
    people = guest.get("/people").text
    scores = set(snapshot.tables.rounds["score_differential"].dropna())
    assert not {score for score in scores if f"{score:.1f}" in text_of(people)}


@pytest.mark.parametrize("short", ["player", "guardian", "coach of two"])
def test_nobody_elses_name_stands_on_ones_own_pages(shared_house: House, short: str) -> None:
    guest, snapshot = shared_house.guest(short), shared_house.app.state.desk.snapshot()
    own = PEOPLE[short][2]
    shown = snapshot.ids[own[0]]
    paths = [f"/golfers/{shown}.html", f"/golfers/{shown}/what-if", "/log", "/account", "/nothing"]
    if short == "coach of two":
        paths += ["/golfers/", "/loads/", f"/loads/{shown}.html"]
    for path in paths:
        text = guest.get(path).text
        for golfer_id, name in snapshot.names.items():
            if golfer_id not in own:
                assert name not in text, path
                assert snapshot.ids[golfer_id] not in text, path


@pytest.mark.parametrize("short", ["player", "guardian", "coach of two"])
def test_nothing_is_logged_for_anothers_golfer(house: House, short: str) -> None:
    guest, ids = house.guest(short), house.app.state.desk.snapshot().ids
    before = house.app.state.desk.snapshot().revision
    row = {"golfer": ids[OTHERS], "day": "2026-06-30", "score_differential": f"1{len(short)}"}
    answer = guest.post("/log/round", row)
    assert answer.status_code == 400
    assert "nobody is chosen" in answer.text
    assert house.app.state.desk.snapshot().revision == before
    mine = guest.post("/log/round", row | {"golfer": ids[PEOPLE[short][2][0]]})
    assert mine.status_code == 303
    assert house.app.state.desk.snapshot().revision != before


def test_each_takes_back_his_own_changes_only(house: House) -> None:
    ids = house.app.state.desk.snapshot().ids

    def logged(short: str, golfer_id: str) -> str:
        day = f"2026-06-{20 + len(short)}"
        row = {"golfer": ids[golfer_id], "day": day, "score_differential": f"1{len(short)}"}
        place = house.guest(short).post("/log/round", row).headers["location"]
        found = re.search(r"done=(\d+)", place)
        assert found is not None
        return found.group(1)

    by_coach, by_player, by_other = logged("coach", "G01"), logged("player", "G01"), logged("coach", OTHERS)
    player = house.guest("player")
    page = player.get("/log").text
    assert f'action="/log/undo/{by_player}"' in page
    assert f'action="/log/undo/{by_coach}"' not in page
    for number in (by_coach, by_other, "1", "999"):
        assert player.post(f"/log/undo/{number}").status_code == ABSENT
    assert house.guest("coach of two").post(f"/log/undo/{by_player}").status_code == ABSENT
    assert player.post(f"/log/undo/{by_player}").status_code == 303
    assert house.guest("coach").post(f"/log/undo/{by_other}").status_code == 303


def test_the_coach_takes_a_round_off_the_record_a_player_does_not(house: House) -> None:
    snapshot = house.app.state.desk.snapshot()
    rounds = snapshot.tables.rounds
    latest = rounds[rounds["golfer_id"] == "G01"].sort_values(["played_on", "round_no"]).iloc[-1]
    day, number = f"{latest['played_on'].date()}", str(latest["round_no"])
    golfer, word = snapshot.ids["G01"], "Take this round off the record"
    address = f"/log?kind=round&golfer={golfer}&day={day}&correct={number}"
    player, coach = house.guest("player"), house.guest("coach")
    mine, theirs = player.get(address).text, coach.get(address).text
    assert "Store the correction" in mine
    assert word not in mine
    assert word in theirs
    seen = re.search(r'name="seen" value="([^"]+)"', theirs)
    assert seen is not None
    sent = {
        "golfer": golfer,
        "was": day,
        "day": day,
        "correct": number,
        "seen": seen.group(1),
        "remove": "yes",
    }
    refused = player.post("/log/round", sent)
    assert refused.status_code == 400
    assert "coach takes rounds off the record" in refused.text
    with Club.open(house.where) as club:
        assert len(club.tables().rounds) == len(rounds)
    assert coach.post("/log/round", sent).status_code == 303
    with Club.open(house.where) as club:
        assert len(club.tables().rounds) == len(rounds) - 1


def test_a_limit_is_set_by_the_therapist_and_read_by_the_coach(house: House) -> None:
    ids = house.app.state.desk.snapshot().ids
    guest = house.guest("therapist of one")
    row = {
        "category": "driver",
        "starts_on": "2026-06-01",
        "most_minutes_per_week": "20",
        "note": "left wrist",
    }
    assert guest.post(f"/loads/{ids['G03']}/limit", row).status_code == 303
    again = row | {"most_minutes_per_week": "0", "ends_on": "2026-08-01"}
    assert guest.post(f"/loads/{ids['G03']}/limit", again).status_code == 303
    wrong = guest.post(f"/loads/{ids['G03']}/limit", row | {"most_minutes_per_week": "99999"})
    assert wrong.status_code == 400
    assert "6720" in wrong.text
    with Club.open(house.where) as club:
        limits = club.tables().limits
        lines = club.audit("G03")
    limits = limits[limits["starts_on"] == "2026-06-01"]
    assert limits[["golfer_id", "category", "most_minutes_per_week", "set_by"]].to_numpy().tolist() == [
        ["G03", "driver", 0.0, "physical therapist"]
    ]
    who = f"person {house.ids['therapist of one']}"
    assert ("edited", who) in set(zip(lines["action"], lines["who"], strict=True))
    assert "left wrist" in house.guest("coach").get(f"/loads/{ids['G03']}.html").text
    assert guest.post(f"/loads/{ids['G01']}/limit", row).status_code == ABSENT


def test_a_guardian_sees_nothing_once_the_junior_is_of_age(house: House, tmp_path: Any) -> None:
    guest = house.guest("guardian")
    page = f"/golfers/{house.app.state.desk.snapshot().ids['G02']}.html"
    assert guest.get(page).status_code == 200
    folder = tmp_path / "in"
    folder.mkdir()
    with Club.open(house.where) as club:
        golfers = club.tables().golfers
        row = golfers[golfers["golfer_id"] == "G02"].assign(birth_year=1990)
        row[["golfer_id", "display_name", "birth_year"]].to_csv(folder / "golfers.csv", index=False)
        club.import_folder(folder, replace=True)
    assert guest.get(page).status_code == ABSENT
    assert "Record" not in text_of(guest.get("/account").text)


def test_who_saw_and_changed_what_stands_in_the_trail(house: House) -> None:
    snapshot = house.app.state.desk.snapshot()
    coach = house.guest("coach")
    for _ in range(3):
        coach.get(f"/golfers/{snapshot.ids['G01']}.html")
    coach.get(f"/golfers/{snapshot.ids[OTHERS]}.html")
    coach.get("/golfers/")
    coach.post("/log/round", {"golfer": snapshot.ids["G01"], "day": "2026-06-30", "score_differential": "12"})
    house.guest("manager").get(f"/golfers/{snapshot.ids['G01']}.html")
    house.guest("manager").get("/programme")
    with Club.open(house.where) as club:
        lines = club.audit()
        mark, other = club.mark("G01"), club.mark(OTHERS)
    mine = lines[lines["who"] == f"person {house.ids['coach']}"]
    mine = mine[mine["action"].isin(["saw", "logged"])]
    assert sorted(zip(mine["action"], mine["what"], mine["mark"].fillna(""), strict=True)) == sorted(
        [
            ("saw", "golfer", mark),
            ("saw", "golfer", other),
            ("saw", "club", ""),
            ("logged", "rounds", mark),
        ]
    )
    text = lines.to_csv()
    for word in (*snapshot.names.values(), *(name for name, _, _ in PEOPLE.values())):
        assert word not in text
    assert not ((lines["who"] == f"person {house.ids['manager']}") & (lines["action"] == "saw")).any()


def test_files_are_taken_from_the_coach_of_the_whole_club_only(house: House) -> None:
    files = [("files", ("golfers.csv", io.BytesIO(b"golfer_id\nN1\n")))]
    sent = house.guest("coach").post("/bring-in", files=files)
    assert sent.status_code == 303
    assert "Read, not stored yet" in house.guest("coach").get(sent.headers["location"]).text
    for short in PEOPLE:
        if short != "coach":
            again = [("files", ("golfers.csv", io.BytesIO(b"golfer_id\nN1\n")))]
            assert house.guest(short).post("/bring-in", files=again).status_code == REFUSED


def test_notes_of_health_are_read_by_who_sets_limits_alone(house: House) -> None:
    guest = house.guest("coach")
    for kind, note in (("injury", "torn ligament"), ("lesson", "weaker grip")):
        given = {"golfer": guest.desk.snapshot().ids["G03"], "day": "2026-06-30"}
        assert guest.post("/log/event", given | {"kind": kind, "note": note}).status_code == 303
    seen = {}
    for short in ("coach", "therapist", "therapist of one"):
        guest = house.guest(short)
        seen[short] = guest.get(f"/loads/{guest.page_of('G03')}.html").text
        assert "Injury" in seen[short]
        assert "weaker grip" in seen[short]
    assert "torn ligament" in seen["therapist"]
    assert "torn ligament" in seen["therapist of one"]
    assert "torn ligament" not in seen["coach"]
    for path in ("/log", "/bring-in", "/audit"):
        assert "torn ligament" not in house.guest("coach").get(path).text

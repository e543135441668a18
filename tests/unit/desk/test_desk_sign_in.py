"""Signing in and out: cookies, tokens, fixation, guessing, ways elsewhere, and who is told what."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from desk_reader import text_of
from house import PASSWORD, PEOPLE, Guest, House

from paryield.club import Accounts, Club, sessions
from paryield.desk import make_app
from paryield.desk.attempts import (
    FREE_OF_NAME,
    LONGEST_WAIT,
    MOST_OF_PAIR,
    MOST_OF_SOURCE,
    SECONDS,
    Attempts,
    place_of,
)
from paryield.desk.pages.account import MANY, WRONG, inside
from paryield.desk.rights import RIGHTS, SEEN, Rule
from paryield.desk.security import SECURE_COOKIE

MANAGER = PEOPLE["manager"][0]
HOSTILE = '<script>alert(1)</script>"><img src=x onerror=alert(2)>'


def test_a_sign_in_leads_to_the_first_page_of_the_role(shared_house: House) -> None:
    starts = {
        "manager": "/programme",
        "therapist": "/loads/",
        "administrator": "/people",
        "coach": "/golfers/",
    }
    for short, start in starts.items():
        guest = shared_house.guest(short)
        assert guest.get("/").headers["location"] == start
        assert guest.get("/sign-in").headers["location"] == start
        assert PEOPLE[short][0] in text_of(guest.get(start).text)
    player = shared_house.guest("player")
    record = player.get("/").headers["location"]
    assert record == f"/golfers/{player.page_of('G01')}.html"


def test_before_a_sign_in_nothing_of_the_club_is_told(shared_house: House) -> None:
    guest, snapshot = shared_house.guest(), shared_house.app.state.desk.snapshot()
    told = [guest.get(path).text for path in ("/sign-in", "/nothing", "/shared.css", "/static/desk.css")]
    told.append(guest.sign_in(MANAGER, "wrong").text)
    club = snapshot.tables.settings.club_name
    for text in told:
        assert club not in text
        assert "seed" not in text
        for name in snapshot.names.values():
            assert name not in text


def test_the_cookie_is_out_of_reach_and_new_at_each_sign_in(shared_house: House) -> None:
    guest = shared_house.guest()
    guest.get("/sign-in")
    planted = guest.cookie
    answer = guest.sign_in(MANAGER)
    line = answer.headers["set-cookie"]
    assert {"HttpOnly", "SameSite=strict", "Path=/"} <= {part.strip() for part in line.split(";")}
    assert "Secure" not in line
    assert "Max-Age" not in line
    first = guest.cookie
    assert first != planted
    other = shared_house.guest()
    other.client.cookies.set("desk", str(planted))
    assert other.get("/programme").status_code == 303
    guest.sign_in(MANAGER)
    assert guest.cookie not in (first, planted)
    other.client.cookies.set("desk", str(first))
    assert other.get("/programme").status_code == 303


def test_over_tls_the_cookie_is_for_tls_and_this_host_alone(shared_house: House) -> None:
    app = make_app(str(shared_house.where), anyway=True, warm=False, sign_in=True, secure=True, any_name=True)
    guest = Guest(app, "https://desk.example")
    line = guest.sign_in(MANAGER).headers["set-cookie"]
    assert line.startswith(f"{SECURE_COOKIE}=")
    assert {"Secure", "HttpOnly", "SameSite=strict", "Path=/"} <= {part.strip() for part in line.split(";")}
    assert "Domain" not in line
    assert guest.get("/programme").status_code == 200
    app.state.desk.close()


def test_a_cookie_made_up_by_somebody_signs_nobody_in(shared_house: House) -> None:
    for value in ("x" * 43, "", "0", "' or 1=1 --", "é".encode().hex() * 10, "A" * 5000):
        guest = shared_house.guest()
        guest.client.cookies.set("desk", value)
        assert guest.get("/programme").status_code == 303


@pytest.mark.parametrize("short", PEOPLE)
def test_every_form_is_refused_without_its_token(shared_house: House, short: str) -> None:
    guest, role = shared_house.guest(short), PEOPLE[short][1]
    every = not PEOPLE[short][2] and role in ("coach", "therapist")
    before = shared_house.app.state.desk.snapshot().revision
    tried = 0
    for route, row in RIGHTS.items():
        method, path = route.split()
        if method != "POST" or row[role] is Rule.NO or (row[role] is Rule.ALL and not every):
            continue
        own = guest.page_of((PEOPLE[short][2] or ("G01",))[0])
        address = re.sub(r"{\w+}", "1", path.replace("{name}", own).replace("{kind}", "round"))
        stranger = shared_house.guest()
        tokens = [{}, {"token": "0" * 64}, {"token": stranger.token()}]
        for data in tokens:
            answer = guest.client.post(address, data=data)
            assert answer.status_code == 400, route
            assert "not from a page that is open here" in answer.text
        crossed = guest.post(address, headers={"sec-fetch-site": "cross-site"})
        assert crossed.status_code == 400
        tried += 1
    assert tried >= 4
    assert shared_house.app.state.desk.snapshot().revision == before
    assert guest.get("/account").status_code == 200


def test_a_sign_in_form_of_another_visitor_is_refused(shared_house: House) -> None:
    guest, token = shared_house.guest(), shared_house.guest().token()
    guest.get("/sign-in")
    data = {"token": token, "name": MANAGER, "password": PASSWORD}
    assert guest.client.post("/sign-in", data=data).status_code == 400
    assert guest.get("/programme").status_code == 303


def plain(answer: Any, name: str) -> str:
    text = re.sub(r'value="[0-9a-f]{64}"', "", answer.text)
    return f"{answer.status_code} {sorted(answer.headers)} {text}".replace(name, "NAME")


def test_a_wrong_password_and_an_unknown_name_look_alike(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    from paryield.club import passwords

    asked: list[str] = []
    real = passwords.PasswordHasher.verify

    def counting(self: Any, stored: str, password: str) -> bool:
        asked.append(stored.rsplit("$", 2)[0])
        return bool(real(self, stored, password))

    monkeypatch.setattr(passwords.PasswordHasher, "verify", counting)
    names = [MANAGER, "Nobody At All", "", "x" * 300, HOSTILE]
    answers = [house.guest().sign_in(name, "not the password") for name in names]
    assert WRONG in text_of(answers[0].text)
    assert plain(answers[0], MANAGER) == plain(answers[1], "Nobody At All")
    assert len(asked) == len(names)
    assert len(set(asked)) == 1
    assert all(answer.status_code == 400 for answer in answers)
    assert "<script>alert" not in answers[-1].text


def test_guessing_from_one_place_is_refused_after_a_while(house: House) -> None:
    guest = house.guest()
    known = [guest.sign_in(MANAGER, "wrong").status_code for _ in range(MOST_OF_PAIR + 1)]
    unknown = [guest.sign_in("Nobody At All", "wrong").status_code for _ in range(MOST_OF_PAIR + 1)]
    assert known == unknown == [400] * MOST_OF_PAIR + [429]
    right = guest.sign_in(MANAGER.upper() + " ")
    assert right.status_code == 429
    assert MANY in text_of(right.text)
    assert guest.sign_in(PEOPLE["administrator"][0]).status_code == 303


class Clock:
    """A clock that a test sets."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_strangers_lock_nobody_out_but_slow_guessing_down() -> None:
    clock = Clock()
    attempts = Attempts(clock)
    waits = [attempts.begin("Maud", f"192.0.2.{number // MOST_OF_PAIR}") for number in range(80)]
    assert waits[:FREE_OF_NAME] == [0.0] * FREE_OF_NAME
    assert None not in waits
    assert waits == sorted(waits)
    assert attempts.begin("Maud", "198.51.100.7") == LONGEST_WAIT  # Maud herself, at home
    assert attempts.begin("Maud", "192.0.2.1") is None
    assert attempts.begin("Ivo", "192.0.2.1") == 0.0
    clock.now = SECONDS + 1
    assert attempts.begin("Maud", "192.0.2.1") == 0.0


def test_successes_do_not_count() -> None:
    """A club house of one address signs in all day."""
    attempts = Attempts(Clock())
    for number in range(3 * MOST_OF_SOURCE):
        assert attempts.begin(f"name {number % 7}", "192.0.2.1") == 0.0
        attempts.succeeded(f" NAME {number % 7} ", "192.0.2.1")
    for number in range(MOST_OF_SOURCE):
        assert attempts.begin(f"guess {number}", "192.0.2.1") == 0.0
    assert attempts.begin("another", "192.0.2.1") is None
    assert attempts.begin("another", "192.0.2.2") == 0.0


def test_attempts_under_way_count_before_they_fail() -> None:
    attempts = Attempts(Clock())
    at_once = [attempts.begin("Maud", "192.0.2.1") for _ in range(50)]
    assert at_once.count(None) == 50 - MOST_OF_PAIR


def test_what_is_remembered_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("paryield.desk.attempts.MOST_COUNTED", 30)
    attempts = Attempts(Clock())
    for number in range(200):
        attempts.begin(f"name {number}", f"192.0.2.{number}")
    assert len(attempts._times) <= 30


def test_addresses_are_counted_by_household() -> None:
    assert place_of("2001:db8::1") == place_of("2001:db8::ffff:1") != place_of("2001:db8:0:1::1")
    assert place_of("::ffff:192.0.2.1") == place_of("192.0.2.1") != place_of("192.0.2.2")
    assert place_of("testclient") == place_of("") == "unknown"


def test_a_present_password_is_not_guessed_on_the_page_of_the_change(house: House) -> None:
    guest = house.guest("manager")
    new = {"new": "six owls under one roof", "again": "six owls under one roof"}
    tried = [guest.post("/password", {"old": "wrong", **new}).status_code for _ in range(MOST_OF_PAIR + 1)]
    assert tried == [400] * MOST_OF_PAIR + [429]


@pytest.mark.parametrize(
    "address",
    [
        "//elsewhere.example",
        "///elsewhere.example",
        "https://elsewhere.example",
        "/\\elsewhere.example",
        "\\\\elsewhere.example",
        "/\t/elsewhere.example",
        "/\n/elsewhere.example",
        " //elsewhere.example",
        "javascript:alert(1)",
        "elsewhere.example",
        "/" + "x" * 600,
        "http:/elsewhere.example",
        "//[",
    ],
)
def test_nobody_is_led_elsewhere(shared_house: House, address: str) -> None:
    assert inside(address) == ""
    assert shared_house.guest().sign_in(MANAGER, next=address).headers["location"] == "/"


def test_a_sign_in_leads_back_to_the_page_that_was_asked_for(shared_house: House) -> None:
    guest = shared_house.guest()
    way = guest.get("/log?kind=practice&golfer=1").headers["location"]
    page = guest.get(way)
    back = re.search(r'name="next" value="([^"]*)"', page.text)
    assert back is not None
    answer = guest.sign_in(PEOPLE["coach"][0], next=back.group(1).replace("&amp;", "&"))
    assert answer.headers["location"] == "/log?kind=practice&golfer=1"


def test_a_one_time_password_opens_nothing_but_its_change(house: House) -> None:
    with Club.open(house.where) as club:
        issued = Accounts(club).add("Nils Varga", "coach")
    guest = house.guest()
    assert guest.sign_in("Nils Varga", issued.password).status_code == 303
    for path in ("/", "/golfers/", "/account", "/bring-in", "/sign-in"):
        assert guest.get(path).headers["location"] in ("/password", "/golfers/")
    assert guest.get("/golfers/").headers["location"] == "/password"
    assert guest.post("/work/stop").headers["location"] == "/password"
    page = text_of(guest.get("/password").text)
    assert "must be changed" in page
    assert house.app.state.desk.snapshot().tables.settings.club_name not in page
    weak = guest.post("/password", {"old": issued.password, "new": "short", "again": "short"})
    assert weak.status_code == 400
    assert "needs 12 to 200" in text_of(weak.text)
    unlike = guest.post("/password", {"old": issued.password, "new": PASSWORD, "again": PASSWORD + "x"})
    assert "not written alike" in text_of(unlike.text)
    old = guest.cookie
    done = guest.post("/password", {"old": issued.password, "new": PASSWORD, "again": PASSWORD})
    assert done.headers["location"] == "/account?done=password"
    assert guest.cookie != old
    assert guest.get("/golfers/").status_code == 200


def test_signing_out_here_elsewhere_and_everywhere(house: House) -> None:
    here, far, third = (house.guest() for _ in range(3))
    for guest in (here, far, third):
        guest.sign_in(MANAGER)
    ends = re.findall(r'action="(/account/[0-9a-f]{16}/end)"', here.get("/account").text)
    assert len(ends) == 2
    assert house.guest("administrator").post(ends[0]).status_code == 400
    assert here.post(ends[0]).status_code == 303
    assert sorted(guest.get("/programme").status_code for guest in (far, third)) == [200, 303]
    cookie = here.cookie
    assert here.post("/sign-out").headers["location"] == "/sign-in"
    again = house.guest()
    again.client.cookies.set("desk", str(cookie))
    assert again.get("/programme").status_code == 303
    here.sign_in(MANAGER)
    assert here.post("/sign-out/everywhere").status_code == 303
    assert {guest.get("/programme").status_code for guest in (here, far, third)} == {303}


def test_a_changed_password_signs_out_everywhere_else(house: House) -> None:
    here, far = house.guest(), house.guest()
    for guest in (here, far):
        guest.sign_in(MANAGER)
    new = "six owls under one roof"
    assert here.post("/password", {"old": PASSWORD, "new": new, "again": new}).status_code == 303
    assert here.get("/programme").status_code == 200
    assert far.get("/programme").status_code == 303
    assert far.sign_in(MANAGER).status_code == 400


def test_a_session_ends_while_the_browser_stays_open(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    guest = house.guest("manager")
    assert guest.get("/programme").status_code == 200
    later = sessions.clock() + sessions.IDLE_SECONDS + 1
    monkeypatch.setattr(sessions, "clock", lambda: later)
    assert guest.get("/programme").headers["location"] == "/sign-in?next=%2Fprogramme"


def test_the_administrator_adds_resets_and_removes(house: House) -> None:
    guest, ids = house.guest("administrator"), house.app.state.desk.snapshot().ids
    page = guest.post("/people/add", {"name": HOSTILE, "role": "player", "golfer": ids["G04"]})
    assert page.status_code == 200
    assert "<script>alert" not in page.text
    assert "<img" not in page.text
    shown = re.search(r'class="once"><strong>([a-z0-9-]{23})<', page.text)
    assert shown is not None
    assert shown.group(1) not in guest.get("/people").text
    new = house.guest()
    assert new.sign_in(HOSTILE, shown.group(1)).status_code == 303
    with Club.open(house.where) as club:
        person = Accounts(club).person(HOSTILE)
    assert (person.golfers, person.role) == (("G04",), "player")
    again = guest.post(f"/people/{person.person_id}/reset")
    assert "One-time password" in again.text
    assert new.get("/password").status_code == 303
    assert guest.post(f"/people/{person.person_id}/remove").status_code == 303
    assert guest.post(f"/people/{person.person_id}/remove").status_code == 400
    taken = guest.post("/people/add", {"name": "maud FERRIN", "role": "coach"})
    assert (taken.status_code, "already" in taken.text) == (400, True)
    assert guest.post("/people/add", {"name": "X", "role": "player", "golfer": "G04"}).status_code == 400
    for deed in ("reset", "remove"):
        mine = guest.post(f"/people/{house.ids['administrator']}/{deed}")
        assert "Nobody does this to himself" in mine.text
    assert guest.get("/people").status_code == 200


def test_whoever_is_removed_is_out_at_once(house: House) -> None:
    guest = house.guest("manager")
    assert guest.get("/programme").status_code == 200
    with Club.open(house.where) as club:
        Accounts(club).remove(MANAGER)
    assert guest.get("/programme").status_code == 303


def test_settings_are_stored_with_the_checks_of_an_import(house: House) -> None:
    guest = house.guest("administrator")
    good = guest.post("/settings", {"text": 'club_name = "Larkmoor practice ground"\r\n'})
    assert good.status_code == 303
    assert house.app.state.desk.snapshot().tables.settings.club_name == "Larkmoor practice ground"
    for text in ("= wrong", "minimum_scores = 99", 'logo = "../../etc/passwd"'):
        bad = guest.post("/settings", {"text": text})
        assert bad.status_code == 400
        assert "Not stored" in bad.text
    assert house.app.state.desk.snapshot().tables.settings.minimum_scores == 3


def test_the_trail_is_shown_with_names_of_people_and_marks_of_golfers(house: House) -> None:
    house.guest("coach").get(f"/golfers/{house.guest('coach').page_of('G01')}.html")
    page = text_of(house.guest("administrator").get("/audit").text)
    assert f"{PEOPLE['coach'][0]} saw golfer" in page
    assert "G01" not in page
    older = house.guest("administrator").get("/audit?before=2").text
    assert text_of(older).count("imported") == 1


def test_a_form_before_the_sign_in_is_small(shared_house: House) -> None:
    guest = shared_house.guest()
    assert guest.sign_in(MANAGER, "x" * 2_000_000).status_code == 400
    token = guest.token()
    sent = guest.client.post("/sign-in", data={"token": token}, files={"name": ("a.txt", b"x" * 1000)})
    assert sent.status_code == 400
    assert "Traceback" not in sent.text


def test_without_sign_in_the_desk_is_as_it_was(shared_house: House) -> None:
    app = make_app(str(shared_house.where), anyway=True, warm=False)
    guest = Guest(app)
    assert guest.get("/golfers/").status_code == 200
    for path in ("/sign-in", "/account", "/password"):
        assert guest.get(path).status_code in (403, 404)
    pages = re.findall(r'<li><a href="([^"]+)"', guest.get("/health").text)
    assert pages[:5] == ["/golfers/", "/log", "/bring-in", "/programme", "/health"]
    assert "Signed in" not in guest.get("/health").text
    app.state.desk.close()


def test_pages_with_a_person_on_them_are_those_of_the_trail() -> None:
    assert set(SEEN) <= set(RIGHTS)
    assert {route for route in RIGHTS if route.startswith("GET") and "{name}" in route} <= set(SEEN)


def test_the_new_pages_keep_the_policy_and_label_every_field(shared_house: House) -> None:
    pages = {
        None: ["/sign-in"],
        "administrator": ["/people", "/audit", "/settings", "/account", "/password"],
        "therapist": ["/loads/", f"/loads/{shared_house.guest('therapist').page_of('G01')}.html"],
    }
    for short, paths in pages.items():
        guest = shared_house.guest(short)
        for path in paths:
            answer = guest.get(path)
            assert "unsafe" not in answer.headers["Content-Security-Policy"]
            assert answer.headers["Cache-Control"] == "no-store"
            text = answer.text
            assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", text)
            assert text.count("<h1") == 1
            fields = re.findall(r"<(?:input|select|textarea)(?![^>]*type=\"hidden\")[^>]*>", text)
            for one in fields:
                name = re.search(r'id="([^"]+)"', one)
                assert name is not None, one
                assert f'for="{name.group(1)}"' in text


def test_two_desks_on_one_club_share_who_is_signed_in(house: House, tmp_path: Path) -> None:
    guest = house.guest("manager")
    other = make_app(str(house.where), anyway=True, warm=False, sign_in=True)
    again = Guest(other)
    again.client.cookies.set("desk", str(guest.cookie))
    assert again.get("/account").status_code == 200
    other.state.desk.close()

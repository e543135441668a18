"""Every page answers, says what to do when it has nothing to show, and fails with one plain line."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest
from desk_reader import Reader, text_of

from paryield.club import Club
from paryield.desk.entries import store_rows


def test_the_first_address_leads_to_the_club(shared_reader: Reader):
    answer = shared_reader.get("/")
    assert answer.status_code == 200
    words = text_of(answer.text)
    assert "Who needs attention?" in words
    assert "Stop when something hurts" in words


def test_every_golfer_of_the_club_has_a_page(shared_reader: Reader):
    club = shared_reader.get("/golfers/").text
    links = set(re.findall(r'href="([0-9a-f]{20}\.html)"', club))
    assert len(links) == 6
    for link in sorted(links)[:2]:
        words = text_of(shared_reader.get(f"/golfers/{link}").text)
        assert "worked out here" in words
        assert "How sure" in words


def test_addresses_do_not_name_golfers(shared_reader: Reader):
    ids = shared_reader.desk.snapshot().ids
    for path in ("/golfers/", "/log", "/health"):
        addresses = re.findall(r'(?:href|action|hx-[a-z]+|value)="([^"]*)"', shared_reader.get(path).text)
        for golfer_id in ids:
            assert not any(re.search(rf"\b{golfer_id}\b", address) for address in addresses)


@pytest.mark.parametrize("path", ["/golfers/", "/log", "/bring-in", "/programme", "/health"])
def test_pages_without_a_fit_say_what_to_do_next(unfitted: Path, path: str):
    reader = Reader(unfitted)
    answer = reader.get(path)
    assert answer.status_code == 200
    if path in ("/golfers/", "/health"):
        assert "fit" in text_of(answer.text)
    page = reader.get(reader.page_of("A1"))
    assert "There is no fit yet" in text_of(page.text)
    assert reader.get(reader.page_of("A1").replace(".html", "/what-if")).status_code == 400


@pytest.mark.parametrize("name", ["facility.html", "facility.pdf", "facility.xlsx", "programme.csv"])
def test_a_report_without_a_fit_leads_on(unfitted: Path, name: str):
    answer = Reader(unfitted).get(f"/programme/{name}")
    assert answer.status_code == 400
    words = text_of(answer.text)
    assert "There is no fit yet" in words
    assert "That did not work" not in words
    assert '<a href="/health">' in answer.text
    assert '<a href="/log"' in answer.text


def test_the_list_of_the_club_is_in_the_order_of_names(unfitted: Path, tmp_path: Path):
    folder = tmp_path / "more"
    folder.mkdir()
    (folder / "golfers.csv").write_text(
        "golfer_id,display_name\nA0,Zora Quill\nB1,Örjan Fell\nC1,adele Moor\n"
    )
    with Club.open(unfitted) as club:
        club.import_folder(folder)
    names = re.findall(r'<li><a href="[^"]+"><bdi>([^<]+)</bdi>', Reader(unfitted).get("/golfers/").text)
    assert names == ["adele Moor", "Örjan Fell", "Ottilie Fenwarth", "Zora Quill"]


def test_an_unsound_fit_is_withheld_unless_asked_for(tiny_club: Path):
    strict = Reader(tiny_club, anyway=False)
    assert "Answers are withheld" in text_of(strict.get("/golfers/").text)
    page = strict.page_of("G01")
    assert "Answers are withheld" in text_of(strict.get(page).text)
    assert strict.get(page.replace(".html", "/what-if")).status_code == 409
    banner = text_of(Reader(tiny_club).get(page).text)
    assert "Read this first" in banner


@pytest.mark.club_file
def test_health_says_when_a_row_changed_by_itself(tiny_club: Path):
    with closing(sqlite3.connect(tiny_club)) as connection, connection:
        connection.execute("update rounds set course_rating = course_rating + 1 where golfer_id = 'G01'")
    assert "the club is damaged: rounds G01" in Reader(tiny_club).get("/health").text


def test_health_lists_every_check(shared_reader: Reader):
    lines = shared_reader.desk.snapshot().posterior.facts["health"]["lines"]
    assert shared_reader.get("/health").text.count('<th scope="row">') == len(lines)


@pytest.mark.parametrize("path", ["/nothing", "/golfers/0123456789abcdef0123.html", "/log?kind=juggling"])
def test_what_is_not_there_gets_one_line(shared_reader: Reader, path: str):
    answer = shared_reader.get(path)
    assert answer.status_code in (400, 404)
    assert "Traceback" not in answer.text
    assert 'role="alert"' in answer.text


def test_a_fault_of_ours_shows_no_traceback(reader: Reader, monkeypatch: pytest.MonkeyPatch):
    def broken() -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr(reader.desk, "snapshot", broken)
    answer = reader.get("/golfers/")
    assert answer.status_code == 500
    assert "secret detail" not in answer.text
    assert "Content-Security-Policy" in answer.headers


def test_a_new_round_counts_at_once_and_the_fit_stays(reader: Reader):
    snapshot = reader.desk.snapshot()
    before = text_of(reader.get("/health").text)
    assert "nothing was stored since" in before
    later = (snapshot.today() + timedelta(days=1)).isoformat()
    sent = {"golfer": snapshot.ids["G01"], "day": later, "score_differential": "12.3"}
    assert reader.post("/log/round", sent).status_code == 200
    now = reader.desk.snapshot()
    assert now.number == snapshot.number
    assert now.run is snapshot.run
    assert now.today().isoformat() == later
    after = text_of(reader.get("/health").text)
    assert "rows of 1 golfer are newer or changed, 1 new round came since" in after
    assert "A new fit is not due yet" in after


def test_a_change_keeps_what_it_does_not_touch(reader: Reader):
    """Practice of one golfer leaves the others' pages as they are, and his own is worked out anew.

    A week that hangs on what golfers of like level practise is to be renewed, and nothing else with it.
    """
    reader.get("/golfers/")
    for golfer in ("G01", "G02"):
        reader.get(reader.page_of(golfer))
    before = reader.desk.snapshot()
    assert {"G01", "G02"} <= before.views.keys() & before.glances.keys()
    day = before.today().isoformat()
    logged = {"golfer": before.ids["G01"], "day": day, "category": "chipping", "minutes": "45"}
    assert reader.post("/log/practice", logged).status_code == 200
    after = reader.desk.snapshot()
    assert after is not before
    kept = after.views.keys() | after.renew.keys()
    assert "G01" not in kept
    assert before.views.keys() - {"G01"} <= kept
    assert all(view is before.views[golfer] for golfer, view in after.views.items())
    assert before.glances.keys() - {"G01"} <= after.glances.keys() | after.renew.keys()
    # A round tells how often everybody plays.
    reader.post("/log/round", {"golfer": before.ids["G02"], "day": day, "score_differential": "12.3"})
    assert reader.desk.snapshot().views == reader.desk.snapshot().glances == {}


def test_pages_are_written_as_the_settings_say(reader: Reader, tmp_path: Path):
    """German forms as in the Unicode CLDR (which Babel carries)."""
    page = reader.page_of("G01")
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "golfers.csv").write_text("golfer_id\nG01\n")
    (folder / "settings.toml").write_text('club_name = "Birkenhain"\nlocale = "de_DE"\n')
    with Club.open(reader.desk.where) as club:
        club.import_folder(folder, replace=True)
    shown = text_of(reader.get(page).text)
    assert "records up to 5. Juli 2026" in shown
    assert re.search(r"Handicap Index \d+,\d", shown)
    assert re.search(r"8 in 10 times \d+,\d to \d+,\d", shown)
    assert "Birkenhain" in shown


def test_a_fit_of_another_version_is_no_fault(tiny_club: Path):
    with Club.open(tiny_club) as club:
        _, facts, _ = club.run(1)
        club.save_run(payload=b"not a fit", facts={**facts, "payload": "0" * 64})
    reader = Reader(tiny_club)
    answer = reader.get("/golfers/")
    assert answer.status_code == 200
    assert "The stored fit cannot be used" in answer.text


def test_the_programme_page_says_what_the_facility_report_says_and_names_nobody(
    tiny_club: Path, tmp_path: Path
):
    from paryield.report.facility import facility_files, facility_view

    folder = tmp_path / "in"
    folder.mkdir()
    with Club.open(tiny_club) as club:
        golfers, begun = club.tables().golfers["golfer_id"], club.tables().rounds["played_on"].median()
        day = begun.date().isoformat()
        lines = [f"{golfer},winter,{day},running" for golfer in golfers]
        text = "\n".join(["golfer_id,programme,started_on,outcome", *lines])
        (folder / "programmes.csv").write_text(text)
        club.import_folder(folder)
        told = text_of(facility_files(facility_view(club, anyway=True))["facility.html"])
    shown_page = Reader(tiny_club).get("/programme").text
    shown = text_of(shown_page)
    question = "Did the programme winter work?"
    assert question in shown
    answer = told.split(question)[1][:150]
    assert answer in shown
    for name in Reader(tiny_club).desk.snapshot().names.values():
        assert name not in shown


def test_without_programmes_it_says_what_to_add(unfitted: Path):
    assert "No programme is on record" in text_of(Reader(unfitted).get("/programme").text)


def test_a_golfer_that_cannot_be_shown_keeps_nobody_waiting(tiny_club: Path, monkeypatch: pytest.MonkeyPatch):
    reader = Reader(tiny_club)
    snapshot = reader.desk.snapshot()
    from paryield.desk import state

    plain = state.views_of

    def broken(posterior, tables, golfer, **more):
        if golfer == "G02":
            raise ValueError("cannot")
        return plain(posterior, tables, golfer, **more)

    monkeypatch.setattr(state, "views_of", broken)
    reader.desk.warms = True
    reader.desk._prepare(snapshot)
    assert snapshot.failed == {"G02"}
    words = text_of(reader.get("/golfers/").text)
    assert "Working out" not in words
    assert "Who needs attention?" in words
    assert "Not shown above" in words


def test_rounds_beside_forecasts_are_a_page_where_they_are_opened_as_one(shared_reader: Reader):
    whole = shared_reader.get("/health/rounds").text
    assert "<html" in whole
    assert "Rounds beside their forecasts" in text_of(whole)


def test_the_list_says_how_old_the_records_are(shared_reader: Reader):
    snapshot = shared_reader.desk.snapshot()
    page = shared_reader.get("/golfers/").text
    weeks = (date.today() - snapshot.today()).days // 7
    assert weeks >= 3
    assert f"The newest record is {weeks} weeks old" in text_of(page)


def test_golfers_stand_in_the_order_of_names_and_long_choices_can_be_searched(reader: Reader):
    names = {"G01": "Émile Zorn", "G02": "eva Arden", "G03": "Østen Falk"}
    rows = [{"golfer_id": golfer, "display_name": name} for golfer, name in names.items()]
    store_rows(reader.desk, "golfers", rows, replace=True, who="")
    wanted = ["Émile Zorn", "eva Arden", "Østen Falk"]
    for path in ("/log", "/people", "/loads/", "/group"):
        page = reader.get(path).text
        assert "data-find" in page
        named = text_of(page)
        places = [named.index(name) for name in wanted]
        assert places == sorted(places), path
    assert reader.get("/static/find.js").status_code == 200


def test_who_has_left_is_in_the_log_only_where_that_is_asked_for(reader: Reader):
    store_rows(reader.desk, "golfers", [{"golfer_id": "G02", "left_on": "2026-06-01"}], replace=True, who="")
    snapshot = reader.desk.snapshot()
    option = f'<option value="{snapshot.ids["G02"]}"'
    page = reader.get("/log").text
    assert option not in page
    assert "Show who has left" in page
    assert option in reader.get("/log?left=yes").text
    assert option in reader.get(f"/log?golfer={snapshot.ids['G02']}").text


def test_a_page_that_watched_a_fit_looks_anew_once_it_is_over(reader: Reader):
    asked = reader.client.get("/work", headers={"hx-request": "true"})
    assert asked.headers["hx-refresh"] == "true"
    assert "hx-refresh" not in reader.get("/work").headers


def test_the_trail_says_what_was_entered_by_hand(reader: Reader):
    address = reader.page_of("G03").removesuffix(".html")
    by = (reader.desk.snapshot().today() + timedelta(weeks=30)).isoformat()
    reader.post(f"{address}/goal", {"goal_index": "6.1", "goal_on": by})
    logged = {"golfer": reader.desk.snapshot().ids["G01"], "day": by, "category": "chipping", "minutes": "45"}
    reader.post("/log/practice", logged | {"day": reader.desk.snapshot().today().isoformat()})
    with Club.open(reader.desk.where) as club:
        lines = club.audit()
    told = [one for one in zip(lines["action"], lines["what"], strict=True) if one[0] != "saw"]
    assert told[-2:] == [("edited", "goal"), ("logged", "practice")]


def test_a_club_without_a_name_has_one_name_on_every_page(reader: Reader):
    called = Path(reader.desk.where).stem
    assert called in text_of(reader.get("/golfers/").text)
    assert called in text_of(reader.get(reader.page_of("G03")).text)

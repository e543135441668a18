"""The pages keep to themselves: policy, host names, tokens, loopback, hostile names."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from desk_reader import Reader

from paryield.cli import main
from paryield.club import Club
from paryield.desk.server import listening
from paryield.errors import InputError

HOSTILE = '<script>alert(1)</script>"><img src=x onerror=alert(2)>\u202e=cmd'


def test_every_page_has_the_policy(shared_reader: Reader):
    for path in ("/golfers/", "/log", "/bring-in", "/programme", "/health", "/nothing"):
        answer = shared_reader.get(path)
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "no-store"


def test_no_page_has_inline_script_or_style_or_asks_elsewhere(shared_reader: Reader):
    page = shared_reader.page_of("G01")
    for path in ("/golfers/", page, page.replace(".html", "/what-if"), "/log", "/bring-in", "/health"):
        text = shared_reader.get(path).text
        assert not re.search(r"<script(?![^>]*\ssrc=)", text)
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", text)
        assert not re.search(r'(?:src|href|action)="(?:https?:)?//', text)


def test_a_name_pointed_at_this_computer_is_not_answered(shared_reader: Reader):
    answer = shared_reader.client.get("/golfers/", headers={"host": "elsewhere.example"})
    assert answer.status_code == 400
    assert "Fenwarth" not in answer.text


@pytest.mark.parametrize("data", [{}, {"token": ""}, {"token": "0" * 64}, {"token": "é"}])
def test_a_form_from_elsewhere_changes_nothing(reader: Reader, data: dict[str, str]):
    reader.get("/log")
    before = reader.desk.snapshot().revision
    golfer = reader.desk.snapshot().ids["G01"]
    row = {"golfer": golfer, "day": "2026-06-30", "score_differential": "12", **data}
    for path in ("/log/round", "/log/undo/1", "/work/start", "/bring-in/x/store"):
        answer = reader.client.post(path, data=row)
        assert answer.status_code == 400
        assert "not from a page that is open here" in answer.text
    assert reader.desk.snapshot().revision == before
    assert reader.desk.work.progress() is None


def test_a_right_token_sent_from_another_site_is_refused(reader: Reader):
    answer = reader.post("/work/stop", headers={"sec-fetch-site": "cross-site"})
    assert answer.status_code == 400


def test_a_token_of_one_visitor_is_no_good_for_another(reader: Reader):
    token = reader.token()
    reader.client.cookies.clear()
    assert reader.client.post("/work/stop", data={"token": token}).status_code == 400


@pytest.mark.parametrize("address", ["0.0.0.0", "192.0.2.7", "::", "example.org", "", "2001:db8::1"])
def test_other_computers_are_kept_out(address: str, fitted_club: Path, capsys: pytest.CaptureFixture[str]):
    with pytest.raises(InputError, match=r"without encryption|is not an IP address"):
        listening(address)
    assert main(["desk", str(fitted_club), "--listen", address]) == 2
    assert "--listen" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("address", "host"), [("127.0.0.1", "127.0.0.1"), ("localhost", "127.0.0.1"), ("[::1]", "::1")]
)
def test_this_computer_is_let_in(address: str, host: str):
    found = listening(address)
    assert (found.address, found.sign_in, found.secure) == (host, False, False)


def test_a_port_in_use_is_one_line(fitted_club: Path, capsys: pytest.CaptureFixture[str]):
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        assert main(["desk", str(fitted_club), "--port", str(taken.getsockname()[1])]) == 2
    assert "--port" in capsys.readouterr().err


def test_hostile_names_and_notes_are_text(fitted_club: Path, tmp_path: Path):
    folder = tmp_path / "in"
    folder.mkdir()
    cell = HOSTILE.replace('"', '""')
    (folder / "golfers.csv").write_text(f'golfer_id,display_name\n"{cell}","{cell}"\n', encoding="utf-8")
    (folder / "practice.csv").write_text(
        f'golfer_id,practised_on,category,minutes,note\n"{cell}",2026-06-01,chipping,20,"{cell}"\n',
        encoding="utf-8",
    )
    where = Path(shutil.copy(fitted_club, tmp_path / "club.db"))
    with Club.open(where) as club:
        club.import_folder(folder)
    reader = Reader(where)
    golfer = reader.desk.snapshot().ids[HOSTILE]
    note = {"golfer": golfer, "day": "2026-06-02", "category": "chipping", "minutes": "5", "note": HOSTILE}
    pages = [reader.post("/log/practice", note)]
    pages += [reader.get(path) for path in ("/golfers/", "/log", f"/log?golfer={golfer}")]
    pages += [reader.get(f"/golfers/{golfer}.html"), reader.get(f"/log?kind={HOSTILE}")]
    for page in pages:
        assert page.status_code < 500
        assert "<script>alert" not in page.text
        assert "<img" not in page.text
    assert any("&lt;script&gt;alert(1)" in page.text for page in pages)
    with Club.open(where) as club:
        stored = club.tables().practice
    assert HOSTILE in set(stored["note"].dropna())


def test_the_style_and_script_are_our_own(shared_reader: Reader):
    for path in ("/shared.css", "/static/desk.css", "/static/htmx.min.js", "/static/htmx.LICENSE.txt"):
        answer = shared_reader.get(path)
        assert answer.status_code == 200
        assert len(answer.content) > 100
    assert shared_reader.get("/static/../app.py").status_code == 404

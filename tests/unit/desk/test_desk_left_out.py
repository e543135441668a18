"""What was left out of a coach's sheets, and what measures nothing, is told after storing."""

from __future__ import annotations

import json
import re
from pathlib import Path

from desk_reader import Reader
from test_desk_bring_in import asked, sent
from test_desk_kept import store
from typer.testing import CliRunner

from paryield.adopt.how_far import FAR_NOT_KNOWN
from paryield.cli import app

LADDER = (
    "Date,Player,Test,Made,Tried\n13/06/2026,Wilhelmina Starling,Putts holed,15,20\n"
    "20/06/2026,Wilhelmina Starling,Putts holed,16,20\n"
)
SHEET = (
    "Player,Date,Gross,CR,Slope\nWilhelmina Starling,13/06/2026,88,71.2,128\n"
    "Wilhelmina Starling,20/06/2026,NR,71.2,128\nWilhelmina Starling,27/06/2026,,71.2,128\n"
)


def test_the_page_after_storing_says_what_was_left_out(unfitted: Path):
    reader = Reader(unfitted)
    told = store(reader, sent(reader, {"cards.csv": SHEET}))
    assert "Left out of your sheets: 2 rows, cells or sheets" in told
    assert "1: no score, but 'NR'" in told


def test_the_import_says_what_was_left_out(tmp_path: Path):
    own, club = tmp_path / "own", tmp_path / "club.db"
    own.mkdir()
    (own / "cards.csv").write_text(SHEET, encoding="utf-8")
    run = CliRunner().invoke
    assert run(app, ["adopt", str(own)]).exit_code == 0
    done = run(app, ["import", str(club), str(own / "tables")])
    assert "Left out of the spreadsheets: 2 rows, cells or sheets" in done.output
    again = run(app, ["import", str(club), str(own / "tables"), "--json"])
    assert json.loads(again.stdout)["left_out"] == {"no score, but 'NR'": 1, "there is no score": 1}


def test_the_import_replaces_what_was_changed_by_hand_where_that_is_said(tmp_path: Path):
    from paryield.club import Club

    own, club = tmp_path / "own", tmp_path / "club.db"
    own.mkdir()
    (own / "cards.csv").write_text(SHEET, encoding="utf-8")
    run = CliRunner().invoke
    assert run(app, ["adopt", str(own)]).exit_code == 0
    assert run(app, ["import", str(club), str(own / "tables")]).exit_code == 0
    key = {"golfer_id": "G01", "played_on": "2026-06-13", "round_no": "1"}
    with Club.open(club) as opened:
        row = opened.row("rounds", key)
        assert row is not None
        values = {"adjusted_gross_score": "87", "course_rating": "71.2", "slope_rating": "128"}
        opened.edit("rounds", {**key, **values}, row.seen)
    for more, score in (((), 87), (("--replace",), 87), (("--replace-changed",), 88)):
        done = run(app, ["import", str(club), str(own / "tables"), *more])
        assert done.exit_code == 0
        assert ("87 on record, 88 in the sheet" in done.output) == (score == 87)
        with Club.open(club) as opened:
            assert int(opened.tables().rounds["adjusted_gross_score"].iloc[0]) == score


def test_the_import_says_what_is_kept_and_measures_nothing(tmp_path: Path):
    own, club = tmp_path / "own", tmp_path / "club.db"
    own.mkdir()
    (own / "tests.csv").write_text(LADDER, encoding="utf-8")
    run = CliRunner().invoke
    done = run(app, ["adopt", str(own), "--yes"])
    assert done.exit_code == 0
    assert 'left open, as nobody could say: From how far was "Putts holed"?' in done.output
    done = run(app, ["import", str(club), str(own / "tables")])
    assert "2 results kept, but not used to measure putting: no distance." in done.output


def test_the_page_asks_from_how_far_and_says_what_measures_nothing(unfitted: Path):
    reader = Reader(unfitted)
    page = str(reader.post("/bring-in", files=[("files", ("tests.csv", LADDER.encode()))]).text)
    assert "From how far was &#34;Putts holed&#34;?" in page
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
    assert batch is not None
    answered = {**asked(page), "answer": [FAR_NOT_KNOWN]}
    read = str(reader.post(f"{batch.group(1)}/adopt", answered).text)
    assert "kept, but not used to measure putting: no distance" in read
    assert "2 results kept, but not used to measure putting: no distance." in store(reader, read)
    again = sent(reader, {"tests.csv": LADDER.replace("/06/2026", "/07/2026")})
    assert "From how far" not in again

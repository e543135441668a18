"""One person in everything that a club keeps or writes, erased: gone from it, or named in the receipt."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from paryield.cli import main
from paryield.club import Accounts, Club
from paryield.club.erase import EraseReceipt
from paryield.desk import make_app
from paryield.forecast.current import current_fit
from paryield.model import command
from paryield.model.spec import ModelSpec
from paryield.posterior.current import stored_fit

pytestmark = pytest.mark.club_file

WHO, NAME, NOTE = "G01", "Perpetua Owlbright-Quill", "a note on the knee of Perpetua Owlbright-Quill"
TODAY = date(2026, 7, 10)
SHORT = ModelSpec(chains=2, draws=20, tune=60, seed=11)
ROWS = {
    "rounds": {"played_on": "2026-07-05", "score_differential": "13.7"},
    "practice": {"practised_on": "2026-07-05", "category": "chipping", "minutes": "30", "note": NOTE},
    "assessments": {
        "assessed_on": "2026-07-05",
        "test": "putting_ladder",
        "distance_ft": "3",
        "tried": "10",
        "made": "8",
        "note": NOTE,
    },
    "strikes": {
        "struck_on": "2026-07-05",
        "kind": "approach",
        "target": "100",
        "carry": "106",
        "side": "4",
        "unit": "yd",
        "note": NOTE,
    },
    "holes": {"played_on": "2026-07-05", "hole": "1", "par": "4", "stroke_index": "1", "strokes": "5"},
    "limits": {"category": "driver", "starts_on": "2026-07-06", "most_minutes_per_week": "30", "note": NOTE},
    "events": {"happened_on": "2026-07-05", "kind": "lesson", "note": NOTE},
    "programmes": {"programme": "summer", "started_on": "2026-07-06"},
    "plans": {
        "plan": f"plan of {NAME}",
        "category": "chipping",
        "starts_on": "2026-07-06",
        "ends_on": "2026-08-06",
        "minutes_per_week": "30",
    },
}
"""A row of each table in which a person may stand."""


@pytest.fixture(scope="module")
def filled(fitted_club: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A club that holds the person in every table, in old rows, fits, a season, logs, copies and links."""
    place = tmp_path_factory.mktemp("filled")
    path = Path(shutil.copy(fitted_club, place / "club.db"))
    (place / "in").mkdir()
    (place / "in" / "golfers.csv").write_text(f"golfer_id,display_name\n{WHO},{NAME}\n")
    with Club.open(path) as club:
        club.import_folder(place / "in", replace=True, today=TODAY)
    assert main(["block", str(path), "--start", "2026-07-13", "--seed", "7", "--anyway"]) == 0
    with Club.open(path) as club:
        for table, cells in ROWS.items():
            club.log(table, {"golfer_id": WHO, **cells}, today=TODAY)
        club.remember({"column: Player": "name"}, {NAME: WHO, "Owlbright": WHO})
        Accounts(club).add(NAME, "player", (WHO,))
        club.saw("golfer", [WHO])
        club.backup(place / "copy.db")
    assert main(["export", str(path), str(place / "out")]) == 0
    pages = ["--out", str(place / "pages"), "--anyway"]
    assert main(["report", str(path), "golfer", "--golfer", WHO, *pages]) == 0
    return path


@pytest.fixture
def full(filled: Path, tmp_path: Path) -> Path:
    """The same club, free to change; its copies are those of the first."""
    return Path(shutil.copy(filled, tmp_path / "club.db"))


@pytest.fixture
def desk(full: Path) -> Iterator[TestClient]:
    """An open desk that has shown the person's page and holds an upload about him."""
    app = make_app(str(full), anyway=True, warm=False)
    client = TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False)
    page = app.state.desk.snapshot().page_of(WHO)
    assert NAME in client.get(f"/golfers/{page}").text
    upload = app.state.desk.scratch.new() / "golfers.csv"
    upload.write_text(f"golfer_id,display_name\n{WHO},{NAME}\n")
    yield client
    app.state.desk.close()


def erased(where: Path) -> EraseReceipt:
    with Club.open(where) as club:
        return club.erase(WHO)


def test_nothing_of_him_is_left_in_the_club(full: Path) -> None:
    with closing(sqlite3.connect(full)) as connection:
        tables = [row[0] for row in connection.execute("select name from sqlite_master where type = 'table'")]
        held = {
            name
            for name in tables
            for row in connection.execute(f"select * from {name}")
            if any(WHO in str(value).split() or NAME in str(value) for value in row)
        }
    personal = {"golfers", *ROWS, "replaced_rows", "design_members", "adopted", "marks"}
    assert personal <= held, personal - held
    receipt = erased(full)
    assert receipt.found == 0
    assert receipt.mentions == {}
    assert set(receipt.removed) >= {"golfers", *ROWS, "design_members", "people"}
    assert receipt.old_rows > 0
    assert receipt.runs == (1,)
    for file in full.parent.glob(f"{full.name}*"):
        content = file.read_bytes()
        for word in (NAME, "Owlbright", "knee"):
            assert word.encode() not in content, (file.name, word)
            assert word.encode("utf-16-le") not in content, (file.name, word)
    with closing(sqlite3.connect(full)) as connection:
        for name in tables:
            for row in connection.execute(f"select * from {name}"):
                # The audit trail says that an id was erased, and when.
                assert name == "audit" or WHO not in row, name
                assert NAME not in json.dumps([str(value) for value in row])


def test_the_receipt_names_what_holds_him_still(full: Path, filled: Path) -> None:
    receipt = erased(full)
    holds = {(one["kind"], Path(one["path"]).relative_to(filled.parent).parts[0]) for one in receipt.copies}
    assert {("backup", "copy.db"), ("export", "out"), ("report", "pages")} <= holds
    beyond = " ".join(receipt.beyond)
    for word in (
        "spreadsheets",
        "answers that were kept beside them",
        "what other clubs learnt",
        "snapshots",
    ):
        assert word in beyond


def test_an_open_desk_forgets_him(full: Path, desk: TestClient) -> None:
    page = desk.app.state.desk.snapshot().page_of(WHO)  # type: ignore[attr-defined]
    upload = next(iter(desk.app.state.desk.scratch.root.rglob("golfers.csv")))  # type: ignore[attr-defined]
    receipt = erased(full)
    assert "removed" in {one["state"] for one in receipt.copies}
    assert not upload.exists()
    assert desk.get(f"/golfers/{page}").status_code == 404
    for place in ("/", "/golfers/", "/log", "/audit", "/health", "/group", "/loads/"):
        assert NAME not in desk.get(place).text, place


def test_fits_of_before_during_and_after(full: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Club.open(full) as club:
        before = stored_fit(club)[1]
        others = [golfer for golfer in before.golfers if golfer != WHO]

    def during(*_: object, **__: object) -> object:
        erased(full)
        return before

    with monkeypatch.context() as patched:
        patched.setattr(command, "fit_tables", during)
        with Club.open(full) as club, pytest.raises(Exception, match="erased while this fit ran"):
            command.fit(club)
    with Club.open(full) as club:
        assert club.latest_run() is None
        command.fit(club, spec=SHORT)
        after = current_fit(club)[1]
    assert list(after.golfers) == others
    assert WHO not in json.dumps(dict(after.facts), default=str).split('"')

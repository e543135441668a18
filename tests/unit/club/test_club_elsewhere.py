"""Another database: the tables are plain SQL, and a club works through a bare engine by URL."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import make_url
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateTable

from paryield.club import Club, layout, opened
from paryield.club.engine import Place
from paryield.errors import InputError

pytestmark = pytest.mark.club_file

TODAY = date(2026, 6, 1)


@pytest.mark.parametrize("name", sorted(layout.METADATA.tables))
def test_every_table_can_be_spelt_for_postgresql(name: str) -> None:
    text = str(CreateTable(layout.METADATA.tables[name]).compile(dialect=postgresql.dialect()))
    assert "PRIMARY KEY" in text
    assert "SERIAL" not in text
    if name == "runs":
        assert "payload BYTEA" in text
    if name == "rounds":
        assert "slope_rating DOUBLE PRECISION" in text
        assert "PRIMARY KEY (golfer_id, played_on, round_no)" in text
        assert "FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id)" in text


def test_a_club_by_url_is_made_in_place_and_found_again(
    tmp_path: Path, folder: Path, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bare engine, without the settings of the club file, stands for any other database."""
    place = tmp_path / "bare.db"
    monkeypatch.setattr(
        opened, "place_of", lambda _: Place("a database", None, make_url(f"sqlite:///{place}"))
    )
    with pytest.raises(InputError, match="not a club"):
        Club.open("url")
    with Club.open("url", create=True) as club:
        assert club.import_folder(folder, today=TODAY).added["rounds"] == 4
        assert club.save_run(payload=b"draws", facts={"seed": 1}) == 1
    before = hashlib.sha256(place.read_bytes()).hexdigest()
    with Club.open("url", create=True) as club:
        assert not club.import_folder(folder, today=TODAY).changed
        mark = club.data_fingerprint()
        assert club.latest_run() == (1, {"seed": 1}, b"draws")
        with pytest.raises(InputError, match="no file"):
            club.backup(tmp_path / "copy.db")
        assert hashlib.sha256(place.read_bytes()).hexdigest() == before
        assert club.erase("A1").removed["rounds"] == 2
        assert len(club.tables().golfers) == 2
    monkeypatch.undo()
    with Club.open(path) as file:
        assert file.data_fingerprint() == mark


def test_tables_of_an_unmade_database_are_empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    url = make_url(f"sqlite:///{tmp_path / 'bare.db'}")
    monkeypatch.setattr(opened, "place_of", lambda _: Place("a database", None, url))
    with Club.open("url", create=True) as club:
        assert all(frame.empty for _, frame in club.tables().items())
        with pytest.raises(InputError, match="nothing is stored"):
            club.history()

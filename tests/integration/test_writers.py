"""Writers at once: every row that was acknowledged is there, and no edit of a shared row is lost."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club
from writers import Written, write_at_once

pytestmark = pytest.mark.club_file

TODAY = date(2026, 6, 1)


@pytest.fixture(params=["file", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return a club with golfers for the writers and the row that they share."""
    where = str(tmp_path / "club.db")
    if request.param == "postgresql":
        where = str(request.getfixturevalue("postgres_url"))
    folder = tmp_path / "in"
    folder.mkdir()
    golfers = "\n".join(["A2", *(f"W{number}" for number in range(10))])
    (folder / "golfers.csv").write_text(f"golfer_id\n{golfers}\n")
    (folder / "rounds.csv").write_text("golfer_id,played_on,score_differential\n")
    (folder / "practice.csv").write_text("golfer_id,practised_on,category,minutes\nA2,2026-05-01,irons,20\n")
    with Club.open(where, create=True) as club:
        club.import_folder(folder, today=TODAY)
    return where


def hold(place: str, said: Written) -> None:
    with Club.open(place) as club:
        practice = club.tables().practice.set_index("golfer_id")
        own = practice[practice["category"] == "chipping"].index.value_counts()
        assert [int(own.get(f"W{number}", 0)) for number in range(len(said.logged))] == said.logged
        shared = practice[practice["category"] == "irons"]["minutes"]
        assert len(shared) == 1
        assert round((float(shared.iloc[0]) - 20) / 0.001) == said.counted
        assert (club.history()["source"] == "log").sum() == sum(said.logged)
        assert (club.history()["source"] == "edit").sum() == said.counted


def test_three_writers_for_a_moment(place: str) -> None:
    said = write_at_once(place, 3, 2.0)
    hold(place, said)
    assert sum(said.logged) > 0


@pytest.mark.slow
def test_ten_writers_for_five_minutes(place: str) -> None:
    said = write_at_once(place, 10, 300.0)
    print(said)
    hold(place, said)
    assert min(said.logged) > 10
    assert said.slowest_seconds < 60

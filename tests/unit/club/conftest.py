"""A small folder of tables with invented golfers, written as text so that expected values are in sight."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club

GOLFERS = """golfer_id,display_name,start_index,joined_on,diary_complete,goal_index
A1,Ottilie Fenwarth,12.4,2026-01-05,yes,+1.5
A2,Bram Teasdale,,,,
A11,"Quill, Ines",30.1,2026-02-01,no,20
"""
ROUNDS = """golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating,putts
A1,2026-03-01,85,71.2,128,31
A1,2026-03-08,88,71.2,128,
A2,2026-03-01,99,71.2,128,36
A11,2026-03-02,104,71.2,128,0
"""
PRACTICE = """golfer_id,practised_on,category,reps,minutes,note
A1,2026-03-02,chipping,100,,felt good
A1,2026-03-03,driver,,45.5,
A2,2026-03-03,short_putting,60,30,with Ottilie Fenwarth
"""
CALENDAR = """golfer_id,starts_on,ends_on,phase
,2026-01-01,2026-03-31,pre_season
A1,2026-04-01,2026-09-30,in_season
"""
ASSESSMENTS = """golfer_id,assessed_on,test,distance_ft,tried,made,value,unit
A1,2026-03-01,putting ladder,3,10,9,,
A1,2026-03-01,carry,,,,181.5,yd
"""
TODAY = date(2026, 6, 1)

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Return a function that writes name=text as CSV files of a fresh folder."""

    def make(folder: str, **tables: str) -> Path:
        place = tmp_path / folder
        place.mkdir()
        for name, text in tables.items():
            (place / f"{name}.csv").write_text(text, encoding="utf-8")
        return place

    return make


@pytest.fixture
def folder(write: Write) -> Path:
    """Return a folder with five tables: 3 golfers, 4 rounds, 3 entries, 2 phases, 2 tests."""
    return write(
        "in",
        golfers=GOLFERS,
        rounds=ROUNDS,
        practice=PRACTICE,
        calendar=CALENDAR,
        assessments=ASSESSMENTS,
    )


@pytest.fixture
def path(tmp_path: Path, folder: Path) -> Path:
    """Return the path of a club file that holds the folder."""
    place = tmp_path / "club.db"
    with Club.open(place, create=True) as club:
        club.import_folder(folder, today=TODAY)
    return place


@pytest.fixture(params=["file", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return where a club may be made: a path, and a database of a real server."""
    if request.param == "file":
        return str(tmp_path / "club.db")
    return str(request.getfixturevalue("postgres_url"))

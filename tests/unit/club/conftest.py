"""A small folder of tables with invented golfers, written as text so that expected values are in sight."""

from __future__ import annotations

import shutil
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


TABLES_OF = {
    "golfers": GOLFERS,
    "rounds": ROUNDS,
    "practice": PRACTICE,
    "calendar": CALENDAR,
    "assessments": ASSESSMENTS,
}


def written(place: Path, tables: dict[str, str]) -> Path:
    """Write name=text as CSV files of a fresh folder."""
    place.mkdir()
    for name, text in tables.items():
        (place / f"{name}.csv").write_text(text, encoding="utf-8")
    return place


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Return a function that writes name=text as CSV files of a fresh folder."""
    return lambda folder, **tables: written(tmp_path / folder, tables)


@pytest.fixture
def folder(write: Write) -> Path:
    """Return a folder with five tables: 3 golfers, 4 rounds, 3 entries, 2 phases, 2 tests."""
    return write("in", **TABLES_OF)


@pytest.fixture(scope="session")
def imported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a club file that holds such a folder, imported once; do not change it."""
    place = tmp_path_factory.mktemp("imported")
    with Club.open(place / "club.db", create=True) as club:
        club.import_folder(written(place / "in", TABLES_OF), today=TODAY)
    return place / "club.db"


@pytest.fixture
def path(tmp_path: Path, folder: Path, imported: Path) -> Path:
    """Return the path of a club file that holds the folder."""
    return Path(shutil.copy(imported, tmp_path / "club.db"))


@pytest.fixture(params=["file", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return where a club may be made: a path, and a database of a real server."""
    if request.param == "file":
        return str(tmp_path / "club.db")
    return str(request.getfixturevalue("postgres_url"))

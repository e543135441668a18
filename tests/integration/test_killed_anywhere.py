"""Killed at any moment, every job leaves the old club or the new one, whole, and the next start works."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from shutil import copyfile

import pytest

from killing import Nursery, content, kill_many, nursery
from paryield.adopt import Memory, read_memory
from paryield.club import Club, backups

pytestmark = pytest.mark.club_file

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating\n"
NAME = "Perpetua Owlbright"
SHEETS = (
    "Player,Date,Gross,CR,Slope\n"
    + "".join(f"Tilly Marsh,{day:02}/04/2026,{80 + day % 9},71.2,128\n" for day in range(1, 31)),
    "Golfer;Datum;Was\nTilly Marsh;14.04.2026;50 chips, ladder 20 min\n",
)
"""What a coach keeps: scores, and a log in words."""
KILLS = int(os.environ.get("PARYIELD_TEST_KILLS", "1000"))
KINDS = ["import", "log", "fit", "erase", "backup", "adopt", "block"]
FITTED = ("fit", "block")
"""Jobs on the fitted club."""


@pytest.fixture(scope="module")
def home() -> Iterator[Nursery]:
    """Return the process that forks the jobs."""
    with nursery() as process:
        yield process


def rounds(golfer: str, count: int, score: int) -> str:
    first = date(2015, 1, 1)
    return "".join(f"{golfer},{first + timedelta(days=day)},{score},71.2,128\n" for day in range(count))


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """Return a club of two golfers, 600 rounds and one fit."""
    for name, text in {
        "first": rounds("A", 300, 88) + rounds("B", 300, 95),
        "second": rounds("C", 600, 101),
    }.items():
        (tmp_path / name).mkdir()
        golfers = f"A,{NAME}\nB,\n" if name == "first" else "C,\n"
        (tmp_path / name / "golfers.csv").write_text("golfer_id,display_name\n" + golfers)
        (tmp_path / name / "rounds.csv").write_text(HEAD + text)
    with Club.open(tmp_path / "old.db", create=True) as club:
        club.import_folder(tmp_path / "first", today=TODAY)
        club.save_run(payload=bytes(range(256)) * 4000, facts={"golfers": ["A", "B"]})
    return tmp_path / "old.db"


@pytest.fixture
def work(
    request: pytest.FixtureRequest, home: Nursery, tmp_path: Path
) -> Callable[[str, int], dict[str, int]]:
    """Return a function that kills jobs of a kind; a fit stores the draws of the fitted club once more."""

    def killed(kind: str, count: int) -> dict[str, int]:
        old: Path = request.getfixturevalue("fitted_club" if kind in FITTED else "old")
        if kind in FITTED:
            home.ask("load", str(old))
        if kind == "adopt":
            (tmp_path / "sheets").mkdir()
            for number, sheet in enumerate(SHEETS):
                (tmp_path / "sheets" / f"own{number}.csv").write_text(sheet, encoding="utf-8")
        place = tmp_path / "tries"
        place.mkdir()

        def extra(number: int) -> Path:
            if kind == "import":
                return tmp_path / "second"
            return place / (f"own{number}" if kind == "adopt" else f"copy{number}.db")

        return kill_many(home, kind, count, old, place, extra, look_at(kind, old), seed=20260601)

    return killed


def look_at(kind: str, old: Path) -> Callable[[Path, Path], None]:
    """Return what must hold after a kill beyond the content: the next start, and whole backups."""

    def look(club: Path, extra: Path) -> None:
        with closing(Club.open(club)) as opened:
            held = opened.tables().golfers["golfer_id"].tolist()
            opened.saw("health", held[-1:])
            assert not club.with_name(club.name + "-journal").exists()
            if kind == "erase" and "A" in held:
                assert opened.erase("A").found == 0
            if kind == "erase":
                assert NAME.encode() not in club.read_bytes()
            if kind == "backup" and extra.exists():
                assert str(extra) in opened.copies()["path"].tolist()
        if kind == "backup" and extra.exists():
            assert backups.is_sound(extra)
            assert content(extra) == content(old)
            extra.unlink()
        if kind == "adopt":
            adopted_is_whole(extra)

    return look


def adopted_is_whole(out: Path) -> None:
    """Each table that stands there is the whole one, and answers are those of before or all of them."""
    whole = out.with_name("own-1")
    assert {file.name for file in whole.glob("*.csv")} >= {"golfers.csv", "rounds.csv"}
    for file in out.glob("*.csv"):
        assert file.read_bytes() == (whole / file.name).read_bytes()
    told = read_memory(out.with_suffix(".json"))
    assert told in (Memory(), read_memory(whole.with_suffix(".json")))
    shutil.rmtree(out, ignore_errors=True)
    for left in out.parent.glob(f"*{out.name}.json*"):
        left.unlink()


@pytest.mark.parametrize("kind", KINDS)
def test_a_few_kills(kind: str, work: Callable[[str, int], dict[str, int]]) -> None:
    found = work(kind, 4)
    assert found["killed"] + found["stored"] == 4


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_a_thousand_kills(kind: str, work: Callable[[str, int], dict[str, int]]) -> None:
    began = time.perf_counter()
    found = work(kind, KILLS)
    print(f"\n{kind}: {found} in {time.perf_counter() - began:.0f} s")
    assert found["killed"] + found["stored"] == KILLS
    assert found["writing"] >= KILLS // 10
    assert kind == "backup" or found["killed"] >= KILLS // 10


@pytest.mark.slow
def test_a_fit_that_is_killed_while_it_samples_stores_nothing(fitted_club: Path, tmp_path: Path) -> None:
    chance = random.Random(8)
    before = content(fitted_club)
    for number in range(3):
        club = Path(copyfile(fitted_club, tmp_path / f"club{number}.db"))
        command = [sys.executable, "-m", "paryield.desk.worker", "fit", str(club), "owner"]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            lines = (json.loads(text)["line"] for text in process.stdout)
            assert any("sampling" in line for line in lines)
            time.sleep(chance.uniform(0, 8))
            process.kill()
        assert content(club) == before
        with Club.open(club) as opened:
            assert opened.latest_run() is not None

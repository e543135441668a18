"""Killed at any moment, every job leaves the old club or the new one, whole, and the next start works."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest

from killing import content, kill_many
from paryield.club import Club, backups

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating\n"
KINDS = ["import", "log", "fit", "erase", "backup"]


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
        golfers = "A\nB\n" if name == "first" else "C\n"
        (tmp_path / name / "golfers.csv").write_text("golfer_id\n" + golfers)
        (tmp_path / name / "rounds.csv").write_text(HEAD + text)
    with Club.open(tmp_path / "old.db", create=True) as club:
        club.import_folder(tmp_path / "first", today=TODAY)
        club.save_run(payload=bytes(range(256)) * 4000, facts={"golfers": ["A", "B"]})
    return tmp_path / "old.db"


def work(kind: str, count: int, old: Path) -> dict[str, int]:
    place = old.parent / "tries"
    place.mkdir()

    def extra(number: int) -> Path:
        return old.parent / "second" if kind == "import" else place / f"copy{number}.db"

    return kill_many(kind, count, old, place, extra, look_at(kind, old), seed=20260601)


def look_at(kind: str, old: Path) -> Callable[[Path, Path], None]:
    """Return what must hold after a kill beyond the content: the next start, and whole backups."""

    def look(club: Path, extra: Path) -> None:
        with closing(Club.open(club)) as opened:
            opened.saw("health", ["B"])
            held = set(opened.tables().golfers["golfer_id"])
            if kind == "erase" and "A" in held:
                assert opened.erase("A").found == 0
            assert not club.with_name(club.name + "-journal").exists()
        if kind == "backup" and extra.exists():
            assert backups.is_sound(extra)
            assert content(extra) == content(old)
            extra.unlink()

    return look


@pytest.mark.parametrize("kind", KINDS)
def test_a_few_kills(kind: str, old: Path) -> None:
    found = work(kind, 4, old)
    assert sum(found.values()) == 4


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_two_hundred_kills(kind: str, old: Path) -> None:
    found = work(kind, 200, old)
    print(f"{kind}: {found}")
    assert sum(found.values()) == 200
    assert found["killed"] + found["stored"] >= 100
    assert kind == "backup" or found["killed"] >= 20

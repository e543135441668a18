"""A sheet brought in again and read otherwise replaces its rows; nothing that somebody changed is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder
from paryield.club import Club
from paryield.tables.write import SOURCES_FILE

SHEET = (
    "Date;Player;Test;Made;Tried\n13.4.2026;Maud Ferrin;Station A;7;10\n"
    "20.4.2026;Maud Ferrin;Station A;8;10\n"
)


def tables(folder: Path, name: str, sheet: str = SHEET) -> Path:
    """Return the tables of a sheet whose test is read under a name of its own."""
    own = folder / name / "own"
    own.mkdir(parents=True)
    (own / "tests.csv").write_text(sheet, encoding="utf-8")
    found = adopt_folder(own, Memory(), known={}, today=TODAY)
    assert found.questions == []
    for row in found.tables()["assessments"]:
        row["test"] = name
    out = folder / name / "tables"
    found.write(out)
    return out


def held(club: Club) -> list[tuple[str, str, int]]:
    frame = club.tables().assessments
    rows = zip(frame["assessed_on"], frame["test"], frame["made"], strict=True)
    return [(day.date().isoformat(), str(test), int(made)) for day, test, made in rows]


@pytest.fixture
def club(tmp_path: Path) -> Club:
    return Club.open(tmp_path / "club.db", create=True)


A, B = "station_a", "putting_ladder"
BEFORE = [("2026-04-13", A, 7), ("2026-04-20", A, 8)]
AFTER = [("2026-04-13", B, 7), ("2026-04-20", B, 8)]


def test_what_is_read_otherwise_replaces_what_was_read_and_undo_takes_it_back(tmp_path: Path, club: Club):
    club.import_folder(tables(tmp_path, A))
    assert held(club) == BEFORE
    other = tables(tmp_path, B)
    assert club.read_otherwise(other) == {"read": 2, "changed": 0, "alike": 0}
    receipt = club.import_folder(other)
    assert (receipt.added["assessments"], receipt.reread) == (2, {"assessments": 2})
    assert held(club) == AFTER
    assert not club.import_folder(other).changed
    assert receipt.import_no is not None
    club.undo(receipt.import_no)
    assert held(club) == BEFORE
    assert club.import_folder(other).reread == {"assessments": 2}
    assert held(club) == AFTER


def test_a_row_that_somebody_changed_gives_way_only_where_that_is_said(tmp_path: Path, club: Club):
    club.import_folder(tables(tmp_path, A))
    key = {"golfer_id": "G01", "assessed_on": "2026-04-13", "test": A}
    row = club.row("assessments", key)
    assert row is not None
    club.edit("assessments", {**key, "made": "9", "tried": "10"}, row.seen)
    other = tables(tmp_path, B)
    assert club.read_otherwise(other) == {"read": 1, "changed": 1, "alike": 0}
    receipt = club.import_folder(other)
    assert receipt.reread == {"assessments": 1}
    assert held(club) == [("2026-04-13", A, 9), ("2026-04-20", B, 8)]
    assert [one.message for one in receipt.problems if "changed since" in one.message]
    club.import_folder(other, take=("read", "changed"))
    assert held(club) == AFTER


def test_a_row_taken_off_by_hand_stays_off_under_another_reading(tmp_path: Path, club: Club):
    club.import_folder(tables(tmp_path, A))
    key = {"golfer_id": "G01", "assessed_on": "2026-04-13", "test": A}
    row = club.row("assessments", key)
    assert row is not None
    club.remove("assessments", key, row.seen)
    club.import_folder(tables(tmp_path, B))
    assert held(club) == AFTER[1:]


def test_of_what_an_older_version_stored_it_is_asked(tmp_path: Path, club: Club):
    first, other = tables(tmp_path, A), tables(tmp_path, B)
    (first / SOURCES_FILE).unlink()
    club.import_folder(first)
    assert club.read_otherwise(other) == {"read": 0, "changed": 0, "alike": 2}
    receipt = club.import_folder(other, take=("read", "alike"))
    assert held(club) == AFTER
    assert receipt.import_no is not None
    club.undo(receipt.import_no)
    assert held(club) == BEFORE
    assert "both are kept" in str(club.import_folder(other).problems)
    assert sorted(held(club)) == sorted(BEFORE + AFTER)


def test_another_sheet_with_the_same_result_replaces_nothing(tmp_path: Path, club: Club):
    club.import_folder(tables(tmp_path, A))
    other = tables(tmp_path, B, SHEET.replace("Station A", "Station B"))
    assert club.read_otherwise(other) == {"read": 0, "changed": 0, "alike": 0}
    club.import_folder(other)
    assert len(held(club)) == 4


def test_tables_changed_by_hand_since_say_nothing_and_erasing_forgets(tmp_path: Path, club: Club):
    club.import_folder(tables(tmp_path, A))
    other = tables(tmp_path, B)
    path = other / "assessments.csv"
    path.write_text(path.read_text(encoding="utf-8-sig").replace(",7", ",6"), encoding="utf-8")
    assert club.read_otherwise(other) == {"read": 0, "changed": 0, "alike": 0}
    club.erase("G01")
    from paryield.club.layout import READ_FROM

    with club._reading() as connection:
        assert connection.execute(READ_FROM.select()).all() == []

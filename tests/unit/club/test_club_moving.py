"""A round moved or taken off the record by hand: history, undo, and a spreadsheet that still has it."""

from __future__ import annotations

from pathlib import Path

import pytest

from paryield.club import Club
from paryield.errors import InputError

KEY = {"golfer_id": "G1", "played_on": "2026-05-01", "round_no": "1"}
CELLS = {"golfer_id": "G1", "played_on": "2026-05-01", "score_differential": "14.2"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    found = tmp_path / "in"
    found.mkdir()
    (found / "golfers.csv").write_text("golfer_id\nG1\n", encoding="utf-8")
    rows = "golfer_id,played_on,score_differential\nG1,2026-05-01,14.2\nG1,2026-05-08,12.1\n"
    (found / "rounds.csv").write_text(rows, encoding="utf-8")
    return found


@pytest.fixture
def club(tmp_path: Path, folder: Path) -> Club:
    found = Club.open(tmp_path / "club.db", create=True)
    found.import_folder(folder)
    return found


def seen(club: Club) -> str:
    row = club.row("rounds", KEY)
    assert row is not None
    return row.seen


def days(club: Club) -> list[str]:
    return sorted(club.tables().rounds["played_on"].dt.strftime("%Y-%m-%d"))


def test_the_spreadsheet_does_not_bring_back_what_was_moved(club: Club, folder: Path) -> None:
    before = club.data_fingerprint()
    done = club.move("rounds", KEY, CELLS | {"played_on": "2026-05-03"}, seen(club))
    assert days(club) == ["2026-05-03", "2026-05-08"]
    receipt = club.import_folder(folder)
    assert days(club) == ["2026-05-03", "2026-05-08"]
    assert (receipt.added["rounds"], receipt.skipped["rounds"], receipt.import_no) == (0, 2, None)
    [problem] = receipt.problems
    assert (problem.severity, problem.found) == ("warning", "G1 2026-05-01 1")
    assert "by hand" in problem.message
    club.undo(done.number)
    assert club.data_fingerprint() == before
    assert club.import_folder(folder).problems == ()
    assert club.data_fingerprint() == before


def test_replacing_brings_it_back_and_logging_is_free(club: Club, folder: Path) -> None:
    club.remove("rounds", KEY, seen(club))
    assert days(club) == ["2026-05-08"]
    assert club.import_folder(folder).added["rounds"] == 0
    assert club.import_folder(folder, replace=True).added["rounds"] == 1
    assert days(club) == ["2026-05-01", "2026-05-08"]
    club.remove("rounds", KEY, seen(club))
    club.log("rounds", CELLS)
    assert days(club) == ["2026-05-01", "2026-05-08"]


def test_a_round_that_changed_meanwhile_stays(club: Club) -> None:
    old, before = seen(club), club.data_fingerprint()
    club.edit("rounds", CELLS | {"round_no": "1", "score_differential": "15.0"}, old)
    changed = club.data_fingerprint()
    assert changed != before
    with pytest.raises(InputError, match="was changed by somebody else"):
        club.remove("rounds", KEY, old)
    with pytest.raises(InputError, match="was changed by somebody else"):
        club.move("rounds", KEY, CELLS | {"played_on": "2026-05-03"}, old)
    assert club.data_fingerprint() == changed
    with pytest.raises(InputError, match="is gone"):
        club.remove("rounds", KEY | {"round_no": "2"}, old)


def test_removing_is_undone_and_the_undo_undone(club: Club) -> None:
    before = club.data_fingerprint()
    done = club.remove("rounds", KEY, seen(club))
    without = club.data_fingerprint()
    back = club.undo(done.number)
    assert (back.removed, back.restored) == (0, 1)
    assert club.data_fingerprint() == before
    club.undo(back.import_no)
    assert club.data_fingerprint() == without


def test_an_import_of_a_few_rows_is_taken_back(club: Club, tmp_path: Path) -> None:
    before = club.data_fingerprint()
    (tmp_path / "more").mkdir()
    rows = "golfer_id,played_on,score_differential\nG1,2026-05-15,13.0\n"
    (tmp_path / "more" / "rounds.csv").write_text(rows, encoding="utf-8")
    number = club.import_folder(tmp_path / "more", undoable=True).import_no
    assert number is not None
    assert len(days(club)) == 3
    club.undo(number)
    assert club.data_fingerprint() == before


OTHERS = {
    "practice": (
        {"golfer_id": "G1", "practised_on": "2026-05-01", "category": "chipping", "entry_no": "1"},
        {"minutes": "30"},
        {"category": "bunker"},
    ),
    "assessments": (
        {"golfer_id": "G1", "assessed_on": "2026-05-01", "test": "putting ladder", "distance_ft": ""},
        {"tried": "40", "made": "21"},
        {"assessed_on": "2026-05-02"},
    ),
}
"""Table to a key, the values beside it, and what the key becomes."""


@pytest.mark.parametrize("table", sorted(OTHERS))
def test_practice_and_tests_are_moved_and_taken_off_too(club: Club, tmp_path: Path, table: str) -> None:
    key, values, change = OTHERS[table]
    folder = tmp_path / "more"
    folder.mkdir()
    given = {**key, **values}
    text = f"{','.join(given)}\n{','.join(given.values())}\n"
    (folder / f"{table}.csv").write_text(text, encoding="utf-8")
    club.import_folder(folder)
    before = club.data_fingerprint()
    held = club.row(table, key)
    assert held is not None
    moved = club.move(table, key, {**given, **change}, held.seen)
    assert club.row(table, key) is None
    assert club.row(table, {**key, **change}) is not None
    [problem] = club.import_folder(folder).problems
    assert (problem.severity, problem.file) == ("warning", table)
    assert len(getattr(club.tables(), table)) == 1
    club.undo(moved.number)
    assert club.data_fingerprint() == before
    club.remove(table, key, held.seen)
    assert getattr(club.tables(), table).empty
    assert club.import_folder(folder, replace=True).added[table] == 1
    assert club.data_fingerprint() == before


def test_a_test_is_not_moved_onto_another_one(club: Club) -> None:
    key, values, change = OTHERS["assessments"]
    club.log("assessments", {**key, **values})
    club.log("assessments", {**key, **values, **change})
    before, held = club.data_fingerprint(), club.row("assessments", key)
    assert held is not None
    with pytest.raises(InputError, match="already holds a row"):
        club.move("assessments", key, {**key, **values, **change}, held.seen)
    assert club.data_fingerprint() == before


def test_practice_moved_to_a_day_with_practice_gets_the_next_number(club: Club) -> None:
    key, values, _ = OTHERS["practice"]
    for day in ("2026-05-01", "2026-05-02"):
        club.log("practice", {**key, **values, "practised_on": day})
    held = club.row("practice", key)
    assert held is not None
    club.move("practice", key, {**key, **values, "practised_on": "2026-05-02"}, held.seen)
    found = club.tables().practice
    assert found["practised_on"].dt.strftime("%Y-%m-%d").tolist() == ["2026-05-02"] * 2
    assert found["entry_no"].tolist() == [1, 2]

"""Runs and erasing: what is stored comes back, and what is erased is gone from the bytes."""

from __future__ import annotations

import hashlib
import json
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.club.runs import names, without
from paryield.errors import InputError

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating,putts\n"
PAYLOAD = random.Random(4).randbytes(300_000)


def test_runs_are_numbered_and_come_back_whole(path: Path) -> None:
    facts = {"data": "ab" * 32, "seed": 7, "quick": False, "golfers": ["A1", "A2"], "health": {"rhat": 1.003}}
    with Club.open(path) as club:
        assert club.latest_run() is None
        assert club.save_run(payload=b"first", facts={}) == 1
        assert club.save_run(payload=PAYLOAD, facts=facts) == 2
    with Club.open(path) as club:
        assert club.latest_run() == (2, facts, PAYLOAD)
        assert club.run(1) == (1, {}, b"first")
        listing = club.runs()
        with pytest.raises(InputError, match="no run 3") as caught:
            club.run(3)
        with pytest.raises(InputError, match="there is no run"):
            club.run(-(10**30))
    assert "1, 2" in caught.value.line()
    assert listing["payload_bytes"].tolist() == [5, 300_000]
    assert listing["stale"].tolist() == [False, False]
    assert "payload" not in listing.columns


@pytest.mark.club_file
def test_erase_removes_every_row_and_counts_them(path: Path, write: Callable[..., Path]) -> None:
    other = write("other", rounds=HEAD + "A1,2026-03-01,84,71.2,128,31\n")
    with Club.open(path) as club:
        club.import_folder(other, replace=True, today=TODAY)
        receipt = club.erase("A1")
        left = club.tables()
    assert receipt.removed == {"golfers": 1, "rounds": 2, "practice": 2, "assessments": 2, "calendar": 1}
    assert receipt.old_rows == 1
    assert receipt.compacted
    assert receipt.scrubbed == {"practice.note": 1}
    assert receipt.mentions == {}
    assert left.practice["note"].dropna().tolist() == ["with (erased)"]
    assert left.golfers["golfer_id"].tolist() == ["A11", "A2"]
    assert len(left.rounds) == 2
    assert left.calendar["golfer_id"].isna().tolist() == [True]
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("pragma integrity_check").fetchone() == ("ok",)
        assert connection.execute("pragma foreign_key_check").fetchall() == []


@pytest.mark.club_file
def test_no_byte_of_the_erased_is_left_in_the_file(path: Path, write: Callable[..., Path]) -> None:
    head = "golfer_id,display_name\n"
    write("first", golfers=head + "Zq77,Perpetua Owlbright\n", rounds=HEAD + "Zq77,2026-03-01,84,71,128,\n")
    write("second", golfers=head + "Zq77,Perpetua Finchmoor\n", rounds=HEAD + "Zq77,2026-03-01,83,71,128,\n")
    with Club.open(path) as club:
        club.import_folder(path.parent / "first", today=TODAY)
        club.import_folder(path.parent / "second", replace=True, today=TODAY)
        club.save_run(payload=b"draws of " + PAYLOAD, facts={"golfers": ["Zq77", "A1"]})
        content = path.read_bytes()
        assert all(word in content for word in (b"Owlbright", b"Finchmoor", b"Zq77", b"draws of "))
        club.erase("Zq77")
        club.save_run(payload=b"new", facts={})
    content = path.read_bytes()
    for word in (b"Owlbright", b"Finchmoor", b"Zq77", b"draws of ", PAYLOAD[1000:1040]):
        assert word not in content
    assert sorted(p.name for p in path.parent.iterdir()) == ["club.db", "first", "in", "second"]


@pytest.mark.club_file
def test_erased_rows_are_overwritten_even_without_compacting(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: object) -> None:
        raise sqlite3.OperationalError("no room")

    monkeypatch.setattr("paryield.club.sqlite.compact", fail)
    with Club.open(path) as club:
        receipt = club.erase("A11")
    assert not receipt.compacted
    assert b"Quill" not in path.read_bytes()


def test_runs_with_the_erased_are_stale_and_the_others_stay(path: Path) -> None:
    with Club.open(path) as club:
        club.save_run(payload=b"without", facts={"golfers": ["A2"]})
        club.save_run(payload=b"with", facts={"golfers": ["A1", "A2"], "seed": 3})
        club.save_run(payload=b"all", facts={"seed": 4})
        receipt = club.erase("A1")
        assert receipt.runs == (2, 3)
        assert club.runs()["stale"].tolist() == [False, True, True]
        assert club.runs()["payload_bytes"].tolist() == [7, 0, 0]
        assert json.loads(club.runs()["facts"][1]) == {"golfers": ["A2"], "seed": 3}
        assert club.latest_run() == (1, {"golfers": ["A2"]}, b"without")
        with pytest.raises(InputError, match="erased golfer"):
            club.run(2)
        assert club.save_run(payload=b"next", facts={}) == 4


def test_traces_in_facts_are_dropped() -> None:
    facts = {
        "golfers": ["A1", "A11"],
        "health": {"A1": 1.0, "A11": 1.1, "worst": "level[A1]", "note": "A11 and XA1"},
        "lines": [{"golfer_id": "A1", "ess": 400}, {"golfer_id": "A2", "ess": 500}],
        "seed": 1,
    }
    assert without(facts, "A1") == {
        "golfers": ["A11"],
        "health": {"A11": 1.1, "note": "A11 and XA1"},
        "lines": [{"golfer_id": "A2", "ess": 500}],
        "seed": 1,
    }


@pytest.mark.parametrize(
    ("text", "found"), [("A1", True), ("A11", False), ("x A1, y", True), ("BA1", False), ("A11 A1", True)]
)
def test_an_id_is_found_as_a_whole_word(text: str, found: bool) -> None:
    assert names(text, "A1") is found


def test_a_stranger_cannot_be_erased(path: Path) -> None:
    before = path.read_bytes()
    with Club.open(path) as club, pytest.raises(InputError, match="no golfer 'A3'") as caught:
        club.erase("A3")
    assert "nearest is A" in caught.value.line()
    assert path.read_bytes() == before


def held_anywhere(path: Path, text: str) -> bool:
    return any(text.encode() in file.read_bytes() for file in path.parent.glob(f"{path.name}*"))


@pytest.mark.parametrize("again", [False, True], ids=["gone", "somebody else has the id"])
def test_a_run_does_not_bring_back_who_was_erased_while_it_was_made(
    path: Path, write: Callable[..., Path], again: bool
) -> None:
    with Club.open(path) as fitting, Club.open(path) as club:
        erased = fitting.erased()
        golfers = fitting.tables().golfers["golfer_id"].tolist()
        club.erase("A1")
        if again:
            club.import_folder(write("again", golfers="golfer_id\nA1\n"), today=TODAY)
        with pytest.raises(InputError, match="erased while this fit ran") as caught:
            fitting.save_run(payload=PAYLOAD, facts={"golfers": golfers}, erased=erased)
        assert caught.value.exit_code == 2
        assert fitting.latest_run() is None
        assert fitting.save_run(payload=PAYLOAD, facts={"golfers": ["A2"]}, erased=fitting.erased()) == 1


def test_a_run_of_golfers_whom_the_club_does_not_hold_is_not_stored(path: Path) -> None:
    with Club.open(path) as club, pytest.raises(InputError, match="was not stored"):
        club.save_run(payload=PAYLOAD, facts={"golfers": ["A1", "A9"]})


@pytest.mark.club_file
@pytest.mark.parametrize("where", ["runs", "old rows", "marks", "links"])
def test_an_id_that_only_runs_old_rows_logs_or_links_hold_can_be_erased(path: Path, where: str) -> None:
    """As an older version could leave it behind, and an undone import does."""
    commands = {
        "runs": (
            "insert into runs values (1, '2026-05-01', ?, x'0a0b', 0)",
            json.dumps({"golfers": ["Z77"]}),
        ),
        "old rows": (
            "insert into replaced_rows values (1, 99, 'rounds', 'Z77', ?, 'null', null)",
            json.dumps({"golfer_id": "Z77"}),
        ),
        "marks": ("insert into marks values (?, '0011223344556677')", "Z77"),
        "links": ("insert into people_golfers values ('p', ?)", "Z77"),
    }
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(commands[where][0], (commands[where][1],))
    assert held_anywhere(path, "Z77")
    with Club.open(path) as club:
        assert club.erasable("Z77") == "Z77"
        assert club.erase("Z77").found == 0
        with pytest.raises(InputError, match="no golfer 'Z77'"):
            club.erase("Z77")
    assert not held_anywhere(path, "Z77")


@pytest.mark.club_file
def test_a_backup_is_a_whole_club_and_overwrites_nothing(path: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    with Club.open(path) as club:
        club.save_run(payload=PAYLOAD, facts={})
        club.backup(copy)
        fingerprint = club.data_fingerprint()
        with pytest.raises(InputError, match="exists already"):
            club.backup(copy)
        with pytest.raises(InputError, match="cannot be written"):
            club.backup(tmp_path / "no" / "copy.db")
    with Club.open(copy) as club:
        assert club.data_fingerprint() == fingerprint
        assert club.latest_run() == (1, {}, PAYLOAD)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["club.db", "club.db.backups", "copy.db", "in"]


@pytest.mark.club_file
def test_an_empty_club_has_nothing_to_copy(tmp_path: Path) -> None:
    with (
        Club.open(tmp_path / "new.db", create=True) as club,
        pytest.raises(InputError, match="nothing is stored"),
    ):
        club.backup(tmp_path / "copy.db")


def test_fingerprint_is_the_sha256_of_sorted_lines(tmp_path: Path, write: Callable[..., Path]) -> None:
    tiny = write("tiny", golfers="golfer_id,start_index\nB,10\nA,\n", rounds=HEAD)
    lines = [
        'golfers\t{"golfer_id": "A"}\n',
        'golfers\t{"golfer_id": "B", "start_index": 10.0}\n',
        "settings\t{}\n",
    ]
    expected = hashlib.sha256("".join(lines).encode()).hexdigest()
    with Club.open(tmp_path / "club.db", create=True) as club:
        club.import_folder(tiny, today=TODAY)
        assert club.data_fingerprint() == expected


def test_fingerprint_knows_content_not_order(tmp_path: Path, folder: Path, path: Path) -> None:
    lines = (folder / "rounds.csv").read_text().splitlines()
    marks = set()
    for number, rows in enumerate((lines[1:], lines[:0:-1], lines[1:-1])):
        (folder / "rounds.csv").write_text("\n".join([lines[0], *rows]) + "\n")
        with Club.open(tmp_path / f"c{number}.db", create=True) as club:
            club.import_folder(folder, today=TODAY)
            marks.add((len(rows), club.data_fingerprint()))
    assert len(marks) == 2
    assert len({mark for _, mark in marks}) == 2
    with Club.open(path) as club:
        assert (4, club.data_fingerprint()) in marks
        club.save_run(payload=b"x", facts={})
        assert (4, club.data_fingerprint()) in marks

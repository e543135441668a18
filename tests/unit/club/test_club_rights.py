"""A person's rights: all data out, everything gone with proof, copies named, and who saw what."""

from __future__ import annotations

import json
import random
import struct
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.club.mentions import is_distinctive
from paryield.errors import InputError, Notice
from paryield.tables import read_folder

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,score_differential,adjusted_gross_score,course_rating,slope_rating\n"
NAME = "Perpetua Owlbright"
WHO = "Zq77x"
Write = Callable[..., Path]


@pytest.fixture
def held(path: Path, write: Write) -> Path:
    """Return a club that holds one more golfer in every way a club can."""
    first = write(
        "first",
        golfers=f"golfer_id,display_name,start_index\n{WHO},{NAME},17.3\n",
        rounds=HEAD + f"{WHO},2026-03-01,17.3391,,,\n{WHO},2026-03-09,18.7713,,,\n",
        practice="golfer_id,practised_on,category,minutes,note\n"
        f"{WHO},2026-03-02,chipping,33.75,slept badly before\nA2,2026-04-04,driver,30,with {NAME.upper()}\n"
        f"A2,2026-04-05,driver,30,{WHO} lent me his\n",
        limits="golfer_id,category,starts_on,most_minutes_per_week,note\n"
        f"{WHO},driver,2026-04-01,0,left wrist in plaster\n",
        plans="plan,golfer_id,category,starts_on,ends_on,minutes_per_week\n"
        f"spring,{WHO},chipping,2026-04-01,2026-05-01,61.25\n",
    )
    second = write("second", rounds=HEAD + f"{WHO},2026-03-01,17.4402,,,\n")
    with Club.open(path) as club:
        club.import_folder(first, today=TODAY)
        club.import_folder(second, replace=True, today=TODAY)
        club.save_run(payload=random.Random(7).randbytes(90_000), facts={"golfers": [WHO, "A2"]})
        club.saw("golfer", [WHO, "A2"])
    return path


@pytest.mark.parametrize("fmt", ["csv", "xlsx"])
def test_an_export_of_one_golfer_is_all_of_him_and_nobody_else(held: Path, tmp_path: Path, fmt: str) -> None:
    with Club.open(held) as club:
        files = club.export(tmp_path / "out", fmt, WHO)
        whole = club.tables()
    out = read_folder(tmp_path / "out", today=TODAY, known=whole).tables
    for name, frame in whole.items():
        mine = frame[frame["golfer_id"] == WHO].reset_index(drop=True)
        assert getattr(out, name).equals(mine), name
    assert len(out.limits) == len(out.plans) == len(out.practice) == 1
    about = json.loads((tmp_path / "out" / "person.json").read_text())
    assert about["earlier_values"][0]["old"]["score_differential"] == 17.3391
    assert about["runs"] == [1]
    assert [line["action"] for line in about["trail"]] == ["replaced", "saw"]
    for file in files:
        content = file.read_bytes()
        if zipfile.is_zipfile(file):
            with zipfile.ZipFile(file) as package:
                content = b"".join(package.read(part) for part in package.namelist())
        assert b"Fenwarth" not in content
        assert b"A11" not in content


def test_an_export_of_a_stranger_is_one_line(held: Path, tmp_path: Path) -> None:
    with Club.open(held) as club, pytest.raises(InputError, match="no golfer 'Zq78x'"):
        club.export(tmp_path / "out", golfer="Zq78x")
    assert not (tmp_path / "out").exists()


@pytest.mark.club_file
def test_nothing_of_the_erased_is_left_in_any_byte(held: Path) -> None:
    """The search of the test is its own: names, notes and the 8 bytes of each score, in all files."""
    texts = [NAME, NAME.upper(), WHO, "slept badly", "left wrist"]
    numbers = [17.3391, 17.4402, 18.7713, 33.75, 61.25]
    wanted = [text.encode() for text in texts]
    wanted += [struct.pack(">d", number) for number in numbers] + [str(n).encode() for n in numbers]
    before = held.read_bytes()
    assert sum(needle in before for needle in wanted) >= 10
    with Club.open(held) as club:
        receipt = club.erase(WHO)
        assert club.audit()["action"].tolist()[-1] == "erased"
        assert receipt.runs == (1,)
    files = [file for file in held.parent.iterdir() if file.is_file()]
    assert files == [held]
    for needle in wanted:
        assert needle not in held.read_bytes(), needle
    assert receipt.scrubbed == {"practice.note": 2}
    assert receipt.mentions == {}
    assert receipt.found == 0
    assert receipt.searched_bytes == held.stat().st_size


@pytest.mark.club_file
def test_the_proof_finds_what_is_left(held: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With overwriting and compacting off, the old pages stay, and the proof says so."""
    monkeypatch.setattr("paryield.club.sqlite.compact", lambda _: None)
    real = Club.open
    with real(held) as club:
        import sqlalchemy as sa

        @sa.event.listens_for(club._engine, "connect")
        def off(connection: object, _: object) -> None:
            connection.execute("PRAGMA secure_delete = OFF")  # type: ignore[attr-defined]

        receipt = club.erase(WHO)
    assert receipt.found > 0


@pytest.mark.club_file
def test_copies_that_hold_the_person_are_named(held: Path, tmp_path: Path) -> None:
    with Club.open(held) as club:
        club.backup(tmp_path / "with.db")
        club.backup(tmp_path / "gone.db")
        (tmp_path / "gone.db").unlink()
        club.export(tmp_path / "all", "xlsx")
        pages = tmp_path / "pages"
        pages.mkdir()
        (pages / "one.html").write_text(f"<h1>{NAME}</h1>")
        (pages / "other.html").write_text("<h1>Ottilie Fenwarth</h1>")
        (pages / "one.pdf").write_bytes(b"%PDF-1.7")
        club.note_copy("report", pages)
        receipt = club.erase(WHO)
        club.backup(tmp_path / "without.db")
        assert club.copies()["kind"].tolist() == ["backup", "backup", "export", "report", "backup"]
        again = club.erase("A2")
    found = {(Path(copy["path"]).name, copy["state"]) for copy in receipt.copies}
    assert found == {
        ("with.db", "holds"),
        ("gone.db", "not found"),
        ("tables.xlsx", "holds"),
        ("one.html", "holds"),
        ("one.pdf", "may hold"),
    }
    assert ("without.db", "holds") in {(Path(copy["path"]).name, copy["state"]) for copy in again.copies}


@pytest.mark.club_file
def test_pieces_of_a_killed_backup_are_named(held: Path, tmp_path: Path) -> None:
    with Club.open(held) as club:
        club.backup(tmp_path / "copy.db")
        (tmp_path / ".copy.db.ab12.part").write_bytes(b"half a club")
        found = {(Path(copy["path"]).name, copy["state"]) for copy in club.erase(WHO).copies}
    assert (".copy.db.ab12.part", "may hold") in found


def test_the_trail_holds_no_name_id_or_value(held: Path) -> None:
    with Club.open(held) as club:
        text = club.audit().to_csv()
        mark = club.mark(WHO)
        assert club.golfer_of(mark) == WHO
        assert set(club.audit(WHO)["mark"]) == {mark}
        for word in (WHO, NAME, "A2", "17.3", "plaster"):
            assert word not in text
        club.erase(WHO)
        assert club.golfer_of(mark) is None
        assert mark in club.audit()["mark"].tolist()


def test_the_trail_tells_who_did_it(path: Path) -> None:
    with Club.open(path, who="person 4") as club:
        club.saw("golfer", ["A1"])
    with Club.open(path) as club:
        club.saw("health", [])
        club.log(
            "practice",
            {"golfer_id": "A1", "practised_on": "2026-05-01", "category": "irons", "minutes": "20"},
            today=TODAY,
        )
        lines = club.audit()
    assert lines[["who", "action", "what"]].to_numpy().tolist() == [
        ["command line", "imported", "folder"],
        ["person 4", "saw", "golfer"],
        ["command line", "logged", "practice"],
    ]


@pytest.mark.club_file
def test_a_club_that_cannot_be_written_still_gives_copies(
    held: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("paryield.club.sqlite.MODE", "ro")
    with Club.open(held) as club, pytest.warns(Notice, match="does not know of this backup"):
        club.backup(tmp_path / "copy.db")
    with Club.open(tmp_path / "copy.db") as copy:
        assert len(copy.tables().golfers) == 4


@pytest.mark.parametrize(
    ("word", "told"),
    [("May", False), ("G7", False), ("July", False), ("A1B2", True), ("Ann Lee", True), ("1234", False)],
)
def test_only_words_that_mean_nobody_else_are_replaced(word: str, told: bool) -> None:
    assert is_distinctive(word) is told


def test_a_common_name_is_left_and_counted(path: Path, write: Write) -> None:
    more = write(
        "more",
        golfers="golfer_id,display_name\nM1,May\n",
        rounds=HEAD + "M1,2026-03-01,17.3,,,\n",
        practice="golfer_id,practised_on,category,minutes,note\nA2,2026-04-04,driver,30,rest until May\n",
    )
    with Club.open(path) as club:
        club.import_folder(more, today=TODAY)
        receipt = club.erase("M1")
        assert "rest until May" in club.tables().practice["note"].dropna().tolist()
    assert receipt.mentions == {"practice.note": 1}
    assert receipt.scrubbed == {}

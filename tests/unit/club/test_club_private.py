"""What is written is its owner's alone; uploads go with their desk or the next one, and with a person."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from paryield import private
from paryield.club import Club, backups, scratch
from paryield.club.scratch import LOCK, Scratch, batches, folders, mark_of

pytestmark = pytest.mark.club_file


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(params=[0o000, 0o022, 0o777], ids=oct)
def umask(request: pytest.FixtureRequest) -> Iterator[int]:
    """Set what the process would allow others: everything, the usual, and not even itself."""
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_files_and_folders_are_their_owners_alone_whatever_the_umask(
    tmp_path: Path, folder: Path, umask: int
) -> None:
    place = tmp_path / "club.db"
    with Club.open(place, create=True) as club:
        club.import_folder(folder)
        club.export(tmp_path / "new" / "out")
        club.export(tmp_path / "one", "xlsx", "A1")
        club.backup(tmp_path / "copy.db")
        club.erase("A2")
    made = [place, tmp_path / "copy.db", backups.list_of(place)]
    made += [one for name in ("new", "one") for one in (tmp_path / name).rglob("*") if one.is_file()]
    assert len(made) > 12
    assert {mode(one) for one in made} == {private.FILE}
    assert {mode(tmp_path / name) for name in ("new", "new/out", "one")} == {private.FOLDER}


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_a_file_that_was_open_to_others_is_closed_when_it_is_written_again(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("before")
    page.chmod(0o644)
    private.write(page, "now")
    assert (mode(page), page.read_text()) == (private.FILE, "now")


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of temporary files, an empty one of this test."""
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    return place


def test_what_a_desk_holds_goes_when_it_ends(temporary: Path, path: Path) -> None:
    desk = Scratch(str(path))
    (desk.new() / "rounds.csv").write_text("golfer_id\n")
    with desk.folder() as place:
        assert place.is_dir()
    assert not place.exists()
    assert len(batches(desk.root)) == 1
    desk.close()
    assert list(temporary.iterdir()) == []


KILLED = """
import sys, tempfile, time
tempfile.tempdir = sys.argv[1]
from paryield.club.scratch import Scratch
desk = Scratch(sys.argv[2])
(desk.new() / "rounds.csv").write_text("A1")
print("there", flush=True)
time.sleep(60)
"""


@pytest.mark.skipif(os.name != "posix", reason="the signal is POSIX")
def test_what_a_killed_desk_left_is_found_at_the_next_start(temporary: Path, path: Path) -> None:
    command = [sys.executable, "-c", KILLED, str(temporary), str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "there\n"
        left = folders()
        assert len(left) == 1
        Scratch("other.db").close()
        assert left[0].is_dir()  # that desk is open
        process.send_signal(signal.SIGKILL)
        process.wait(20)
    Scratch("other.db").close()
    assert not left[0].exists()


def test_what_nobody_stored_is_gone_within_an_hour(temporary: Path, path: Path) -> None:
    desk = Scratch(str(path))
    old, new = desk.new(), desk.new()
    past = time.time() - scratch.LONGEST_SECONDS - 1
    os.utime(old, (past, past))
    desk.sweep()
    assert batches(desk.root) == [new]
    assert scratch.LONGEST_SECONDS + scratch.SWEPT_SECONDS < 3600
    desk.close()


def test_erasing_takes_uploads_that_hold_the_person_also_from_an_open_desk(
    temporary: Path, path: Path
) -> None:
    desk, other = Scratch(str(path)), Scratch("other.db")
    mine, his, theirs = desk.new(), desk.new(), other.new()
    (mine / "rounds.csv").write_text("golfer_id,played_on\nA11,2026-05-01\n")
    (his / "golfers.csv").write_text("golfer_id,display_name\nX,Ottilie Fenwarth\n")
    (theirs / "golfers.csv").write_text("golfer_id\nA1\n")
    left = temporary / f"{scratch.PREFIX}{mark_of(str(path))}-left" / "batch"
    left.mkdir(parents=True)
    (left / "rounds.csv").write_text("A1")
    with Club.open(path) as club:
        receipt = club.erase("A1")
    assert [(one["kind"], one["state"], one["path"]) for one in receipt.copies] == [
        ("upload", "removed", str(his))
    ]
    assert not left.parent.exists()
    assert batches(desk.root) == [mine]
    assert batches(other.root) == [theirs]
    assert any("disk" in line for line in receipt.beyond)
    desk.close()
    other.close()


@pytest.mark.skipif(os.name != "posix", reason="links as POSIX has them")
def test_a_trap_among_the_temporary_files_is_not_followed(temporary: Path, path: Path) -> None:
    precious = path.with_name("precious")
    precious.mkdir()
    (precious / LOCK).write_text("keep me")
    (temporary / f"{scratch.PREFIX}trap").symlink_to(precious)
    Scratch(str(path)).close()
    assert (precious / LOCK).read_text() == "keep me"


def test_a_file_is_the_old_or_the_new_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "answers.json"
    private.write(file, "old")

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", stopped)
        with pytest.raises(KeyboardInterrupt):
            private.write(file, "new")
    assert file.read_text() == "old"
    assert list(tmp_path.iterdir()) == [file]
    private.write(file, "new")
    assert file.read_text() == "new"


def test_what_a_killed_write_left_goes_with_the_next_one(tmp_path: Path) -> None:
    file, left = tmp_path / "a[1].csv", tmp_path / f".a[1].csv.0123{private.PART}"
    at_work, other = tmp_path / f".a[1].csv.4567{private.PART}", tmp_path / f".a1.csv.89ab{private.PART}"
    for part in (left, at_work, other):
        part.write_text("half")
    for part in (left, other):
        os.utime(part, (0, 0))
    private.write(file, "whole")
    assert sorted(tmp_path.iterdir()) == sorted([file, at_work, other])


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may write everywhere")
def test_a_file_that_may_not_be_written_stays(tmp_path: Path) -> None:
    file = tmp_path / "kept.csv"
    file.write_text("kept")
    file.chmod(0o400)
    with pytest.raises(PermissionError):
        private.write(file, "new")
    assert file.read_text() == "kept"


def test_a_link_is_written_through(tmp_path: Path) -> None:
    file, link = tmp_path / "far.csv", tmp_path / "near.csv"
    file.write_text("old")
    link.symlink_to(file)
    private.write(link, "new")
    assert link.is_symlink()
    assert file.read_text() == "new"

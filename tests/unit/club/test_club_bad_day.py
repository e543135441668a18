"""A bad day: the disk full, the folder read-only, the clock wrong, the file damaged; nothing is lost."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club, backups, layout
from paryield.errors import InputError, Notice

pytestmark = pytest.mark.club_file

TODAY = date(2026, 6, 1)


@contextmanager
def room(size: int) -> Iterator[None]:
    """Let files grow to so many bytes only, as on a full disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def mounted(place: Path, options: str) -> Iterator[Path]:
    """Mount a small disk of its own; skip where that is not allowed."""
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)]
    if os.geteuid() != 0 or subprocess.run(words, capture_output=True, check=False).returncode != 0:
        pytest.skip("mounting a small disk needs root")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def damage(path: Path) -> None:
    """Scramble the page where the rounds begin."""
    with closing(sqlite3.connect(path)) as connection:
        size = connection.execute("pragma page_size").fetchone()[0]
        page = connection.execute("select rootpage from sqlite_master where name='rounds'").fetchone()[0]
    content = bytearray(path.read_bytes())
    content[(page - 1) * size : page * size] = b"\x7f" * size
    path.write_bytes(content)


def test_a_damaged_club_names_the_last_good_backup(path: Path, folder: Path, tmp_path: Path) -> None:
    with Club.open(path) as club:
        for name in ("one.db", "two.db", "three.db"):
            club.backup(tmp_path / name)
    damage(tmp_path / "three.db")
    damage(path)
    with Club.open(path) as club:
        for use in (club.tables, lambda: club.import_folder(folder, today=TODAY)):
            with pytest.raises(InputError, match="damaged") as caught:
                use()
            assert f"last good backup: {tmp_path / 'two.db'}" in caught.value.line()
        with pytest.raises(InputError, match="no copy was made"):
            club.backup(tmp_path / "four.db")
    assert not (tmp_path / "four.db").exists()
    shutil.copyfile(tmp_path / "two.db", path)
    with Club.open(path) as club:
        assert len(club.tables().rounds) == 4


@pytest.mark.parametrize("what", ["missing", "empty", "zeroed", "cut off"])
def test_a_club_that_is_gone_names_it_too(path: Path, tmp_path: Path, what: str) -> None:
    with Club.open(path) as club:
        club.backup(tmp_path / "one.db")
    content = path.read_bytes()
    if what == "missing":
        path.unlink()
    else:
        path.write_bytes({"empty": b"", "zeroed": bytes(len(content)), "cut off": content[:9000]}[what])
    with pytest.raises(InputError) as caught, Club.open(path) as club:
        club.tables()
    assert f"last good backup: {tmp_path / 'one.db'} (made 20" in caught.value.line()
    assert caught.value.exit_code == 2


def test_a_list_of_backups_that_is_rubbish_does_no_harm(path: Path) -> None:
    backups.list_of(path).write_bytes(b'\xff\xfe{"file"\n[]\n{"made_at": 1}\n')
    damage(path)
    with Club.open(path) as club, pytest.raises(InputError, match="damaged") as caught:
        club.tables()
    assert "put back the latest backup" in caught.value.line()


def test_a_full_disk_during_erase_and_log_leaves_the_club_whole(path: Path) -> None:
    with Club.open(path) as club:
        club.save_run(payload=bytes(range(256)) * 4000, facts={"golfers": ["A1"]})
        mark = club.data_fingerprint()
        with room(4096), pytest.raises(InputError, match="nothing was stored"):
            club.erase("A1")
        with room(1024), pytest.raises(InputError, match="nothing was stored"):
            club.saw("golfer", ["A1"])
        assert club.data_fingerprint() == mark
        assert club.erase("A1").found == 0


def test_a_full_disk_during_backup_leaves_no_half_copy(path: Path, tmp_path: Path) -> None:
    with Club.open(path) as club:
        club.save_run(payload=bytes(range(256)) * 4000, facts={})
        held = path.stat().st_size
        with room(held // 2), pytest.raises(InputError):
            club.backup(tmp_path / "copy.db")
        assert club.copies().empty
    assert not [file for file in tmp_path.iterdir() if "copy.db" in file.name]


def test_a_small_disk_that_fills_up(path: Path, tmp_path: Path) -> None:
    with mounted(tmp_path / "disk", "size=1m") as disk:
        club_path = Path(shutil.copyfile(path, disk / "club.db"))
        with Club.open(club_path) as club:
            mark = club.data_fingerprint()
            with pytest.raises(InputError, match="disk is full; nothing was stored"):
                club.save_run(payload=bytes(2_000_000), facts={})
            assert club.data_fingerprint() == mark
        assert [file.name for file in disk.iterdir()] == ["club.db"]


def test_a_read_only_folder(path: Path, tmp_path: Path, folder: Path) -> None:
    with mounted(tmp_path / "disk", "size=8m") as disk:
        club_path = Path(shutil.copyfile(path, disk / "club.db"))
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        with Club.open(club_path) as club:
            assert len(club.tables().rounds) == 4
            for write in (club.check_writable, lambda: club.save_run(payload=b"x", facts={})):
                with pytest.raises(InputError, match="read-only"):
                    write()
            with pytest.raises(InputError, match="cannot be written"):
                club.backup(disk / "copy.db")
            with pytest.warns(Notice, match="does not know of this backup"):
                club.backup(tmp_path / "copy.db")
        with (
            pytest.raises(InputError, match="cannot be written"),
            Club.open(disk / "new.db", create=True) as new,
        ):
            new.import_folder(folder, today=TODAY)
    assert backups.is_sound(tmp_path / "copy.db")


def test_asking_whether_a_club_can_be_written_changes_nothing(path: Path) -> None:
    before = path.read_bytes()
    with Club.open(path) as club:
        club.check_writable()
    assert path.read_bytes() == before


def test_a_fit_of_a_read_only_club_is_refused_before_it_begins(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from paryield.model import command

    def refused(_: Club) -> None:
        raise InputError("the club file or its folder is read-only")

    monkeypatch.setattr(Club, "check_writable", refused)
    monkeypatch.setattr(command, "fit_tables", lambda *_, **__: pytest.fail("it began to fit"))
    with Club.open(path) as club, pytest.raises(InputError, match="read-only"):
        command.fit(club)


def test_a_clock_that_jumps_back_changes_no_order(
    path: Path, tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Club.open(path) as club:
        club.backup(tmp_path / "first.db")
        club.save_run(payload=b"first", facts={})
        for module in ("layout", "registers", "history", "runs"):
            monkeypatch.setattr(f"paryield.club.{module}.now", lambda: "2019-01-01T00:00:00+00:00")
        club.save_run(payload=b"second", facts={})
        club.backup(tmp_path / "second.db")
        latest = club.latest_run()
        assert latest is not None
        assert latest[2] == b"second"
        assert club.runs()["run_no"].tolist() == [1, 2]
        assert club.audit()["audit_no"].is_monotonic_increasing
        with pytest.warns(Notice, match="clock says 2019-01-01"):
            club.import_folder(folder)
    path.write_bytes(b"")
    found = backups.last_good(path)
    assert found is not None
    assert found[1] == tmp_path / "second.db"
    assert layout.VERSION >= 2


def test_a_backup_while_others_write_is_one_moment(path: Path, tmp_path: Path) -> None:
    with Club.open(path) as club, Club.open(path) as other:
        day = {"golfer_id": "A2", "category": "irons", "minutes": "20"}
        for number in range(1, 8):
            other.log("practice", {**day, "practised_on": f"2026-05-0{number}"}, today=TODAY)
            club.backup(tmp_path / f"copy{number}.db")
    for number in range(1, 8):
        with Club.open(tmp_path / f"copy{number}.db") as copy:
            practice = copy.tables().practice
            assert (practice["category"] == "irons").sum() == number


JOBS: dict[str, Callable[[Club], object]] = {
    "import": lambda club: club.import_folder(Path(club.name).parent / "in", today=TODAY),
    "log": lambda club: club.log("practice", ENTRY, today=TODAY),
    "fit": lambda club: club.save_run(payload=b"draws", facts={}),
    "erase": lambda club: club.erase("A1"),
    "undo": lambda club: club.undo(1),
}
ENTRY = {"golfer_id": "A2", "practised_on": "2026-05-01", "category": "irons", "minutes": "20"}


@pytest.mark.parametrize("job", sorted(JOBS))
def test_a_file_locked_by_another_program_is_said_by_every_job(
    path: Path, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("paryield.club.sqlite.BUSY_SECONDS", 0.05)
    before = path.read_bytes()
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("begin immediate")
        with Club.open(path) as club, pytest.raises(InputError, match="another program is using") as caught:
            JOBS[job](club)
    assert "close it or wait" in caught.value.line()
    assert path.read_bytes() == before


def test_a_backup_of_a_locked_file_is_made_and_says_what_it_could_not_note(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("paryield.club.sqlite.BUSY_SECONDS", 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("begin immediate")
        with Club.open(path) as club, pytest.warns(Notice, match="does not know of this backup"):
            club.backup(tmp_path / "copy.db")
    assert backups.is_sound(tmp_path / "copy.db")


def test_a_clock_that_jumps_ahead_and_back_keeps_what_was_stored(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Club.open(path) as club:
        club.save_run(payload=b"before", facts={})
        for module in ("layout", "registers", "history", "runs"):
            monkeypatch.setattr(f"paryield.club.{module}.now", lambda: "2091-01-01T00:00:00+00:00")
        club.log("practice", ENTRY, today=TODAY)
        club.save_run(payload=b"ahead", facts={})
        monkeypatch.undo()
        with pytest.warns(Notice, match="clock says"):
            club.import_folder(path.parent / "in")
        club.save_run(payload=b"after", facts={})
        latest = club.latest_run()
        assert latest is not None
        assert latest[2] == b"after"
        assert (club.tables().practice["category"] == "irons").sum() == 1
        assert club.audit()["audit_no"].is_monotonic_increasing

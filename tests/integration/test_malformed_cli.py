"""Malformed folders through the command: exit 2, one clear line a problem, the club file untouched."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from malformed import GOLFERS, MALFORMED, ROUNDS, TODAY, Malformed
from paryield.cli import main
from paryield.club import Club

BY_NAME = {case.name: case for case in MALFORMED}
NEEDS_A_NEW_CLUB = ("no golfers", "rounds under another name")
WITH_CLUB = [case for case in MALFORMED if case.name not in NEEDS_A_NEW_CLUB]


class FixedDay(date):
    """A calendar on which it is always the day of the cases."""

    @classmethod
    def today(cls) -> date:
        return TODAY


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("paryield.tables.load.date", FixedDay)


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return the bytes of a club that holds another golfer's round."""
    place = tmp_path_factory.mktemp("stored")
    (place / "in").mkdir()
    (place / "in" / "golfers.csv").write_bytes(b"golfer_id\nZ9\n")
    (place / "in" / "rounds.csv").write_bytes(b"golfer_id,played_on,score_differential\nZ9,2026-04-01,9.1\n")
    with Club.open(place / "club.db", create=True) as club:
        club.import_folder(place / "in", today=TODAY)
    return (place / "club.db").read_bytes()


@pytest.fixture
def laid(tmp_path: Path, stored: bytes) -> Callable[[Malformed], tuple[Path, Path]]:
    """Return a function that lays out a case beside a club, giving club file and folder."""

    def lay(case: Malformed) -> tuple[Path, Path]:
        club, folder = tmp_path / "club.db", tmp_path / "in"
        club.write_bytes(stored)
        folder.mkdir()
        for name, content in case.files.items():
            (folder / name).write_bytes(content)
        return club, folder

    return lay


def problem_lines(stderr: str) -> list[str]:
    return [line.removeprefix("error: ") for line in stderr.splitlines() if line.startswith("error: ")]


@pytest.mark.parametrize("case", WITH_CLUB, ids=lambda case: case.name)
def test_import_refuses_with_one_line_a_problem(case, laid, stored, capsys):
    club, folder = laid(case)
    assert main(["import", str(club), str(folder)]) == 2
    out, err = capsys.readouterr()
    lines = problem_lines(err)
    assert out == ""
    assert len(lines) == len(case.errors), err
    for line, fragments in zip(lines, case.errors, strict=True):
        assert all(fragment in line for fragment in fragments), line
    assert err.splitlines()[-1].startswith("paryield: ")
    assert "nothing was stored" in err.splitlines()[-1]
    assert "Traceback" not in err
    assert club.read_bytes() == stored
    assert {path.name for path in club.parent.iterdir()} == {"club.db", "in"}


@pytest.mark.club_file
@pytest.mark.parametrize("name", NEEDS_A_NEW_CLUB)
def test_a_refused_first_import_makes_no_file(name, laid, capsys):
    club, folder = laid(BY_NAME[name])
    club.unlink()
    assert main(["import", str(club), str(folder)]) == 2
    lines = problem_lines(capsys.readouterr().err)
    assert len(lines) == 1
    assert all(fragment in lines[0] for fragment in BY_NAME[name].errors[0])
    assert not club.exists()


def in_a_process(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    command = [sys.executable, "-m", "paryield.cli", *words]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    return done.returncode, done.stdout, done.stderr


def in_this_one(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    code = main(words)
    return code, *capsys.readouterr()


@pytest.mark.parametrize(
    ("name", "command"),
    [
        ("unknown category", in_this_one),
        ("cut off workbook", in_a_process),
        ("one key, two values", in_this_one),
    ],
)
def test_the_document_holds_as_many_problems_as_are_told(name, command, laid, stored, capsys):
    club, folder = laid(BY_NAME[name])
    code, out, err = command(["import", str(club), str(folder), "--json"], capsys)
    assert code == 2
    error = json.loads(out)["error"]
    assert error["kind"] == "input"
    found = [problem for problem in error["problems"] if problem["severity"] == "error"]
    assert len(found) == len(problem_lines(err)) == len(BY_NAME[name].errors)
    assert club.read_bytes() == stored


def test_check_lists_the_problems_and_leaves_with_2(laid, capsys):
    case = BY_NAME["more than 16 hours"]
    _, folder = laid(case)
    assert main(["check", str(folder), "--json"]) == 2
    document = json.loads(capsys.readouterr().out)
    assert document["errors"] == 1
    assert document["rejected"] == {"practice": 1}
    assert document["problems"][0]["found"] == "961"
    assert document["error"]["kind"] == "input"


def test_good_rows_are_kept_when_asked_for(laid, stored, capsys):
    club, folder = laid(BY_NAME["more than 16 hours"])
    assert main(["import", str(club), str(folder), "--keep-good", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["added"]["rounds"] == ROUNDS.count(b"\n") - 1
    assert document["added"]["golfers"] == GOLFERS.count(b"\n") - 1
    assert document["rejected"] == {"practice": 1}


def test_importing_twice_changes_no_byte(tmp_path, capsys):
    folder, club = tmp_path / "in", tmp_path / "club.db"
    folder.mkdir()
    (folder / "golfers.csv").write_bytes(GOLFERS)
    (folder / "rounds.csv").write_bytes(ROUNDS)
    assert main(["import", str(club), str(folder)]) == 0
    before = club.read_bytes()
    assert main(["import", str(club), str(folder)]) == 0
    assert club.read_bytes() == before
    assert "Held already: 2 golfers, 1 round." in capsys.readouterr().out

"""Every command with ``--json``: one document on standard output, whatever happens; same exit codes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from paryield.cli import main
from paryield.posterior.store import to_bytes

GOLFERS = "golfer_id,display_name\nG1,Ada Quill\n"
ROUNDS = (
    "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating\n"
    "G1,2026-05-01,95,71.5,125\nG1,2026-05-02,69,71.5,125\nG1,2026-05-03,94,73.0,125\n"
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "in"
    place.mkdir()
    (place / "golfers.csv").write_text(GOLFERS, encoding="utf-8")
    (place / "rounds.csv").write_text(ROUNDS, encoding="utf-8")
    return place


@pytest.fixture
def club(tmp_path: Path, folder: Path, run: Any) -> Path:
    path = tmp_path / "club.db"
    code, _, _ = run("import", path, folder)
    assert code == 0
    return path


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Any:
    """Return a function that runs a command with --json and gives code, document and messages."""

    def call(*words: object) -> tuple[int, Any, str]:
        code = main([*map(str, words), "--json"])
        out, err = capsys.readouterr()
        assert out.count("\n") == 1
        return code, json.loads(out), err

    return call


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["nonsense"], "No such command 'nonsense'"),
        (["forecast"], "Missing argument 'CLUB'"),
        (["check"], "Missing argument 'FOLDER'"),
        (["erase", "none.db"], "Missing option '--golfer'"),
        (["forecast", "none.db", "--weeks", "soon"], "integer"),
        (["forecast", "none.db", "--goal", "scratch", "--by", "2026-06-01"], "+2.1 for a plus handicap"),
        (["forecast", "none.db", "--goal", "60", "--by", "2026-06-01"], "between +10 and 54"),
        (["forecast", "none.db", "--goal", "4", "--by", "1 June"], "write it as 2026-06-01"),
        (["synth", "x", "--golfers", "0"], "greater than or equal to 1"),
        (["fit", "none.db", "--seed", "-1"], "greater than or equal to 0"),
        (["health", "none.db"], "no such"),
        (["synth", "x", "--case", "odd"], "odd"),
    ],
)
def test_wrong_use_is_one_error_document_and_exit_2(words, message, run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, document, err = run(*words)
    assert code == 2
    assert list(document) == ["error"]
    assert set(document["error"]) == {"kind", "message", "where", "remedy"}
    assert document["error"]["kind"] == "input"
    assert message in document["error"]["message"]
    assert document["error"]["remedy"]
    assert err.count("\n") == 1
    assert err.startswith("paryield: ")
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize("command", ["health", "forecast", "returns"])
def test_a_club_without_a_fit_says_how_to_fit(command, club, run):
    code, document, _ = run(command, club)
    assert code == 2
    assert document["error"]["message"] == "there is no fit yet"
    assert document["error"]["remedy"] == f"run paryield fit {club}"


def test_report_without_a_fit_and_for_nobody(club, run, tmp_path):
    code, document, _ = run("report", club, "coach", "--out", tmp_path / "out")
    assert (code, document["error"]["message"]) == (2, "there is no fit yet")
    code, document, _ = run("report", club, "manager")
    assert code == 2
    assert document["error"]["remedy"] == "use golfer or coach or week or facility or tests"
    assert not (tmp_path / "out").exists()


def test_index_shows_the_differentials_of_the_published_examples(club, run):
    """95 on 71.5/125 is 21.2 and 69 is -2.3 (USGA Handicap System Manual, section 10-1, verified at
    usga.org); 94 on 73.0/125 is 19.0 (pecangrovewga.com, verified). Three differentials: the lowest less
    2.0 (Rule 5.2a, verified at usga.org), so -4.3."""
    code, records, _ = run("index", club, "--golfer", "G1")
    assert code == 0
    assert [record["differential"] for record in records] == [21.2, -2.3, 19.0]
    assert [record["index_after"] for record in records] == [None, None, -4.3]
    assert records[-1]["lowest"] == [-2.3]
    assert records[-1]["adjustment"] == -2.0


def test_an_unknown_golfer_is_named_with_the_nearest(club, run):
    code, document, _ = run("index", club, "--golfer", "G2")
    assert code == 2
    assert document["error"]["message"] == "there is no golfer 'G2'"
    assert document["error"]["remedy"] == "the nearest is G1"


def test_export_gives_back_what_was_imported(club, run, tmp_path):
    code, document, _ = run("export", club, tmp_path / "out")
    assert code == 0
    assert {Path(file).name for file in document["files"]} >= {"golfers.csv", "rounds.csv"}
    code, document, _ = run("import", tmp_path / "again.db", tmp_path / "out")
    assert code == 0
    assert (document["added"]["golfers"], document["added"]["rounds"]) == (1, 3)
    code, document, _ = run("export", club, tmp_path / "out")
    assert (code, document["error"]["message"]) == (2, "the folder is not empty")


@pytest.mark.club_file
def test_backup_answers_as_the_club_does(club, run, tmp_path):
    copy = tmp_path / "copy.db"
    code, document, _ = run("backup", club, copy)
    assert code == 0
    assert document["bytes"] == copy.stat().st_size > 0
    assert run("index", copy)[1] == run("index", club)[1]


def test_erase_leaves_a_receipt_and_nothing_else(club, run):
    code, receipt, _ = run("erase", club, "--golfer", "G1")
    assert code == 0
    assert receipt["removed"] == {"golfers": 1, "rounds": 3}
    assert run("index", club)[1] == []
    assert b"Ada Quill" not in club.read_bytes()
    assert run("erase", club, "--golfer", "G1")[0] == 2


def test_replace_lists_each_change(club, folder, run):
    (folder / "rounds.csv").write_text(ROUNDS.replace(",94,", ",93,"), encoding="utf-8")
    code, document, _ = run("import", club, folder)
    assert code == 2
    assert "--replace" in document["error"]["problems"][0]["remedy"]
    code, document, _ = run("import", club, folder, "--replace")
    assert code == 0
    change = document["replaced"][0]
    assert (change["column"], change["old"], change["new"]) == ("adjusted_gross_score", 94, 93)


def test_synth_makes_what_check_finds_sound(run, tmp_path):
    code, document, _ = run("synth", tmp_path / "made", "--golfers", 3, "--weeks", 10, "--seed", 5)
    assert code == 0
    assert str(tmp_path / "made" / "truth" / "truth.json") in document["files"]
    code, found, _ = run("check", tmp_path / "made")
    assert (code, found["errors"], found["rows"]["golfers"]) == (0, 0, 3)


def test_a_fault_of_ours_is_one_line_and_exit_1(club, run, monkeypatch):
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("a\nb")

    monkeypatch.setattr("paryield.club.Club.tables", fail)
    code, document, err = run("index", club)
    assert code == 1
    assert document["error"]["kind"] == "internal"
    assert "RuntimeError: a" in document["error"]["message"]
    assert err.count("\n") == 1
    assert "Traceback" not in err
    monkeypatch.setenv("PARYIELD_TRACEBACK", "1")
    assert "Traceback" in run("index", club)[2]


@pytest.mark.club_file
def test_a_reader_that_stops_early_is_no_fault(club):
    script = f"{sys.executable} -m paryield.cli index {club} | true; exit ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, timeout=120, check=False)
    assert "Traceback" not in done.stderr
    assert done.stderr == ""
    assert done.returncode == 0


def test_a_stored_fit_is_a_netcdf_file(fitted_club):
    """The first bytes of an HDF5 file (HDF5 file format specification, section II.A)."""
    from paryield.club import Club
    from paryield.forecast.current import current_fit

    with Club.open(fitted_club) as club:
        assert to_bytes(current_fit(club)[1])[:8] == b"\x89HDF\r\n\x1a\n"

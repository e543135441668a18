"""The command line as a person meets it: names, near misses, a question before what cannot be undone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from paryield.cli import main
from paryield.club import Club
from paryield.commands.shared import broken


@pytest.fixture
def club(fitted_club: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(fitted_club, tmp_path / "club.db"))


def test_a_command_takes_a_name_where_it_takes_an_id(club, capsys):
    with Club.open(club) as opened:
        name = opened.tables().golfers.set_index("golfer_id")["display_name"]["G03"]
    assert main(["index", str(club), "--golfer", "G03", "--json"]) == 0
    by_id = capsys.readouterr().out
    assert main(["index", str(club), "--golfer", name.split()[-1], "--json"]) == 0
    assert capsys.readouterr().out == by_id


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["forcast"], "Did you mean 'forecast'"),
        (["plan", "nowhere.db", "--aim", "lukely"], "likely"),
        (["forecast", "nowhere.db", "--golfr", "G01"], "--golfer"),
    ],
)
def test_a_slip_of_the_pen_is_noticed_before_the_club_is_opened(words, said, capsys):
    assert main(words) == 2
    err = capsys.readouterr().err
    assert said in err
    assert "nowhere.db" not in err
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize(("reply", "left"), [("n\n", True), ("y\n", False)])
def test_erase_asks_on_a_terminal(club, monkeypatch, capsys, reply, left):
    import io

    typed = io.StringIO(reply)
    monkeypatch.setattr(typed, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stdin", typed)
    assert main(["erase", str(club), "--golfer", "G01"]) == 0
    assert "no way back" in capsys.readouterr().err
    with Club.open(club) as opened:
        assert ("G01" in set(opened.tables().golfers["golfer_id"])) is left


def test_yes_is_the_answer_that_a_script_gives(club, monkeypatch, capsys):
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    assert main(["erase", str(club), "--golfer", "G01", "--yes"]) == 0
    assert "no way back" not in capsys.readouterr().err


def test_who_lists_people_waits_for_no_table_and_no_draw(club):
    """Seconds differ between machines; what is loaded does not."""
    script = (
        "import sys\nfrom paryield.cli import main\n"
        f"main(['people', {str(club)!r}, '--json'])\n"
        "print(sorted({'numpy', 'pandas', 'scipy', 'xarray', 'numba'} & set(sys.modules)))"
    )
    environment = {**os.environ, "PYTHONPATH": ""}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, env=environment
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_audit_trail_shows_blanks_as_blanks(club, capsys):
    assert main(["audit", str(club)]) == 0
    assert "nan" not in capsys.readouterr().out.split()
    assert main(["audit", str(club), "--json"]) == 0
    assert "NaN" not in capsys.readouterr().out


def test_sentences_are_broken_at_80_columns_and_rows_of_tables_are_not() -> None:
    row = "golfer  hours  " + "x" * 90
    said = (
        "A sentence of words that goes on and on beyond the width of a terminal, until it is broken in two."
    )
    found = list(broken([row, said, "short"]))
    assert found[0] == row
    assert max(map(len, found[1:])) <= 80
    assert " ".join(" ".join(found[1:-1]).split()) == said
    assert found[-1] == "short"


def test_a_mistyped_club_golfer_or_option_is_noticed_before_anything_large_is_loaded(club, tmp_path):
    """One process asks them all: what the first had loaded, the last would show too."""
    commands = ("fit", "forecast", "returns", "plan", "areas", "split", "health", "report", "desk", "refresh")
    more = {"report": ["golfer"]}
    asked = [[one, str(tmp_path / "none.db"), *more.get(one, [])] for one in commands]
    asked += [[one, str(club), "--golfer", "G0", "--json"] for one in ("forecast", "plan", "split")]
    asked += [["plan", "--golfer", "Nobody at all", str(club)], ["fit", str(club), "--drawz", "9"], ["fits"]]
    script = (
        "import sys\nfrom paryield.cli import main\n"
        f"codes = [main(words) for words in {asked!r}]\n"
        "print(codes, sorted({'numpy', 'pandas', 'scipy', 'xarray', 'numba'} & set(sys.modules)))"
    )
    environment = {**os.environ, "PYTHONPATH": ""}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, env=environment
    )
    assert done.stdout.splitlines()[-1] == f"{[2] * len(asked)} []"
    assert "Traceback" not in done.stderr

"""Which run answers: the last sound one, whatever was fitted after it."""

from __future__ import annotations

import json
import warnings
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.errors import InputError, Notice
from paryield.forecast.current import current_fit
from paryield.posterior.current import health, newer_run, stored_fit


@pytest.fixture
def club(tiny_club: Path):
    with Club.open(tiny_club) as opened:
        yield opened


def add(club: Club, *, ok: bool, quick: bool = False) -> int:
    """Store the club's fit once more as a run that did or did not pass."""
    _, facts, payload = club.run(1)
    changed = {**facts, "quick": quick, "health": {**facts["health"], "ok": ok}}
    return club.save_run(payload=payload, facts=json.loads(json.dumps(changed)))


def test_without_a_sound_run_the_newest_answers(club: Club):
    assert stored_fit(club)[0] == 1
    assert add(club, ok=False) == 2
    assert add(club, ok=True, quick=True) == 3
    assert stored_fit(club)[0] == 3
    assert newer_run(club, 3) == ""


@pytest.mark.parametrize(
    ("later", "why"),
    [({"ok": False}, "run 3 is not sound"), ({"ok": True, "quick": True}, "run 3 is a rough fit")],
)
def test_neither_an_unsound_nor_a_rough_run_takes_the_place_of_a_sound_one(club: Club, later, why):
    assert add(club, ok=True) == 2
    with warnings.catch_warnings():
        warnings.simplefilter("error", Notice)
        assert current_fit(club)[0] == 2
    assert add(club, **later) == 3
    with pytest.warns(Notice, match=f"{why}: answers come from run 2, the last sound one"):
        assert current_fit(club)[0] == 2
    found = health(club)
    assert (found["run"], found["answers_from"], found["ok"]) == (3, 2, later["ok"])
    assert add(club, ok=True) == 4
    assert stored_fit(club)[0] == 4
    assert newer_run(club, 4) == ""


def test_runs_that_went_with_an_erased_golfer_do_not_answer(club: Club):
    add(club, ok=True)
    club.erase("G01")
    with pytest.raises(InputError, match="no fit yet"):
        stored_fit(club)


def test_the_command_says_which_run_answers(tiny_club: Path, capsys: pytest.CaptureFixture[str]):
    from paryield.cli import main

    with Club.open(tiny_club) as opened:
        add(opened, ok=True)
        add(opened, ok=False)
    assert main(["forecast", str(tiny_club), "--golfer", "G01", "--anyway"]) == 0
    assert (
        capsys.readouterr().err.count("run 3 is not sound: answers come from run 2, the last sound one") == 1
    )
    assert main(["health", str(tiny_club)]) == 0
    shown = capsys.readouterr().out
    assert "Run 3 does not pass the health gate" in shown
    assert "Answers come from run 2, the last sound one." in shown

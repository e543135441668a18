"""Long work: a process of its own, one at a time, stopped on demand, and nothing half stored."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.desk.work import Progress, Work
from paryield.errors import InputError


def wait(work: Work, until: Callable[[Progress], bool], seconds: float = 120) -> Progress:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = work.progress()
        if found is not None and until(found):
            return found
        time.sleep(0.05)
    raise AssertionError(f"it took too long: {work.progress()}")


def test_stopped_before_there_are_draws_it_stores_nothing(tiny_club: Path):
    with Club.open(tiny_club) as club:
        before = club.revision()
    work = Work(str(tiny_club))
    work.start("fit")
    with pytest.raises(InputError, match="running already"):
        work.start("fit")
    wait(work, lambda found: found.line != "starting")
    work.stop()
    found = wait(work, lambda one: not one.running)
    assert (found.state, found.line) == ("stopped", "stopped; nothing was stored")
    assert work._process is not None
    assert work._process.wait(timeout=10) == 0
    with Club.open(tiny_club) as club:
        assert club.revision() == before


def test_a_club_that_is_not_there_fails_with_one_line(tmp_path: Path):
    work = Work(str(tmp_path / "none.db"))
    work.start("quick")
    found = wait(work, lambda one: not one.running)
    assert found.state == "failed"
    assert "there is no such club file" in found.line
    with pytest.raises(InputError, match="no work"):
        work.start("dance")


def test_what_a_process_says_is_followed_to_the_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    import sys

    script = tmp_path / "worker"
    script.write_text(
        "import json, time\n"
        "for share in (0.1, 0.5):\n"
        "    print(json.dumps({'state': 'running', 'line': 'sampling', 'share': share}), flush=True)\n"
        "    time.sleep(0.3)\n"
        "print('no JSON', flush=True)\n"
        "print(json.dumps({'state': 'done', 'line': 'run 2 is stored', 'share': 1.0}), flush=True)\n"
    )
    import subprocess

    plain = subprocess.Popen

    def other(_command, **more):
        return plain([sys.executable, str(script)], **more)

    monkeypatch.setattr("paryield.desk.work.subprocess.Popen", other)
    work = Work("club.db")
    assert work.progress() is None
    work.start("fit")
    half = wait(work, lambda one: one.share == 0.5)
    assert half.running
    found = wait(work, lambda one: not one.running)
    assert (found.state, found.line) == ("done", "run 2 is stored")


def test_the_share_is_what_the_sampler_counted(
    tiny_club: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    """A fit that only counts: the process passes on its draws, and no share where nothing was counted."""
    import json
    from types import SimpleNamespace

    from paryield.desk.worker import main

    def counted(_club, *, quick, say, drawn):
        say("compiling and sampling")
        for done in (0, 1000, 4000):
            drawn(done, 4000)
        say("drawing each golfer's own values")
        return SimpleNamespace(ok=quick, run=7, facts={"stopped": False, "why": ""})

    monkeypatch.setattr("paryield.model.command.fit", counted)
    assert main(["quick", str(tiny_club), "owner"]) == 0
    said = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["share"] for one in said] == [None, None, 0.0, 0.25, 1.0, None, 1.0]
    assert said[3]["line"] == "1,000 of 4,000 draws, warm-up included"
    assert said[-1] == {
        "state": "done",
        "line": "run 7 is stored; it passes its health checks",
        "share": 1.0,
    }


def test_a_process_that_is_stopped_while_it_draws_stays_stopped(tmp_path: Path, monkeypatch):
    import subprocess
    import sys

    script = tmp_path / "worker"
    script.write_text(
        "import time\n"
        "from paryield.desk.worker import _drawn\n"
        "for done in range(1, 10_000):\n"
        "    _drawn(done, 10_000)\n"
        "    time.sleep(0.01)\n"
    )
    plain = subprocess.Popen
    monkeypatch.setattr(
        "paryield.desk.work.subprocess.Popen",
        lambda _command, **more: plain([sys.executable, str(script)], **more),
    )
    work = Work("club.db")
    work.start("fit")
    first = wait(work, lambda one: one.share is not None)
    later = wait(work, lambda one: (one.share or 0.0) > (first.share or 0.0))
    assert later.running
    monkeypatch.setattr("paryield.desk.work.GRACE", 0.2)
    work.stop()
    asked = work.progress()
    assert asked is not None
    assert (asked.state, asked.line) == ("running", "stopping; it keeps what it has")
    found = wait(work, lambda one: not one.running)
    assert (found.state, found.line) == ("stopped", "stopped; nothing was stored")


def test_what_a_stopped_process_kept_is_said(tmp_path: Path, monkeypatch):
    import subprocess
    import sys

    script = tmp_path / "worker"
    script.write_text(
        "import signal, threading, time\n"
        "from paryield.desk.worker import _listen, tell\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "threading.Thread(target=_listen, daemon=True).start()\n"
        "tell('running', 'sampling')\n"
        "try:\n"
        "    while True:\n"
        "        time.sleep(0.05)\n"
        "except KeyboardInterrupt:\n"
        "    tell('stopped', 'stopped; run 7 keeps 640 draws')\n"
    )
    plain = subprocess.Popen
    monkeypatch.setattr(
        "paryield.desk.work.subprocess.Popen",
        lambda _command, **more: plain([sys.executable, str(script)], **more),
    )
    work = Work("club.db")
    work.start("fit")
    wait(work, lambda found: found.line == "sampling")
    work.stop()
    found = wait(work, lambda one: not one.running)
    assert (found.state, found.line) == ("stopped", "stopped; run 7 keeps 640 draws")

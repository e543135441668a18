"""Whatever is sent to the desk, it answers: no 5xx, no traceback, no hang, and its memory stays bounded."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from asking import Asked, ask
from paryield.desk import make_app

MINUTES = float(os.environ.get("PARYIELD_TEST_MINUTES", "10"))
SERVER = "import sys; from paryield.desk import serve; serve(sys.argv[1], 0, anyway=True, opened=print)"


@pytest.fixture
def app(tiny_club: Path) -> Iterator[FastAPI]:
    """Return the desk on a club of its own, as one computer alone sees it: without sign-in."""
    found = make_app(str(tiny_club), anyway=True, warm=False)
    yield found
    found.state.desk.close()


def resident(process: int) -> int:
    """Return the resident size of a process in MB."""
    text = Path(f"/proc/{process}/status").read_text()
    return next(int(line.split()[1]) // 1024 for line in text.splitlines() if line.startswith("VmRSS"))


@pytest.mark.slow
def test_a_few_requests_to_every_route(app: FastAPI) -> None:
    asked = Asked()
    ask(app, asked, 3, 20260601)
    assert {200, 400} <= set(asked.statuses)
    assert sum(asked.statuses.values()) >= 3 * 15


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the resident size is read from /proc")
def test_minutes_of_requests_to_a_server_of_its_own(app: FastAPI, tiny_club: Path) -> None:
    asked, rounds = Asked(), 0
    command = [sys.executable, "-u", "-c", SERVER, str(tiny_club)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        address = process.stdout.readline().strip().rstrip("/")
        try:
            ask(app, asked, 2, 0, base_url=address)
            sizes = [resident(process.pid)]
            end = time.monotonic() + 60 * MINUTES
            while time.monotonic() < end:
                rounds += 1
                ask(app, asked, 10, rounds, base_url=address)
                sizes.append(resident(process.pid))
            assert process.poll() is None
        finally:
            process.terminate()
        said = process.stderr.read()
    print(f"\n{sum(asked.statuses.values())} requests in {MINUTES:g} minutes: {dict(asked.statuses)}")
    print(
        f"slowest {asked.slowest:.1f} s; resident MB: first {sizes[0]}, most {max(sizes)}, last {sizes[-1]}"
    )
    assert "Traceback" not in said
    assert max(sizes) < sizes[0] + 500

"""The desk in a browser: a process of its own on a copy of the fitted club, and Chromium without a screen."""

from __future__ import annotations

import json
import select
import shutil
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = "/usr/bin/chromium"
START_SECONDS, STOP_SECONDS = 120.0, 60.0
AXE = Path(__file__).parent / "data" / "axe.min.js"


@dataclass(frozen=True)
class Served:
    """A desk that runs: its address, without a slash at the end, and its club."""

    address: str
    club: Path


@pytest.fixture(scope="session")
def serve() -> Iterator[Callable[..., Served]]:
    """Return a function that opens the desk of a club by the command, as a user does."""
    running: list[subprocess.Popen[str]] = []

    def start(club: Path, *more: str) -> Served:
        words = [sys.executable, "-m", "paryield.cli", "desk", str(club), "--port", "0", "--anyway", "--json"]
        words += more
        process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        running.append(process)
        assert process.stdout is not None
        waiting, _, _ = select.select([process.stdout], [], [], START_SECONDS)
        assert waiting, f"the desk said no address within {START_SECONDS:.0f} s"
        return Served(json.loads(process.stdout.readline())["address"].rstrip("/"), club)

    yield start
    for process in running:
        process.send_signal(signal.SIGINT)
    for process in running:
        try:
            _, said = process.communicate(timeout=STOP_SECONDS)
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()
            raise
        assert "Traceback" not in said


@pytest.fixture
def beside() -> Iterator[Callable[..., Served]]:
    """Return a function that opens the desk of a club in a thread of this process.

    What it needs is loaded here once, and it works out what is asked for and no more: a process of its own
    would load it again, and work out every golfer's page beside the test, after each change anew.
    """
    import uvicorn

    from paryield.desk import make_app

    running: list[tuple[uvicorn.Server, threading.Thread, Any]] = []

    def start(club: Path, *, sign_in: bool = False) -> Served:
        listener = socket.create_server(("127.0.0.1", 0))
        port = listener.getsockname()[1]
        app = make_app(str(club), anyway=True, port=port, warm=False, sign_in=sign_in)
        server = uvicorn.Server(uvicorn.Config(app, log_level="critical", access_log=False, ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        running.append((server, thread, app))
        return Served(f"http://127.0.0.1:{port}", club)

    yield start
    for server, thread, app in running:
        server.should_exit = True
        thread.join(STOP_SECONDS)
        assert not thread.is_alive()
        app.state.desk.close()


@pytest.fixture(scope="session")
def desk(
    serve: Callable[[Path], Served], fitted_club: Path, tmp_path_factory: pytest.TempPathFactory
) -> Served:
    """Return a desk whose club no test changes."""
    return serve(Path(shutil.copy(fitted_club, tmp_path_factory.mktemp("desk") / "club.db")))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Return the browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(params=[1280, 360])
def width(request: pytest.FixtureRequest) -> int:
    """Width of the window: a laptop, a telephone."""
    return int(request.param)


ON_A_TELEPHONE = pytest.mark.parametrize(
    "width", [pytest.param(1280, marks=pytest.mark.slow), 360], indirect=True
)
"""A way whose steps are the same at both widths: on the narrow one by default, on both by hand."""


@pytest.fixture
def page(chromium: Any, width: int) -> Iterator[Any]:
    """Return a page that fails its test on any script error, policy violation or outside request."""
    context = chromium.new_context(viewport={"width": width, "height": 800})
    found, trouble = context.new_page(), []
    found.on("console", lambda said: trouble.append(said.text) if said.type == "error" else None)
    found.on("pageerror", lambda error: trouble.append(str(error)))
    found.on("request", lambda asked: trouble.append(asked.url) if "//127.0.0.1:" not in asked.url else None)
    yield found
    context.close()
    # A refused form answers 400, which the browser notes as an error of its own.
    fine = ("data:", "Failed to load resource: the server responded with a status of 400")
    left = [one for one in trouble if not one.startswith(fine)]
    assert left == [], left

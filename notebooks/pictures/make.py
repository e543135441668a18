"""Takes the README's pictures of the desk from a fitted club, such as the demo's.

uv run --group browser python notebooks/pictures/make.py paryield-demo/club.db
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

HERE = Path(__file__).parent
CHROMIUM = "/usr/bin/chromium"
MOVES = {"chipping": "1.5", "irons": "1"}


def main(club: str) -> None:
    """Open the desk on the club, take the pictures, close it."""
    words = [sys.executable, "-m", "paryield.cli", "desk", club, "--port", "0", "--json"]
    process = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        take(json.loads(process.stdout.readline())["address"])
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(20)


def take(address: str) -> None:
    """Take the pictures from an open desk."""
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1100, "height": 900})
        page.set_default_timeout(600_000)
        page.goto(address)
        page.wait_for_selector("table.roster a", timeout=600_000)
        page.locator("table.roster a").nth(1).click()
        page.wait_for_selector("dl.answers")
        save(page, "golfer_page.png")
        page.get_by_role("link", name="Try another week").click()
        page.wait_for_selector("#h-1")
        for name, hours in MOVES.items():
            slider = page.locator(f"[name='hours.{name}']")
            if slider.count():
                with page.expect_response("**/what-if/move"):
                    slider.fill(hours)
        page.wait_for_function("document.querySelector('#answer').innerText.includes('12 weeks')")
        save(page, "desk_what_if.png")
        browser.close()


def save(page: Any, name: str) -> None:
    """Keep what a window of this size shows."""
    page.screenshot(path=HERE / name)


if __name__ == "__main__":
    main(sys.argv[1])

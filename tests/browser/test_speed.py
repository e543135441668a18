"""How quick the pages are, in a browser: a slider, a golfer's page, and twenty readers at once."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx2
import numpy as np
import pytest
import xarray as xr
from desk_fixtures import Served
from steps import move, open_golfer, open_what_if

from paryield.club import Club
from paryield.forecast.current import current_fit
from paryield.posterior import Posterior, to_bytes
from paryield.posterior.store import fingerprint

pytestmark = [pytest.mark.browser, pytest.mark.slow]
# By hand, on an idle machine: uv run --group browser pytest -m "browser and slow"
DRAWS, MOVES = 4000, 50
MOVE_MS, PAGE_MS = 150.0, 500.0


@pytest.fixture
def large_desk(serve: Callable[[Path], Served], tiny_club: Path) -> Served:
    """A desk on a fit of 4,000 draws: those of the tiny fit, again and again."""
    with Club.open(tiny_club) as club:
        _, small = current_fit(club)
        draws = small.tree["posterior"].to_dataset()
        times = np.resize(np.arange(draws.sizes["draw"]), DRAWS // draws.sizes["chain"])
        tree = xr.DataTree.from_dict(
            {
                "/posterior": draws.isel(draw=times).assign_coords(draw=np.arange(len(times))),
                "/constant_data": small.tree["constant_data"].to_dataset(),
            }
        )
        large = Posterior(tree, {**small.facts, "draws": DRAWS})
        payload = to_bytes(large)
        club.save_run(payload=payload, facts={**large.facts, "payload": fingerprint(payload)})
    return serve(tiny_club)


@pytest.mark.parametrize("width", [1280], indirect=True)
def test_from_slider_to_picture(page: Any, large_desk: Served):
    open_what_if(page, large_desk.address)
    assert "4,000 draws" in page.inner_text("footer")
    move(page, "#h-1", 0.5)
    took = [move(page, "#h-1", 0.05 * (place % 20)) for place in range(MOVES)]
    print(f"slider to picture: median {statistics.median(took):.0f} ms, longest {max(took):.0f} ms")
    assert statistics.median(took) < MOVE_MS


@pytest.mark.parametrize("width", [1280], indirect=True)
def test_a_golfers_page(page: Any, desk: Served):
    address = open_golfer(page, desk.address)
    took = []
    for _ in range(15):
        begun = time.perf_counter()
        page.goto(address, wait_until="load")
        took.append(1000 * (time.perf_counter() - begun))
    print(f"a golfer's page: median {statistics.median(took):.0f} ms, longest {max(took):.0f} ms")
    assert statistics.median(took) < PAGE_MS


@pytest.mark.parametrize("width", [1280], indirect=True)
def test_twenty_readers_at_once(page: Any, desk: Served):
    address = open_golfer(page, desk.address)
    paths = [address, address.replace(".html", "/what-if"), f"{desk.address}/golfers/", f"{desk.address}/log"]

    def read(reader: int) -> list[int]:
        with httpx2.Client(timeout=120) as client:
            return [client.get(paths[(reader + turn) % len(paths)]).status_code for turn in range(8)]

    begun = time.perf_counter()
    with ThreadPoolExecutor(20) as pool:
        codes = [code for found in pool.map(read, range(20)) for code in found]
    print(f"20 readers, {len(codes)} pages: {time.perf_counter() - begun:.1f} s")
    assert codes == [200] * 160

"""The list of a club of 200 golfers while one waits: all rows newer than the fit, 2,000 draws.

The population is that of the tiny fit, its draws over and over: they cost what any 2,000 draws cost.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from test_second_week_speed import repeated

from paryield.club import Club
from paryield.forecast.refreshed import refreshed
from paryield.posterior.current import stored_fit
from paryield.report import sections
from paryield.report.attention import by_attention
from paryield.report.glance import glance
from paryield.report.write import coach_view
from paryield.synth import ClubSpec, make_club
from paryield.tables import Tables

pytestmark = pytest.mark.bench
GOLFERS = 200
COLD, WARM, CORES = 10.0, 1.0, 2
"""Seconds on two cores, counted as work done, so that what else runs there matters less; compiled code at
hand."""


def spent(job: Callable[[], object]) -> tuple[float, float]:
    began, busy = time.perf_counter(), time.process_time()
    job()
    return time.perf_counter() - began, time.process_time() - busy


def test_the_list_of_a_large_club(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        run = repeated(stored_fit(club)[1])
    tables = make_club(ClubSpec(golfers=GOLFERS, weeks=56, seed=3, stats_share=0.5)).tables
    few = make_club(ClubSpec(golfers=2, weeks=30, seed=4, stats_share=0.5)).tables

    def listed(tables: Tables) -> None:
        live = refreshed(run, tables)
        known = live.memory.setdefault("views", {})

        def one(golfer: str) -> None:
            if golfer not in known:
                known[golfer] = glance(live, tables, golfer, number=1, club="club", banner="")

        with ThreadPoolExecutor(2) as pool:
            list(pool.map(one, live.golfers))
        views = [known[golfer] for golfer in live.golfers]
        sections.golfers_section(by_attention(views), 12)
        if "drawn" not in live.memory:
            live.memory["drawn"] = [section(coach_view(tuple(views))) for section in sections.COACH]

    listed(few)
    (cold, busy), (warm, again) = spent(lambda: listed(tables)), spent(lambda: listed(tables))
    print(f"{GOLFERS} golfers: cold {cold:.1f} s ({busy:.1f} s of work), warm {warm:.2f} s ({again:.2f})")
    assert busy < COLD * CORES
    assert again < WARM

"""Time from a row that came after the fit to the answers of its golfer, with 2,000 draws.

The fit is that of the tiny club, its draws over and over: they cost what any 2,000 draws cost.
"""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from paryield.club import Club
from paryield.forecast import forecast_tables
from paryield.forecast.refreshed import refreshed
from paryield.plan import plan_tables, returns_fit
from paryield.posterior import Posterior
from paryield.posterior.current import stored_fit
from paryield.tables import Tables
from paryield.tables.frames import as_table

pytestmark = pytest.mark.bench
DRAWS = 2000
COLD, WARM = 1.0, 0.3
"""Seconds on one core that nothing else uses, with compiled code at hand."""


def repeated(fit: Posterior) -> Posterior:
    """The same fit with its draws over and over, 2,000 in all."""
    groups: dict[str, xr.Dataset] = {"constant_data": fit.tree["constant_data"].to_dataset()}
    for name in ("posterior", "population", "record"):
        one = fit.tree[name].to_dataset()
        draws = np.resize(np.arange(one.sizes["draw"]), DRAWS // one.sizes["chain"])
        groups[name] = one.isel(draw=draws).assign_coords(draw=np.arange(len(draws)))
    return Posterior(xr.DataTree.from_dict(groups), fit.facts)


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return repeated(stored_fit(club)[1]), club.tables()


def later(tables: Tables, day: str) -> Tables:
    row: dict[str, Any] = {"golfer_id": "G01", "played_on": pd.Timestamp(day), "score_differential": 20.0}
    rounds = pd.concat([tables.rounds, as_table("rounds", pd.DataFrame([row]))], ignore_index=True)
    return replace(tables, rounds=rounds)


def answered(run: Posterior, tables: Tables) -> float:
    """Seconds of this process for forecast, plan and returns of one golfer."""
    begun = time.process_time()
    live = refreshed(run, tables)
    forecast_tables(live, tables, golfer="G01")
    plan_tables(live, tables, golfers=["G01"])
    returns_fit(live, golfer="G01")
    return time.process_time() - begun


def test_a_new_round_is_answered_in_a_moment(fitted: tuple[Posterior, Tables]) -> None:
    run, tables = fitted
    answered(run, later(tables, "2026-07-06"))
    now = later(tables, "2026-07-12")
    cold, warm = answered(run, now), answered(run, now)
    print(f"cold {cold:.2f} s, warm {warm:.2f} s, 2,000 draws")
    assert cold < COLD
    assert warm < WARM

"""Another week: equal to the forecast for the present one, and to a plan's forecast for a new one."""

from __future__ import annotations

import dataclasses
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import Scene, forecast_tables, make_scene, what_if
from paryield.forecast.current import current_fit
from paryield.forecast.outlook import practised, stock_ahead
from paryield.forecast.what_if import answer, hours_of
from paryield.posterior import Posterior
from paryield.tables import Tables, as_table

GOLFER = "G02"


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def by_of(posterior: Posterior) -> date:
    return date(1970, 1, 1) + timedelta(days=posterior.as_of + 300)


@pytest.fixture(scope="module")
def scene(fitted: tuple[Posterior, Tables]) -> Scene:
    posterior, tables = fitted
    return make_scene(posterior, tables, GOLFER, goal=15.0, by=by_of(posterior))


def rows(records: list[dict[str, Any]]) -> dict[tuple[str, str], dict[str, Any]]:
    return {(record["on"], record["quantity"]): record for record in records}


def test_the_present_week_is_the_forecast(fitted, scene):
    posterior, tables = fitted
    found = answer(scene, scene.now)
    told = forecast_tables(
        posterior, tables, golfer=GOLFER, weeks=(0, 4, 26), goal=15.0, by=by_of(posterior)
    ).records
    mine = rows(found.records)
    for record in told:
        if record["quantity"] == "score_differential":
            continue
        same = mine[record["on"], record["quantity"]]
        for level in ("q025", "q10", "q50", "q90", "q975", "mean"):
            assert same[level] == pytest.approx(record[level], abs=1e-4)
        if "chance" in record:
            assert found.chance == pytest.approx(record["chance"], abs=1e-9)
    assert not found.gain.any()


def test_another_week_is_the_forecast_of_that_plan(fitted, scene):
    posterior, tables = fitted
    hours = scene.now * 0.0
    hours[0], hours[1] = 3.0, 1.5
    start = pd.Timestamp(date(1970, 1, 1) + timedelta(days=posterior.as_of))
    plans = pd.DataFrame(
        {
            "plan": "other",
            "golfer_id": GOLFER,
            "category": list(scene.categories[:2]),
            "starts_on": start,
            "ends_on": start + pd.Timedelta(days=400),
            "minutes_per_week": [180.0, 90.0],
        }
    )
    planned = dataclasses.replace(tables, plans=as_table("plans", plans))
    told = forecast_tables(posterior, planned, golfer=GOLFER, weeks=(4, 12, 26), plan="other").records
    mine = rows(answer(scene, hours).records)
    for record in told:
        if record["quantity"] == "score_differential":
            continue
        same = mine[record["on"], record["quantity"]]
        # Between the days practice runs straight here, so an index may differ by less than its tenth.
        within = 1e-4 if record["quantity"] == "mean_differential" else 0.06
        assert same["q50"] == pytest.approx(record["q50"], abs=within)


def test_the_stock_is_a_line_in_the_hours(fitted, scene):
    hours = np.linspace(0.0, 2.0, scene.per_hour.shape[-1])
    hours[len(scene.categories) :] = 0.0
    from paryield.forecast import golfer_draws

    own = golfer_draws(fitted[0], GOLFER)
    days = scene.days.astype(float)
    plain = stock_ahead(own, days, hours)
    assert np.maximum(scene.idle + scene.per_hour * hours, 0) == pytest.approx(plain, abs=1e-3)
    assert scene.lost(hours[: len(scene.categories)]) == pytest.approx(
        practised(own, plain, days).sum(axis=2), abs=1e-3
    )


def test_more_hours_never_raise_the_mean(scene):
    """Rates cannot be negative, so more of everything lowers what is lost, draw by draw, but for the
    golfer's own response, which is small against them on average."""
    more = answer(scene, scene.now + 1.0)
    assert more.gain.mean() > 0


def test_the_chance_counts_the_draws(scene):
    found = answer(scene, scene.now + 2.0)
    place = [(scene.by - scene.as_of).days == int(day) for day in scene.days].index(True)
    assert found.chance == np.mean(np.round(found.index[:, place], 1) <= 15.0)


@pytest.mark.parametrize(("begins", "most"), [(-10, 0.5), (100, 0.5), (400, 4.0)])
def test_limits_hold_without_a_word(fitted, begins: int, most: float):
    """One that begins within the half year ahead holds from today on; a later one does not matter yet."""
    posterior, tables = fitted
    name = next(one for one in posterior.categories if one != "phantom")
    start = pd.Timestamp(date(1970, 1, 1) + timedelta(days=posterior.as_of + begins))
    limit = pd.DataFrame(
        {"golfer_id": [GOLFER], "category": [name], "starts_on": [start], "most_minutes_per_week": [30.0]}
    )
    held = dataclasses.replace(tables, limits=as_table("limits", limit))
    scene = make_scene(posterior, held, GOLFER)
    assert hours_of(scene, {name: 4.0})[scene.categories.index(name)] == most


@pytest.mark.parametrize(
    ("hours", "message"),
    [({"juggling": 1.0}, "no practice category"), ({0: -1.0}, "cannot be"), ({0: 60.0, 1: 60.0}, "fit into")],
)
def test_hours_that_no_week_holds(scene, hours, message):
    named = {scene.categories[key] if isinstance(key, int) else key: value for key, value in hours.items()}
    with pytest.raises(InputError, match=message):
        hours_of(scene, named)


def test_the_public_function(fitted_club: Path, scene):
    with Club.open(fitted_club) as club:
        found = what_if(club, GOLFER, {scene.categories[0]: 2.0}, anyway=True)
        with pytest.raises(InputError, match="knows no golfer"):
            what_if(club, "nobody", {}, anyway=True)
    assert found.hours.sum() == 2.0
    assert found.chance is None

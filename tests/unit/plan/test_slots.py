"""Bays and greens shared: capacity held, and the moves are the cheapest there are."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast.current import current_fit
from paryield.plan import plan_tables
from paryield.plan.advice import MOVED
from paryield.plan.outcome import make_outcome
from paryield.plan.room import Bounds
from paryield.plan.slots import BAY, GREEN, Shared, place_of, share_places
from paryield.posterior import Posterior
from paryield.tables import SHIPPED, Settings, Tables

NAMES = ("short_putting", "irons", "strength")


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def shared(posterior: Posterior, golfer: str, hours: list[float], floor: float = 0.0) -> Shared:
    low, high = np.full(3, floor), np.full(3, 2.0)
    bounds = Bounds(low, high, low, high, np.array([low, high]))
    return Shared(np.array(hours), bounds, make_outcome(posterior, golfer, NAMES, 12), (GREEN, BAY, None))


def test_what_takes_a_bay_and_what_a_green() -> None:
    places = {category.name: place_of(category) for category in SHIPPED}
    assert {name for name, place in places.items() if place == BAY} == {"half_swing", "irons", "driver"}
    assert {name for name, place in places.items() if place is None} == {"on_course", "strength", "mobility"}


def test_the_moves_are_the_cheapest_of_all(fitted: tuple[Posterior, Tables]) -> None:
    """Brute force: every way for two golfers to keep their totals in quarters with 1.5 hours of bays."""
    posterior = fitted[0]
    weeks = {name: shared(posterior, name, [0.5, 1.5, 0.0]) for name in ("G01", "G04")}
    capacity = np.array([1.5, math.inf])
    found = share_places(weeks, capacity)
    after = {name: found.get(name, one.hours) for name, one in weeks.items()}
    assert sum(hours[1] for hours in after.values()) <= 1.5 + 1e-9
    splits = [0.25 * np.array(one) for one in itertools.product(range(9), repeat=3) if sum(one) == 8]
    cost = {name: one.outcome.lost(np.array(splits)).mean(axis=0) for name, one in weeks.items()}
    # What is given up may only move away from the bays: no golfer gets more of them than before.
    allowed = [place for place, split in enumerate(splits) if split[1] <= 1.5 and split[0] >= 0.5]
    best = min(
        cost["G01"][here] + cost["G04"][there]
        for here in allowed
        for there in allowed
        if splits[here][1] + splits[there][1] == 1.5
    )
    reached = sum(float(weeks[name].outcome.lost(hours[None]).mean()) for name, hours in after.items())
    assert reached == pytest.approx(best, abs=2e-3)
    assert reached >= best - 1e-9


def test_time_without_a_place_stays_free(fitted: tuple[Posterior, Tables]) -> None:
    one = shared(fitted[0], "G01", [2.0, 2.0, 2.0])
    found = share_places({"G01": one}, np.array([1.0, 1.5]))["G01"]
    np.testing.assert_allclose(found, [1.5, 1.0, 2.0])


def test_floors_that_need_more_than_there_is_are_refused(fitted: tuple[Posterior, Tables]) -> None:
    weeks = {"G01": shared(fitted[0], "G01", [1.0, 1.0, 0.5], floor=0.5)}
    with pytest.raises(InputError, match=r"more bay time than 0\.25 hours"):
        share_places(weeks, np.array([0.25, math.inf]))


def test_a_whole_club_fits_into_its_bays(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    few = replace(tables, settings=Settings(bay_minutes_per_week=120.0, green_minutes_per_week=300.0))
    records = plan_tables(posterior, few, hours=3.0).records
    used = np.zeros(2)
    for record in records:
        total = 0.0
        for row in record["weeks_plan"]:
            place = place_of(tables.category(row["category"]))
            total += row["hours_advised"]
            if place is not None:
                used[place] += row["hours_advised"]
        assert total <= record["hours"] + 1e-9
    assert np.all(used * 60 <= np.array([120.0, 300.0]) + 1e-6)
    assert any(MOVED in record["notes"] for record in records)
    plain = plan_tables(posterior, tables, hours=3.0).records
    assert not any(MOVED in record["notes"] for record in plain)


def test_a_limit_below_nothing_is_no_limit() -> None:
    with pytest.raises(ValueError, match="bay_minutes_per_week must be 0 or more"):
        Settings(bay_minutes_per_week=-1.0)

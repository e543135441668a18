"""Laws of every plan: bounds and totals held, nothing for nothing, order without meaning."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from paryield.club import Club
from paryield.forecast.current import current_fit
from paryield.plan import plan_tables
from paryield.plan.advice import Plan
from paryield.plan.outcome import Outcome, make_outcome
from paryield.plan.solver import QUARTER, Room, best_split, mean_gain
from paryield.plan.week_verdict import AS_GOOD, WEEK_REACHED, WORTH
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables

FEW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        tables = club.tables()
        open_ended = tables.golfers.assign(most_weekly_hours=float("nan"))
        return current_fit(club)[1], with_rows(tables, golfers=open_ended)


def hours_of(record: dict[str, Any], column: str) -> dict[str, float]:
    return {row["category"]: row[column] for row in record["weeks_plan"]}


def with_rows(tables: Tables, **changed: pd.DataFrame) -> Tables:
    frames = dict(tables.items()) | changed
    return make_tables(frames, categories=tables.categories, settings=tables.settings)


def asked(fitted: tuple[Posterior, Tables], **wishes: Any) -> Plan:
    return plan_tables(fitted[0], fitted[1], golfers=["G02"], **wishes)


@FEW
@given(
    hours=st.floats(0.0, 14.0),
    floor=st.floats(0.0, 1.5),
    ceiling=st.floats(0.0, 3.0),
    free=st.booleans(),
    aim=st.sampled_from(["likely", "safe"]),
)
def test_floors_ceilings_and_totals_are_held(
    fitted: tuple[Posterior, Tables], hours: float, floor: float, ceiling: float, free: bool, aim: str
) -> None:
    floors = {"chipping": min(floor, hours)}
    found = asked(fitted, hours=hours, floors=floors, ceilings={"irons": ceiling}, free=free, aim=aim)
    (record,) = found.records
    assert record["hours"] == hours
    for column in ("hours_advised", "hours_best"):
        week = hours_of(record, column)
        assert sum(week.values()) <= hours + 1e-9
        assert sum(week.values()) >= hours - QUARTER - 0.01
        assert week["chipping"] >= floors["chipping"] - 0.0011
        assert week["irons"] <= ceiling + 1e-9
        assert min(week.values()) >= 0.0
    assert record["regret"] >= 0.0
    assert record["regret_now"] >= 0.0
    assert record["price_if_wrong"] >= -1e-9
    chance, strokes = WEEK_REACHED
    sure = record["chance_gain"] >= chance and record["gain"]["q50"] >= strokes
    assert (record["verdict"] == "change") == (sure and record["evidence"] != "assumed")
    if record["verdict"] != "change":
        kept = record["gain"]["mean"] < WORTH or record["regret_now"] < AS_GOOD
        assert (record["verdict"] == "keep") == kept
    for row in record["weeks_plan"]:
        kept = record["verdict"] == "keep"
        assert kept or row["hours_advised"] == row["hours_best"]


@FEW
@given(most=st.floats(0.0, 240.0), hours=st.floats(0.0, 10.0), free=st.booleans())
def test_limits_and_a_golfers_ceiling_are_never_passed(
    fitted: tuple[Posterior, Tables], most: float, hours: float, free: bool
) -> None:
    posterior, tables = fitted
    limit = {"golfer_id": "G02", "category": "driver", "starts_on": pd.Timestamp("2026-09-01")}
    limits = pd.DataFrame([{**limit, "most_minutes_per_week": most, "set_by": "Quillane", "note": "hush"}])
    golfers = tables.golfers.assign(most_weekly_hours=5.0)
    changed = with_rows(tables, limits=limits, golfers=golfers)
    (record,) = plan_tables(posterior, changed, golfers=["G02"], hours=hours, free=free).records
    for column in ("hours_advised", "hours_best"):
        week = hours_of(record, column)
        assert week["driver"] * 60.0 <= most + 1e-6
        assert sum(week.values()) <= min(hours, 5.0) + 1e-9
    assert not any(word in str(record) for word in ("hush", "Quillane", "therapist set"))


def test_other_hours_than_the_diary_shows_are_said(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    golfer = next(
        one for place, one in enumerate(posterior.golfers) if posterior.constant("recent")[place].sum() > 0
    )
    done = float(posterior.constant("recent")[posterior.golfer_number(golfer)].sum())
    for hours, said in ((done, False), (0.8 * done, False), (0.5 * done, True), (2.0 * done, True)):
        record = plan_tables(posterior, tables, golfers=[golfer], hours=hours).records[0]
        assert any("the last 12 weeks come to" in note for note in record["notes"]) is said, hours


def test_no_hours_gain_nothing(fitted: tuple[Posterior, Tables]) -> None:
    found = asked(fitted, hours=0.0)
    (record,) = found.records
    assert np.abs(found.draws["G02"]).max() == 0.0
    assert (record["verdict"], record["chance_gain"], record["regret"]) == ("keep", 0.0, 0.0)
    assert record["sessions"] == []


@pytest.mark.parametrize("hours", [0.5, 2.0, 7.0])
def test_every_session_of_every_golfer_takes_ten_minutes(
    fitted: tuple[Posterior, Tables], hours: float
) -> None:
    posterior, tables = fitted
    for record in plan_tables(posterior, tables, hours=hours).records:
        assert record["sessions"]
        assert min(one["minutes"] for one in record["sessions"]) >= 10
        first = [one for one in record["sessions"] if one["on"] <= "2026-07-12"]
        planned = 60 * sum(hours_of(record, "hours_advised").values())
        assert sum(one["minutes"] for one in first) == pytest.approx(planned, abs=1 + len(first) / 2)


@pytest.fixture(scope="module")
def outcome(fitted: tuple[Posterior, Tables]) -> Outcome:
    names = [name for name in fitted[0].categories if name != "phantom"]
    return make_outcome(fitted[0], "G04", names, 12)


def test_more_hours_never_give_a_worse_optimum(outcome: Outcome) -> None:
    count = len(outcome.names)
    value = mean_gain(outcome, np.zeros(count))
    best = []
    for total in range(0, 41, 4):
        room = Room(np.zeros(count), np.zeros(count, int), np.full(count, total), total)
        best.append(best_split(value, room, np.full(count, total / count))[1])
    assert np.all(np.diff(best) >= -1e-9)
    assert best[0] == 0.0


@FEW
@given(order=st.permutations(range(6)))
def test_the_order_of_categories_has_no_meaning(outcome: Outcome, order: list[int]) -> None:
    """The same worth whichever way the categories stand; the split itself may differ only in ties."""
    room = Room(np.zeros(6), np.zeros(6, int), np.full(6, 16), 16)
    value = mean_gain(outcome, np.zeros(6))
    back = np.argsort(order)
    _, worth = best_split(value, room, np.full(6, 16 / 6))
    _, other = best_split(lambda hours: value(hours[:, back]), room, np.full(6, 16 / 6))
    assert other == pytest.approx(worth, abs=2e-5)


def test_a_longer_lock_is_kept_and_laid_out(fitted: tuple[Posterior, Tables]) -> None:
    (record,) = asked(fitted, hours=4.0, locks={"strength": (2, 40.0)}).records
    assert hours_of(record, "hours_advised")["strength"] == pytest.approx(4 / 3, abs=1e-3)
    assert hours_of(record, "hours_best")["strength"] == pytest.approx(4 / 3, abs=1e-3)
    week = [one for one in record["sessions"] if one["on"] <= "2026-07-12"]
    assert [one["minutes"] for one in week if one["category"] == "strength"] == [40, 40]

"""Goals: levels and hours that agree with the forecast, and with trying every quarter of an hour."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import forecast_tables, goals_tables, make_scene
from paryield.forecast.current import current_fit
from paryield.forecast.goals import GOAL_DRAWS, LEVELS, _chance, _hours_for, _index
from paryield.forecast.what_if import answer
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.tables import Tables


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def ask(fitted: tuple[Posterior, Tables], **more: Any) -> list[dict[str, Any]]:
    posterior, tables = fitted
    no_goal = replace(tables, golfers=tables.golfers.assign(goal_index=float("nan")))
    return goals_tables(posterior, no_goal, golfer="G03", **more).records


def test_levels_are_quantiles_of_the_what_if_index(fitted: tuple[Posterior, Tables]) -> None:
    """Second route: the index under the present week as the slider shows it, 12 weeks ahead."""
    posterior, tables = fitted
    (record,) = ask(fitted, weeks=(12,), goal=40.0, by=date(2026, 9, 27))
    scene = make_scene(thinned(posterior, GOAL_DRAWS), tables, "G03")
    index = answer(scene, scene.now).index[:, int(np.searchsorted(scene.days, 84))]
    for name, level in LEVELS.items():
        assert record[name] == pytest.approx(np.quantile(index, level), abs=1e-6)
    assert record["stretch"] <= record["even"] <= record["likely"]


def test_the_chance_of_the_even_goal_is_even(fitted: tuple[Posterior, Tables]) -> None:
    (first,) = ask(fitted, weeks=(26,))
    for name, level in LEVELS.items():
        found = ask(fitted, weeks=(26,), goal=first[name], by=date.fromisoformat(first["on"]))[0]
        assert found["chance"] == pytest.approx(level, abs=0.06)


def test_hours_for_an_even_chance_are_the_least_of_all_tried(fitted: tuple[Posterior, Tables]) -> None:
    """Brute force over every quarter hour up to 6.

    More practice lowers every score, but not every index: a better golfer may lose a reduction for an
    exceptional score. So a draw or two of 120 may turn the other way.
    """
    posterior, tables = fitted
    by = date(2026, 7, 5) + timedelta(weeks=26)
    year = date(2026, 7, 5) + timedelta(days=364)
    scene = make_scene(posterior, tables, "G03", by=by, also=[year])
    place = int(np.searchsorted(scene.days, (by - scene.as_of).days))
    tried = np.arange(0.0, 6.01, 0.25)
    indices = [_index(scene, scene.now, hours)[0][:, place] for hours in tried]
    for goal in (float(np.median(indices[8])), float(np.median(indices[16]))):
        chances = [_chance(index, goal) for index in indices]
        assert np.all(np.diff(chances) >= -2.5 / 120)
        expected = next(float(hours) for hours, chance in zip(tried, chances, strict=True) if chance >= 0.5)
        assert _hours_for(scene, scene.now, goal, by, year, 6.0)["hours_even"] == expected


def test_a_goal_out_of_reach_is_said_to_be(fitted: tuple[Posterior, Tables]) -> None:
    (record,) = [one for one in ask(fitted, goal=-5.0, by=date(2026, 12, 1)) if one.get("goal") is not None]
    assert record["chance"] == 0.0
    assert record["hours_even"] is record["hours_even_year"] is None
    assert record["hours_tried"] > 0


def test_more_hours_reach_a_lower_index(fitted: tuple[Posterior, Tables]) -> None:
    few, many = (ask(fitted, weeks=(52,), hours=hours)[0] for hours in (0.0, 8.0))
    assert all(many[name] <= few[name] for name in LEVELS)
    assert few["hours"] == 0.0
    assert many["hours"] == pytest.approx(8.0, abs=0.01)


def test_rounds_a_month_can_be_set_and_are_shown(fitted: tuple[Posterior, Tables]) -> None:
    (record,) = ask(fitted, weeks=(12,), rate=6.0)
    assert record["rounds_per_month"] == 6.0
    (silent,) = ask(fitted, weeks=(12,), rate=0.0)
    assert not silent["reportable"]
    assert "set the rounds a month" in silent["reason"]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"hours": float("nan")}, "nan hours"),
        ({"weeks": (0,)}, "0 weeks"),
        ({"goal": 10.0}, "--goal and --by"),
        ({"goal": 10.0, "by": date(2020, 1, 1)}, "2020-01-01 is not within two years"),
    ],
)
def test_what_cannot_be_asked(fitted: tuple[Posterior, Tables], wrong: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError, match=message):
        ask(fitted, **wrong)


def test_the_chance_of_a_goal_is_that_of_the_forecast_and_a_reached_one_says_so(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        tables, by = club.tables(), date(2026, 12, 24)
        posterior = current_fit(club)[1]
        for goal, reached in ((40.0, True), (-3.0, False)):
            one = goals_tables(posterior, tables, golfer="G01", goal=goal, by=by).records
            other = forecast_tables(posterior, tables, golfer="G01", weeks=(), goal=goal, by=by).records
            mine = next(record for record in one if record.get("goal") == goal)
            his = next(record for record in other if record.get("goal") == goal)
            assert mine["reached"] is his["reached"] is reached
            assert mine["chance"] == his["chance"]

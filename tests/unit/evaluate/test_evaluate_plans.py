"""The harness of plans: its truth is the generator's, its best split is the best of all."""

from __future__ import annotations

import itertools
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.evaluate.plans import RULES, TrueGains, plan_regret, thrown_away, weakest_split
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.tables.categories import AREAS, BY_NAME


@pytest.fixture(scope="module")
def club() -> MadeUpClub:
    return make_club(ClubSpec(golfers=5, weeks=30, seed=4, categories=("chipping", "irons", "driver")))


def test_true_gains_are_those_of_running_the_generator_forward(club: MadeUpClub) -> None:
    truth = TrueGains(club, 16)
    here, there = np.array([1.0, 2.0, 0.5]), np.array([0.0, 0.5, 3.0])
    found = truth.lost(there) - truth.lost(here)
    on = [club.spec.ends_on + timedelta(days=7 * 16)]
    for who, golfer in enumerate(club.truth.ids):
        plans = [dict(zip(club.spec.categories, split, strict=True)) for split in (here, there)]
        first, second = (club.truth.mean_differential(golfer, on, plan)[0] for plan in plans)
        assert found[who] == pytest.approx(second - first, abs=1e-9)


def test_the_best_split_is_the_best_of_all(club: MadeUpClub) -> None:
    truth, total = TrueGains(club, 16), 8
    splits = [one for one in itertools.product(range(total + 1), repeat=3) if sum(one) == total]
    every = np.array([truth.gain(0.25 * np.array(one)) for one in splits])
    low, high = np.zeros((5, 3), dtype=int), np.full((5, 3), total)
    best = truth.best(low, high, np.full(5, total))
    assert np.allclose(best.sum(axis=1), 2.0)
    np.testing.assert_allclose(truth.gain(best), every.max(axis=0), atol=1e-9)
    constant = truth.best_constant(total)
    assert truth.gain(constant).sum() == pytest.approx(every.sum(axis=1).max())


def test_the_best_split_stays_in_its_room(club: MadeUpClub) -> None:
    low, high = np.tile([1, 0, 2], (5, 1)), np.tile([2, 3, 9], (5, 1))
    quarters = 4.0 * TrueGains(club, 16).best(low, high, np.full(5, 8))
    assert np.all((quarters >= low) & (quarters <= high))
    assert np.all(quarters.sum(axis=1) == 8)


def test_all_hours_go_to_the_weakest_area(club: MadeUpClub) -> None:
    split = weakest_split(club, 4.0)
    assert np.allclose(split.sum(axis=1), 4.0)
    lost = club.truth.life.practice_strokes[:, :, club.truth.roster.now]
    for who, hours in enumerate(split):
        areas = {max(BY_NAME[n].serves, key=BY_NAME[n].serves.get) for n, h in
                 zip(club.spec.categories, hours, strict=True) if h > 0}  # fmt: skip
        assert len(areas) == 1
        excess = dict(zip(AREAS, lost[who] - lost[who].sum() * np.array([5, 7, 4, 3]) / 19, strict=True))
        assert excess[areas.pop()] == max(excess[area] for area in ("off_the_tee", "approach", "short_game"))


def test_every_rule_splits_the_hours_that_the_golfer_has(
    club: MadeUpClub, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two of five have at most 2 hours on file where 4 are asked for: no rule gives them more."""
    own = dict(zip(club.truth.ids, [4.0, 2.0, 4.0, 2.0, 4.0], strict=True))
    names = club.spec.categories

    def planned(*_: Any, golfers: list[str], **__: Any) -> Any:
        weeks = [
            {"category": name, "hours_best": share * 4.0, "hours_advised": share * 4.0}
            for name, share in zip(names, (0.5, 0.25, 0.25), strict=True)
        ]
        return SimpleNamespace(
            records=[
                {"golfer_id": who, "hours": own[who], "verdict": "try", "gain": {"q50": 0.1}}
                | {"weeks_plan": [_scaled(week, own[who] / 4.0) for week in weeks]}
                for who in golfers
            ]
        )

    monkeypatch.setattr("paryield.evaluate.plans.plan_tables", planned)
    table = plan_regret(club, SimpleNamespace())  # type: ignore[arg-type]
    assert set(table["rule"]) == set(RULES)
    np.testing.assert_allclose(table[list(names)].sum(axis=1), table["golfer_id"].map(own))
    assert (table["gain"] <= table["best"] + 1e-9).all()


def _scaled(week: dict[str, Any], share: float) -> dict[str, Any]:
    return {key: value if key == "category" else share * value for key, value in week.items()}


def test_shares_thrown_away_by_hand() -> None:
    table = pd.DataFrame({"rule": ["even", "even"], "gain": [0.5, 1.0], "best": [1.0, 2.0]})
    assert thrown_away(table)["thrown_away"].tolist() == [0.5]

"""Goals, plans and splits of a large club while one waits."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from paryield.forecast.goals import goals_tables
from paryield.model.spec import ModelSpec
from paryield.plan import plan_tables, split_fit
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, MadeUpClub

sys.path.insert(0, str(Path(__file__).parents[1] / "recovery"))
from long_fits import fitted

GOAL = 10.0


@pytest.fixture(scope="module")
def club() -> tuple[MadeUpClub, Posterior]:
    """200 golfers and as many draws as by default, in two chains."""
    spec = ModelSpec(draws=1000, tune=200, chains=2)
    return fitted(ClubSpec(golfers=200, weeks=56, seed=3, stats_share=0.5), spec, cores=2)


def spent(job: Callable[[], object]) -> float:
    start = time.perf_counter()
    job()
    return time.perf_counter() - start


@pytest.mark.bench
def test_one_golfer_in_a_second_and_200_in_a_minute(club: tuple[MadeUpClub, Posterior]) -> None:
    made, fit = club
    golfers = list(fit.golfers)
    by = date(1970, 1, 1) + timedelta(days=fit.as_of + 84)

    def all_three(who: list[str]) -> float:
        def goals() -> object:
            return [goals_tables(fit, made.tables, golfer=one, goal=GOAL, by=by) for one in who]

        def splits() -> object:
            return [split_fit(fit, made.tables, one) for one in who]

        return spent(goals) + spent(lambda: plan_tables(fit, made.tables, golfers=who)) + spent(splits)

    one = float(np.median([all_three([golfer]) for golfer in golfers[1:6]]))
    everybody = all_three(golfers)
    print(f"one golfer {one:.2f} s, {len(golfers)} golfers {everybody:.1f} s")
    assert one < 1.0
    assert everybody < 60.0

"""The health gate: how often it cries wolf, and what it must not miss."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import xarray as xr
from scipy.signal import lfilter

from paryield.model.health import RHAT_MOST, check_health, elements, rhat_by_chance

CHAINS, DRAWS = 4, 500


def chains(rng: np.random.Generator, count: int, keep: float = 0.0) -> Any:
    """Chains about one normal distribution, each draw keeping a share of the last, (chain, draw, element)."""
    fresh = rng.normal(size=(CHAINS, DRAWS + 100, count)) * np.sqrt(1.0 - keep**2)
    return lfilter([1.0], [1.0, -keep], fresh, axis=1)[:, 100:]


def test_the_limit_is_what_chance_allows_the_worst_of_many():
    """Brute force: half-chain means and variances of independent draws, without ranks."""
    rng, halves, size, looked_at = np.random.default_rng(7), 8, 25, 20
    # 25 draws in each half: large R-hats, so that the limit lies above its floor.
    draws = rng.normal(size=(2500, 2 * looked_at, halves, size))
    within = draws.var(axis=-1, ddof=1).mean(axis=-1)
    between = draws.mean(axis=-1).var(axis=-1, ddof=1)
    rhat = np.sqrt((size - 1) / size + between / within)
    limit = rhat_by_chance(np.array([halves * size]), 4, 2 * size, looked_at)[0]
    assert np.mean((rhat > limit).any(axis=1)) == pytest.approx(0.01, abs=0.007)
    found = rhat_by_chance(np.array([50.0, 2000.0, 1e9]), 4, 500, 300)
    assert found[0] > found[1] >= found[2] == RHAT_MOST


@pytest.mark.parametrize("keep", [0.0, 0.5])
def test_chains_that_agree_seldom_raise_an_alarm(keep: float):
    """Of 20 fits with nothing wrong at most one; a limit of 1.01 for all would stop most of the slow ones."""
    rng = np.random.default_rng(11)
    alarms, above = 0, 0
    for _ in range(20):
        found = elements(chains(rng, 60, keep), 60)
        alarms += not found.agree.all()
        above += bool((found.rhat > RHAT_MOST).any())
    assert alarms <= 1
    assert above == 0 if keep == 0.0 else above > 10


@pytest.mark.slow
@pytest.mark.parametrize("keep", [0.0, 0.3, 0.5, 0.6])
def test_the_rate_of_false_alarms_is_the_one_stated(keep: float):
    """400 fits of 100 elements: at most 1 % may alarm; three binomial standard errors are allowed on top."""
    rng = np.random.default_rng(12)
    alarms = sum(not elements(chains(rng, 100, keep), 100).agree.all() for _ in range(400))
    print(f"keep {keep}: {alarms} alarms in 400 fits")
    assert alarms <= 4 + 3 * 2


@pytest.mark.parametrize(("keep", "apart"), [(0.0, 0.4), (0.3, 0.5), (0.6, 0.6)])
def test_chains_that_disagree_are_found(keep: float, apart: float):
    """Two of four chains lie ``apart`` standard deviations from the others in one of 300 elements.

    Found, of 150 each at 0.3, 0.4, 0.5 and 0.6 apart: independent draws .73, 1, 1, 1; keeping 0.3 of the last
    .35 .81 .99 1; 0.5 .19 .51 .91 .98; 0.6 .39 .66 .90 .96.
    """
    rng = np.random.default_rng(13)
    missed = 0
    for _ in range(20):
        table = chains(rng, 1, keep)
        table[2:] += apart
        missed += bool(elements(table, 300).ok.all())
    assert missed <= 2


def test_a_chain_of_another_width_is_found():
    rng = np.random.default_rng(14)
    table = chains(rng, 5)
    table[3, :, 2] *= 1.6
    found = elements(table, 300)
    assert found.agree.tolist() == [True, True, False, True, True]
    assert found.worst == 2


def test_a_quantity_is_shown_at_its_worst_element_with_its_remedy():
    rng = np.random.default_rng(15)
    table = chains(rng, 3)
    table[0, :, 1] += 1.0
    draws = xr.Dataset(
        {
            "gain": (("chain", "draw", "category"), table),
            "trend": (("chain", "draw"), chains(rng, 1)[:, :, 0]),
            "course_effect": (("chain", "draw", "course"), np.zeros((CHAINS, DRAWS, 1))),
        },
        coords={"category": ["chipping", "bunker", "irons"], "course": ["Old"]},
    )
    found = check_health(draws, 0)
    trend, gain, course = found["lines"]
    assert not found["ok"]
    assert found["looked_at"] == 4
    assert (gain["element"], gain["ok"], trend["ok"], course["ok"]) == ("bunker", False, True, True)
    assert "goes on until" in gain["remedy"]
    assert trend["remedy"] == ""
    assert "reached its limit" in check_health(draws, 0, limit_reached=True)["lines"][1]["remedy"]
    assert not check_health(draws.drop_vars("gain"), 3)["ok"]
    assert check_health(draws.drop_vars("gain"), 2)["ok"]

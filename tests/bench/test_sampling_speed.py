"""Golfers integrated out against golfers sampled: smallest effective sample size a second, same club."""

from __future__ import annotations

import pickle
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import nutpie
import pymc as pm
import pytest
import xarray as xr
from arviz_stats import ess

from paryield.model.build import build_model
from paryield.model.design import Observations, build_observations
from paryield.model.fit import fit_observations, sample_population
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club

CLUB = ClubSpec(golfers=200, weeks=56, seed=3, stats_share=0.5)
SHARED = ("gain", "log_half_life", "trend", "level_mean", "share", "selection", "sd_level", "sd_area",
          "sd_wander", "wander_days", "sd_drift", "sd_response", "start_shift", "season_cos", "season_sin",
          "competition", "noise_scale", "course_effect")  # fmt: skip
"""Population values that both forms sample; the golfers' own are left out, which favours the plain form."""
TUNE, DRAWS = 100, 50
"""Of each chain of the plain form, whose trees are up to 1,023 steps deep: a quarter of an hour each."""
FIRST = """
import os, pickle, sys, time
from pathlib import Path
from paryield.model.fit import sample_population
from paryield.model.spec import ModelSpec

def drawn(done, _total):
    if done:
        print(time.time(), flush=True)
        os._exit(0)

sample_population(pickle.loads(Path(sys.argv[1]).read_bytes()), ModelSpec(), drawn=drawn)
"""


@pytest.fixture(scope="module")
def club() -> Observations:
    return build_observations(make_club(CLUB).tables, ModelSpec())


def smallest(draws: xr.Dataset) -> float:
    """Smallest bulk effective sample size of the shared values."""
    found = ess(draws[list(SHARED)], method="bulk")
    return min(float(np.nanmin(found[name].to_numpy())) for name in SHARED)


def timed(name: str, sample: Callable[[], xr.Dataset]) -> float:
    start = time.perf_counter()
    draws = sample()
    spent = time.perf_counter() - start
    found, count = smallest(draws), draws.sizes["chain"] * draws.sizes["draw"]
    rate = found / spent
    print(f"{name}: {count} draws, smallest bulk ESS {found:.0f} in {spent:.0f} s, {rate:.3f} a second",
          flush=True)  # fmt: skip
    return rate


@pytest.mark.bench
def test_a_club_of_200_golfers_is_fitted_in_three_minutes(club: Observations) -> None:
    """Default settings on two cores, golfers' own values included; at least 400 effective draws of each."""
    start = time.perf_counter()
    fit = fit_observations(club, ModelSpec(), cores=2)
    spent = time.perf_counter() - start
    lines = fit.facts["health"]["lines"]
    worst = min(min(line["ess_bulk"], line["ess_tail"]) for line in lines)
    print(f"{int(club.scored.sum())} rounds: {spent:.0f} s, smallest ESS {worst:.0f}, healthy "
          f"{fit.facts['health']['ok']}")  # fmt: skip
    assert spent < 180
    assert worst >= 400


@pytest.mark.bench
def test_the_first_draw_comes_within_twenty_seconds(club: Observations, tmp_path: Path) -> None:
    """From the start of the process, what Numba compiled being stored; told twice a second."""
    (tmp_path / "club").write_bytes(pickle.dumps(club))
    asked, spent = [sys.executable, "-c", FIRST, str(tmp_path / "club")], 0.0
    for _ in range(2):  # the first run fills the store
        start = time.time()
        spent = float(subprocess.run(asked, capture_output=True, text=True, check=True).stdout) - start
    print(f"first draw after {spent:.1f} s")
    assert spent < 20


@pytest.mark.bench
def test_fifteen_times_the_plain_form_a_second(club: Observations) -> None:
    plain = build_model(club, ModelSpec(), plain=True)
    ready = nutpie.compile_pymc_model(plain, backend="numba")

    def by_pymc() -> xr.Dataset:
        with plain:
            tree = pm.sample(
                DRAWS, tune=TUNE, chains=2, cores=2, random_seed=1, progressbar=False, nuts_sampler="pymc",
                compute_convergence_checks=False, compile_kwargs={"mode": "NUMBA"},
            )  # fmt: skip
        return tree["posterior"].to_dataset()

    def by_nutpie() -> xr.Dataset:
        tree = nutpie.sample(ready, draws=DRAWS, tune=TUNE, chains=2, cores=2, seed=1, progress_bar=False)
        return tree["posterior"].to_dataset()

    ours = timed("ours", lambda: sample_population(club, ModelSpec(chains=2), cores=2)[0])
    nutpies = timed("plain, nutpie", by_nutpie)
    pymcs = timed("plain, PyMC's sampler", by_pymc)
    print(f"ours is {ours / pymcs:.0f} times the plain form with PyMC's sampler, {ours / nutpies:.0f} with "
          "nutpie")  # fmt: skip
    assert ours >= 15 * pymcs

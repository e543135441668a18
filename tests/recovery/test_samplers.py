"""PyMC's own sampler and the default one give the same posterior. By hand: uv run pytest -m slow"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from paryield.model.design import build_observations
from paryield.model.fit import fit_observations
from paryield.model.simulate import draw_population, simulate_rounds
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club

pytestmark = pytest.mark.slow


@pytest.mark.filterwarnings("ignore:os.fork:RuntimeWarning")
def test_both_samplers_agree_within_monte_carlo_error() -> None:
    spec = ModelSpec(draws=400, tune=400, chains=2, seed=3)
    design = build_observations(make_club(ClubSpec(golfers=12, weeks=40, seed=4)).tables, spec)
    data, _ = simulate_rounds(draw_population(design, spec, 2), design, np.random.default_rng(5))
    ours = fit_observations(data, spec)
    theirs = fit_observations(data, replace(spec, sampler="pymc"))
    for name in ("gain", "trend", "level_mean", "sd_wander", "share", "noise_scale"):
        here, there = ours.draws(name), theirs.draws(name)
        # 200 effective draws each at the least: five Monte Carlo errors of a difference of means.
        error = 5 * np.sqrt(2 / 200) * (here.std(axis=0) + there.std(axis=0)) / 2
        assert np.all(np.abs(here.mean(axis=0) - there.mean(axis=0)) < error), name

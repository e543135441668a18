"""How far a fit is: the sampler's own count of draws, by both samplers."""

from __future__ import annotations

import numpy as np

from paryield.model.sampling import all_chains, each_draw

CHAINS, TUNE, DRAWS = 2, 60, 40


def test_nobody_asks_and_nothing_is_called():
    assert all_chains(None) is None
    assert each_draw(None, 10) is None


def test_the_sums_over_the_chains_rise_to_all_draws():
    """A normal density of three values, through the sampler that fits use."""
    import nutpie
    from nutpie.compiled_pyfunc import from_pyfunc

    model = from_pyfunc(
        3,
        lambda: lambda x: (-0.5 * float(x @ x), -x),
        lambda *_: lambda x: {"x": x},
        [np.dtype(np.float64)],
        [(3,)],
        ["x"],
    )
    heard: list[tuple[int, int]] = []
    nutpie.sample(
        model,
        draws=DRAWS,
        tune=TUNE,
        chains=CHAINS,
        cores=1,
        seed=1,
        progress_bar=False,
        progress_callback=all_chains(lambda done, total: heard.append((done, total))),
        progress_rate=5,
    )
    assert {total for _, total in heard} == {CHAINS * (TUNE + DRAWS)}
    done = [one for one, _ in heard]
    assert done == sorted(done)
    assert done[-1] == CHAINS * (TUNE + DRAWS)


def test_the_plain_sampler_counts_every_draw():
    import pymc as pm

    heard: list[tuple[int, int]] = []
    with pm.Model():
        pm.Normal("x")
        pm.sample(
            draws=5,
            tune=3,
            chains=1,
            cores=1,
            random_seed=1,
            progressbar=False,
            compute_convergence_checks=False,
            nuts_sampler="pymc",
            callback=each_draw(lambda done, total: heard.append((done, total)), 8),
        )
    assert heard == [(done, 8) for done in range(1, 9)]

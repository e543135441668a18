"""A fit with fewer draws, for searches that ask many times."""

from __future__ import annotations

import numpy as np
import xarray as xr

from paryield.posterior.contents import Posterior
from paryield.posterior.live import GolferView, LivePosterior


def thinned(posterior: Posterior, most: int) -> Posterior:
    """Return the fit with at most about ``most`` draws, evenly taken from every chain."""
    step = -(-posterior.samples // most)
    if step <= 1:
        return posterior
    if ("thinned", step) not in posterior.memory:
        posterior.memory["thinned", step] = _every(posterior, step)
    found: Posterior = posterior.memory["thinned", step]
    return found


def _every(posterior: Posterior, step: int) -> Posterior:
    if isinstance(posterior, GolferView | LivePosterior):
        sizes = posterior.tree["posterior"].sizes
        number = np.arange(sizes["chain"] * sizes["draw"]).reshape(sizes["chain"], sizes["draw"])
        return posterior.keep(number[:, ::step].ravel())
    groups = {
        "posterior": posterior.tree["posterior"].to_dataset().isel(draw=slice(None, None, step)),
        "constant_data": posterior.tree["constant_data"].to_dataset(),
    }
    return Posterior(xr.DataTree.from_dict(groups), posterior.facts)

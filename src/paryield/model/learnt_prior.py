"""A fit that starts from what other clubs have learnt: one more term of the log prior, and what is passed on.

The population values of practice keep their usual standard normal prior as declared in the model; a
potential turns it into ``share x usual + (1 - share) x learnt``.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pymc as pm
import pytensor.tensor as pt
import xarray as xr

from paryield.arrays import FLOATS
from paryield.model.spec import ModelSpec
from paryield.posterior.learnt import COMMON, HALF_LIFE, LearntPrior
from paryield.tables.categories import PHANTOM


def value_names(categories: list[str]) -> list[str]:
    """Names of the values of practice: common rate, own parts, half-lives; the phantom has none."""
    real = [name for name in categories if name != PHANTOM]
    return [COMMON, *real, *(f"{HALF_LIFE}{name}" for name in real)]


def declare_learnt(categories: list[str], spec: ModelSpec) -> dict[str, Any]:
    """Add what other clubs have learnt to the current PyMC model, which holds the values of practice.

    Returns
    -------
    dict
        Values of practice that a fit keeps, by name.
    """
    model = pm.modelcontext(None)
    kept = {name: model[name] for name in ("gain_common_z", "gain_category_z")}
    if spec.learnt is None:
        return kept
    real = np.flatnonzero([name != PHANTOM for name in categories])
    values = pt.concatenate(
        [
            pt.stack([model["gain_common_z"]]),
            model["gain_category_z"][real],
            model["log_half_life"][real] / spec.priors.half_life_log_sd,
        ]
    )
    pm.Potential("learnt", log_ratio(values, value_names(categories), spec.learnt, pt))
    return kept


def log_ratio(values: Any, names: list[str], learnt: LearntPrior, xp: Any) -> Any:
    """Log of the mixture prior over the usual one at values (P,), for NumPy and tensors."""
    mean, cover = learnt.of(names)
    inverse = np.linalg.inv(cover)
    apart = values - mean
    log_learnt = -0.5 * xp.sum(apart * (inverse @ apart)) - 0.5 * float(np.linalg.slogdet(cover)[1])
    log_usual = -0.5 * xp.sum(values**2)
    odds = np.log1p(-learnt.usual_share) - np.log(learnt.usual_share) + log_learnt - log_usual
    softplus = xp.softplus(odds) if xp is pt else np.logaddexp(0.0, odds)
    return np.log(learnt.usual_share) + softplus


def practice_values(draws: xr.Dataset, categories: list[str], spec: ModelSpec) -> dict[str, Any]:
    """Mean and covariance of the values of practice in the draws of a fit, on the scale of the prior.

    With a learnt prior also how far the records disagree with it: ``usual_after``, the weight that is left
    on the usual prior (``usual_before`` of it before), and ``conflict`` where that has grown beyond a half.
    """
    if not categories or "gain_common_z" not in draws:
        return {}
    names = value_names(categories)
    real = np.flatnonzero([name != PHANTOM for name in categories])
    size = draws.sizes["chain"] * draws.sizes["draw"]
    flat = {
        name: draws[name].to_numpy().reshape(size, -1)
        for name in ("gain_common_z", "gain_category_z", "log_half_life")
    }
    values = np.hstack(
        [
            flat["gain_common_z"],
            flat["gain_category_z"][:, real],
            flat["log_half_life"][:, real] / spec.priors.half_life_log_sd,
        ]
    )
    cover = np.cov(values.T) + 1e-9 * np.eye(len(names))
    found: dict[str, Any] = {
        "practice_values": {
            "names": names,
            "mean": values.mean(axis=0).tolist(),
            "covariance": cover.tolist(),
        }
    }
    if spec.learnt is not None:
        found["learnt"] = conflict(values, names, spec.learnt)
    return found


def conflict(values: FLOATS, names: list[str], learnt: LearntPrior) -> dict[str, Any]:
    """How far draws (S, P) of a fit disagree with the learnt prior it started from."""
    ratio = np.array([log_ratio(one, names, learnt, np) for one in values])
    after = float(np.mean(np.exp(np.log(learnt.usual_share) - ratio)))
    return {
        "clubs": learnt.clubs,
        "golfers": learnt.golfers,
        "spread_common": learnt.spread[0],
        "spread_own": learnt.spread[1],
        "usual_before": learnt.usual_share,
        "usual_after": after,
        "conflict": after > 0.5,
    }

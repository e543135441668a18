"""The noise floor of a golfer: what an hour of somebody else's practice would seem to return him."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from paryield.dose.stock import HALF_LIFE_NODES, HOURS_UNIT, bent, steady_stock
from paryield.forecast import GolferDraws
from paryield.plan.evidence import SOFTPLUS_ZERO, real_categories
from paryield.posterior import Posterior

FLOATS = npt.NDArray[np.float64]
RARELY = 0.05
"""Share of partners whose practice may seem as good before a category is not told from noise."""
STEPS = np.array([NormalDist().inv_cdf((step + 0.5) / 400) for step in range(400)])
"""Standard normal values at even steps of chance."""


@dataclass(frozen=True)
class Noise:
    """What chance alone makes of practice in a club.

    Parameters
    ----------
    gains : array, shape (S,)
        Draws of the gain of a partner's practice, strokes per 20 hours of the reference golfer: what is
        assumed of practice of which nothing is known, as far as the records let it stand.
    above : dict of str to bool
        Whether a category's own estimate lies above those of 19 in 20 partners.
    """

    gains: FLOATS
    above: dict[str, bool]

    def above_all(self, categories: Sequence[str]) -> bool:
        """Whether any of these categories, answered as one, lies above the floor."""
        return any(self.above.get(name, False) for name in categories)


def club_noise(posterior: Posterior) -> Noise:
    """Read the noise floor of a fit; without partners everything lies below it."""
    found = posterior.facts.get("noise_floor")
    prior = _prior_gains(posterior)
    rng = np.random.default_rng([int(posterior.facts["seed"]), 26])
    if not found or not found["partner_slopes"]:
        return Noise(prior[rng.integers(len(prior), size=posterior.samples)], {})
    slopes, errors = (np.array(found[name]) for name in ("partner_slopes", "partner_errors"))
    most = float(np.quantile(slopes / errors, 1.0 - RARELY))
    own = np.array(found["slopes"]) / np.array(found["errors"])
    above = dict(zip(found["categories"], map(bool, own > most), strict=True))
    log_weight = -0.5 * ((prior - slopes[:, None]) / errors[:, None]) ** 2
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    passed = np.cumsum(weight, axis=1) / weight.sum(axis=1, keepdims=True)
    partner = rng.permutation(posterior.samples) % len(slopes)
    place = (passed[partner] < rng.uniform(size=(posterior.samples, 1))).sum(axis=1)
    return Noise(prior[np.minimum(place, len(prior) - 1)], above)


def _prior_gains(posterior: Posterior) -> FLOATS:
    """Gains of a category that shares nothing with the others, at even steps of its prior."""
    priors = posterior.facts["spec"]["priors"]
    gains: FLOATS = float(priors["gain_median"]) * np.logaddexp(
        0.0, SOFTPLUS_ZERO + float(priors["gain_common_width"]) * STEPS
    )
    return gains


def noise_returns(
    posterior: Posterior, golfer: GolferDraws, lost: FLOATS, gains: FLOATS, weeks: int
) -> FLOATS:
    """Strokes saved by one weekly hour of practice with such gains, shape (S,).

    The category serves areas as the club's own do on average, fades as they do, and nothing is held of it.

    Parameters
    ----------
    posterior : Posterior
    golfer : GolferDraws
    lost : array, shape (S, K)
        Strokes lost at the horizon without it.
    gains : array, shape (S,)
    weeks : int
        How long the hour is kept up.
    """
    real = [posterior.categories.index(name) for name in real_categories(posterior)]
    serves = posterior.constant("serves")[real].mean(axis=0)
    half_life = float(np.median(golfer.node_half_life[0, real])) / HALF_LIFE_NODES[0]
    spec = posterior.facts["spec"]
    share = np.array(spec["priors"]["share"]) / sum(spec["priors"]["share"])
    gap = float(serves @ (share * spec["reference_level"] - spec["floor"]))
    fresh = steady_stock(1.0, half_life) * (1.0 - 2.0 ** (-7.0 * weeks / half_life))
    rates = gains[:, None] / gap * serves * bent(fresh, golfer.bend_hours) / HOURS_UNIT
    saved: FLOATS = ((lost - golfer.floor) * -np.expm1(-rates)).sum(axis=1)
    return saved

"""From a low, a likely and a high figure to the prior of a gain, and back.

A gain is ``scale x s(common z1) x s(own z2)`` with ``s(v) = softplus(0.54 + v)`` and standard normal
``z1`` (shared by the club's categories) and ``z2``. Given ``z1`` its distribution function is a normal one,
so that the whole is an integral over ``z1``, done by Gauss-Hermite nodes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.polynomial.hermite_e import hermegauss
from scipy.optimize import brentq
from scipy.special import ndtr

from paryield.model.prior import SOFTPLUS_ZERO

FLOATS = npt.NDArray[np.float64]
INSIDE = 0.8
"""A low and a high figure hold 8 cases in 10 between them."""
OWN_TO_COMMON = 7.0 / 15.0
"""Least width of a category's own part over the common one, as in the shipped prior. [judgement]"""
WIDEST = 6.0
NODES, WEIGHTS = hermegauss(81)
WEIGHTS = WEIGHTS / WEIGHTS.sum()


@dataclass(frozen=True)
class GainPrior:
    """Prior of one category's gain: scale in strokes per 20 hours, widths of the common and own part."""

    scale: float
    common: float
    own: float

    def below(self, gain: float) -> float:
        """Chance of a gain of at most this many strokes per 20 hours."""
        if gain <= 0:
            return 0.0
        shared = self.scale * np.logaddexp(0.0, SOFTPLUS_ZERO + self.common * NODES)
        ratio = gain / shared
        # Inverse of softplus, log(e^r - 1), written so that neither large nor small r loses digits.
        inner = ratio + np.log(-np.expm1(-ratio))
        return float(WEIGHTS @ ndtr((inner - SOFTPLUS_ZERO) / self.own))

    def quantile(self, chance: float) -> float:
        """Strokes per 20 hours that a gain stays below with this chance."""
        top = self.scale
        while self.below(top) < chance:
            top *= 2.0
        return float(brentq(lambda gain: self.below(gain) - chance, 1e-12 * self.scale, top, xtol=1e-12))


def with_median(likely: float, common: float, own: float) -> GainPrior:
    """Return the prior of these widths whose median is ``likely``."""
    unit = GainPrior(1.0, common, own)
    return GainPrior(likely / unit.quantile(0.5), common, own)


def held(prior: GainPrior, low: float, high: float) -> float:
    """Chance between two gains."""
    return prior.below(high) - prior.below(low)


def common_width(stated: list[tuple[float, float, float]]) -> float:
    """Width of the part that categories share: what the narrowest statement (low, likely, high) leaves."""
    return min(_root(lambda c, one=one: _miss(one, c, OWN_TO_COMMON * c)) for one in stated)  # type: ignore[misc]


def elicit(low: float, likely: float, high: float, common: float) -> GainPrior:
    """Find the prior with this median that holds 8 cases in 10 between low and high.

    Parameters
    ----------
    low, likely, high : float
        Strokes per 20 hours, ``0 < low < likely < high``.
    common : float
        Width of the part shared with other categories.
    """
    own = _root(lambda width: _miss((low, likely, high), common, width))
    return with_median(likely, common, own)


def _miss(stated: tuple[float, float, float], common: float, own: float) -> float:
    low, likely, high = stated
    return held(with_median(likely, common, own), low, high) - INSIDE


def _root(miss: Callable[[float], float]) -> float:
    """Width at which the chance between low and high is as stated; the ends where it cannot be."""
    least = 0.02
    if miss(least) <= 0:
        return least
    if miss(WIDEST) >= 0:
        return WIDEST
    return float(brentq(miss, least, WIDEST, xtol=1e-8))

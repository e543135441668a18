"""How far the data moved what was assumed: measured, part measured or assumed."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.posterior.moved import moved_word, overlap

FLOATS = npt.NDArray[np.float64]
PRIOR_DRAWS = 40_000
SOFTPLUS_ZERO = math.log(math.e - 1.0)


def _softplus(value: FLOATS) -> FLOATS:
    return np.logaddexp(0.0, value)


@lru_cache(maxsize=32)
def prior_gains(median: float, common: float, own: float, phantom: bool) -> FLOATS:
    """Draws of a category's gain before any data, strokes per 20 hours; second writing of the prior in
    plain NumPy, proved equal to the model's own by a test."""
    rng = np.random.default_rng(20)
    first, second = rng.normal(size=(2, PRIOR_DRAWS))
    shared = _softplus(SOFTPLUS_ZERO + common * first)
    if phantom:
        return median * shared
    return median * shared * _softplus(SOFTPLUS_ZERO + own * second)


@lru_cache(maxsize=32)
def joint_prior_gains(stated: tuple[tuple[float, float, float], ...]) -> FLOATS:
    """Draws of several real categories' gains before any data, shape (draw, category): the part that they
    share is the same in each draw. ``stated`` holds median, common and own width of each."""
    rng = np.random.default_rng(22)
    shared = rng.normal(size=PRIOR_DRAWS)
    columns = []
    for median, common, own in stated:
        rate = _softplus(SOFTPLUS_ZERO + common * shared)
        columns.append(median * rate * _softplus(SOFTPLUS_ZERO + own * rng.normal(size=PRIOR_DRAWS)))
    return np.stack(columns, axis=1)


def gain_prior(priors: dict[str, Any], name: str) -> tuple[float, float, float]:
    """Median, common width and own width of a category's gain in the stored priors of a fit."""
    medians = dict(priors.get("gain_medians") or ())
    widths = dict(priors.get("gain_widths") or ())
    median = float(medians.get(name, priors["gain_median"]))
    return median, float(priors["gain_common_width"]), float(widths.get(name, priors["gain_category_width"]))


def evidence_word(before: FLOATS, after: FLOATS, *, own_diary: bool = True) -> str:
    """Say how much of a gain was measured.

    Parameters
    ----------
    before, after : array
        Prior and posterior draws.
    own_diary : bool
        Whether the golfer keeps a diary: without one the club's answer is at best part measured for him.
    """
    word = moved_word(before, after)
    return "part measured" if word == "measured" and not own_diary else word


def club_evidence(spec: dict[str, Any], gains: FLOATS, categories: list[str]) -> dict[str, float]:
    """Overlap of prior and posterior for each category's population gain."""
    priors = spec["priors"]
    out = {}
    for place, name in enumerate(categories):
        before = prior_gains(*gain_prior(priors, name), name == "phantom")
        out[name] = overlap(before, gains[:, place])
    return out

"""How precisely a golfer's rounds measure strokes lost by area."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.posterior import Posterior

FLOATS = npt.NDArray[np.float64]
LIKE_ROUNDS = 5.0
"""Rounds' worth of weight of the club's habit of keeping statistics in a golfer's own. [judgement]"""


def round_information(posterior: Posterior, golfer: int) -> FLOATS:
    """Information of one round about strokes lost by area, shape (K, K), averaged over his kinds of round.

    A score says the sum of the areas; greens and putts, where he keeps them, set areas apart. How they move
    with the areas is taken from the fit's assumptions, not from its draws, so this is a careful estimate;
    shots and tests, which say more, are not counted.
    """
    priors: dict[str, Any] = posterior.facts["spec"]["priors"]
    share = posterior.draws("share").mean(axis=0)
    noise = float(np.sqrt(np.mean(posterior.draws("noise_total")[:, golfer] ** 2)))
    kept = _kept(posterior, golfer)
    score = np.ones((1, len(share))) / noise
    loads, cover = _with_statistics(priors, share, noise)
    full = loads.T @ np.linalg.solve(cover, loads)
    information: FLOATS = kept * full + (1.0 - kept) * score.T @ score
    return information


def _kept(posterior: Posterior, golfer: int) -> float:
    """Share of rounds with greens and putts, drawn towards the club's."""
    seen = posterior.constant("rounds_seen")
    both = np.minimum(posterior.constant("rounds_greens"), posterior.constant("rounds_putts"))
    club = float(both.sum() / max(seen.sum(), 1.0))
    return float((both[golfer] + LIKE_ROUNDS * club) / (seen[golfer] + LIKE_ROUNDS))


def _with_statistics(priors: dict[str, Any], share: FLOATS, noise: float) -> tuple[FLOATS, FLOATS]:
    """Loads on the areas, and covariance, of (root of greens, putts, differential) of one round."""
    tee = float(priors["greens_tee_weight"])
    slope = float(priors["greens_per_stroke"]) / (share[1] + tee * share[0])
    short = (float(priors["putts_per_stroke"]) - share[3]) / share[2]
    per_green, greens, putts = (
        float(priors[name]) for name in ("putts_per_root_green", "greens_sd", "putts_sd")
    )
    greens_day, putts_day = float(priors["greens_day"]), float(priors["putts_day"])
    loads = np.array([[-tee * slope, -slope, 0.0, 0.0], [0.0, 0.0, short, 1.0], [1.0, 1.0, 1.0, 1.0]])
    # Luck of the day: greens; putts on the greens hit and of their own; the score takes part of both.
    luck = np.array([[1.0, 0.0], [per_green, 1.0], [-greens_day, putts_day]])
    cover = luck @ np.diag([greens**2, putts**2]) @ luck.T
    rest = max(noise**2 - cover[2, 2], 0.25 * noise**2)
    cover[2, 2] += rest
    return loads, cover

"""How precisely a golfer's rounds measure strokes lost by area."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.posterior import Posterior

FLOATS = npt.NDArray[np.float64]
LIKE_ROUNDS = 5.0
"""Rounds' worth of weight of the club's habit of keeping statistics in a golfer's own. [judgement]"""
GREENS_ERROR = 1.0 / np.sqrt(4.0 * 18.0)
"""Sampling error of 18 greens as an angle, ``arcsin(sqrt(share))`` (variance 1 / 4n; computed)."""


def round_information(posterior: Posterior, golfer: int) -> FLOATS:
    """Information of one round about strokes lost by area, shape (K, K), averaged over his kinds of round.

    A score says the sum of the areas; greens and putts, where he keeps them, set areas apart, and shots or
    strokes by area measure each one. How they move with the areas is taken from what was assumed before
    the fit, and other stats and tests are not counted, so this is a careful estimate.
    """
    priors: dict[str, Any] = posterior.facts["spec"]["priors"]
    share = posterior.draws("share").mean(axis=0)
    name = posterior.golfers[golfer]
    his = posterior.of(name)
    noise = float(np.sqrt(np.mean(his.draws("noise_total")[:, his.golfer_number(name)] ** 2)))
    shots, stats = _kept(posterior, golfer)
    loads, cover = with_statistics(priors, share, noise)
    from_stats = loads.T @ np.linalg.solve(cover, loads)
    from_shots = np.diag(1.0 / (np.array(priors["area_day"]) * noise) ** 2)
    from_score = np.ones((len(share), len(share))) / noise**2
    information: FLOATS = shots * from_shots + stats * from_stats + (1.0 - shots - stats) * from_score
    return information


def _kept(posterior: Posterior, golfer: int) -> tuple[float, float]:
    """Shares of rounds with strokes by area, and of others with greens and putts; the club fills in."""
    seen, shots = posterior.constant("rounds_seen"), posterior.constant("rounds_shots")
    both = np.minimum(posterior.constant("rounds_greens"), posterior.constant("rounds_putts"))
    both = np.minimum(both, seen - np.minimum(shots, seen))

    def drawn(count: FLOATS) -> float:
        club = float(count.sum() / max(seen.sum(), 1.0))
        return float((count[golfer] + LIKE_ROUNDS * club) / (seen[golfer] + LIKE_ROUNDS))

    return drawn(np.minimum(shots, seen)), drawn(both)


def with_statistics(priors: dict[str, Any], share: FLOATS, noise: float) -> tuple[FLOATS, FLOATS]:
    """Loads on the areas, and covariance, of (greens as an angle, putts, differential) of one round."""
    tee = float(priors["greens_tee_weight"])
    slope = float(priors["greens_per_stroke"]) / (share[1] + tee * share[0])
    short = float(priors["putts_short_game"])
    greens, putts = float(priors["greens_sd"]) * GREENS_ERROR, float(priors["putts_sd"])
    per_green, greens_day, putts_day = (
        float(priors[name]) for name in ("putts_per_green", "greens_day", "putts_day")
    )
    loads = np.array([[-tee * slope, -slope, 0.0, 0.0], [0.0, 0.0, short, 1.0], [1.0, 1.0, 1.0, 1.0]])
    # Luck of the day: greens; putts on the greens hit and of their own; the score takes part of both.
    luck = np.array([[1.0, 0.0], [per_green, 1.0], [-greens_day, putts_day]])
    cover = luck @ np.diag([greens**2, putts**2]) @ luck.T
    cover[2, 2] += max(noise**2 - cover[2, 2], 0.25 * noise**2)
    return loads, cover

"""From population values to what each round says of its golfer: written once for NumPy and tensors.

Given the population values, everything that is a golfer's own (level by area, drift by area, response to
practice, wander) enters each observation linearly. Greens, putts and the differential of a round share
that day's luck; they are decorrelated in the order greens, putts, differential, so that each has an error
of its own.

Arrays: golfer N, round R (padded), observation O = 3, category J, area K = 4, knot W. A golfer's effects
D = K + K + 1 + W are levels, drifts, response and wander.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from paryield.dose.response import HOURS_UNIT, bent
from paryield.dose.stock import node_weights

AREA_COUNT = 4
OBSERVATIONS = ("greens", "putts", "diff")


@dataclass(frozen=True)
class Rows:
    """What the observations of one club say, given the population values.

    ``loads`` holds, per observation, shape (N, R, K): how the observation moves with strokes lost in each
    area. ``residual`` and ``sd``, shape (N, R) each: observation minus the population part, and its
    error. ``left`` (N, R, K) is the share of each gap still open, ``respond`` (N, R, K) what a response
    of 1 adds to strokes lost.
    """

    loads: tuple[Any, ...]
    residual: tuple[Any, ...]
    sd: tuple[Any, ...]
    left: Any
    respond: Any


def effective_change(p: dict[str, Any], data: Any, xp: Any) -> Any:
    """Effective hours now minus at the start of the record, shape (N, R, J)."""
    weights = node_weights(p["log_half_life"])
    start: Any = 0.0
    now: Any = 0.0
    for node, weight in enumerate(weights):
        steady = p["start_share"][:, None] * data.steady[node] * weight
        start = start + steady
        now = now + weight * data.stock[node] + steady[:, None, :] * data.decay[node]
    # Interpolation may undershoot zero by a hair.
    now = xp.maximum(now, 0.0)
    return bent(now, data.bend_hours, xp.log1p) - bent(start, data.bend_hours, xp.log1p)[:, None, :]


def gap_left(p: dict[str, Any], data: Any, xp: Any) -> Any:
    """Share of each area's gap still open, shape (N, R, K)."""
    return xp.exp(-(effective_change(p, data, xp) / HOURS_UNIT) @ p["rate_area"])


def wander_factor(p: dict[str, Any], data: Any) -> Any:
    """Lower Cholesky factor of the mean-reverting wander at the knots, shape (W, W), unit variance."""
    keep = p["wander_keep"]
    fresh = data.first_knot + (1.0 - data.first_knot) * (1.0 - keep**2) ** 0.5
    return keep**data.knot_gap * data.lower * fresh[None, :]


def mean_level(p: dict[str, Any], data: Any) -> Any:
    """Strokes that a golfer with this habit loses by area before anything is seen of him, shape (N, K)."""
    return p["share"] * p["level_mean"] + p["selection"] * data.habit_area


def day_luck(p: dict[str, Any], data: Any) -> dict[str, Any]:
    """How one round's greens, putts and differential share that day's luck.

    ``e_g``; ``e_p = kappa e_g + v_p``; ``e_d = -day_g e_g + day_p v_p + v_d``. What is not observed is
    averaged over.

    Returns
    -------
    dict
        ``putts_on_greens``, ``diff_on_greens``, ``diff_on_putts`` (coefficients, shape (N, R)) and the
        standard deviations ``sd_greens``, ``sd_putts``, ``sd_diff`` left after them.
    """
    has_g, has_p = data.has_greens, data.has_putts
    kappa, day_g, day_p = p["putts_per_green"], p["greens_day"], p["putts_day"]
    var_g, var_p, var_0 = p["greens_sd"] ** 2, p["putts_sd"] ** 2, p["noise"][:, None] ** 2
    both, only_p = has_g * has_p, (1.0 - has_g) * has_p
    lean = (day_p * var_p - day_g * kappa * var_g) / (var_p + kappa**2 * var_g)
    left = var_0 + (1.0 - has_g) * day_g**2 * var_g + (1.0 - both) * day_p**2 * var_p
    # Putts alone speak of both kinds of luck: cov(e_d, e_p) = day_p var_p - day_g kappa var_g.
    left = left - only_p * lean**2 * (var_p + kappa**2 * var_g)
    return {
        "putts_on_greens": both * kappa,
        "diff_on_greens": -has_g * day_g - both * kappa * day_p,
        "diff_on_putts": both * day_p + only_p * lean,
        "sd_greens": p["greens_sd"] + 0.0 * has_g,
        "sd_putts": (var_p + (1.0 - has_g) * kappa**2 * var_g) ** 0.5,
        "sd_diff": left**0.5,
    }


def total_noise(p: dict[str, Any]) -> Any:
    """Standard deviation of one round's differential about its mean, all luck included, shape (N,)."""
    luck = p["greens_day"] ** 2 * p["greens_sd"] ** 2 + p["putts_day"] ** 2 * p["putts_sd"] ** 2
    return (p["noise"] ** 2 + luck) ** 0.5


def _area_loads(p: dict[str, Any], xp: Any) -> tuple[Any, Any, Any]:
    """How greens, putts and differential move with strokes lost by area, shape (K,) each."""
    zero = 0.0 * p["greens_slope"]
    one = zero + 1.0
    greens = xp.stack([-p["greens_tee"] * p["greens_slope"], -p["greens_slope"], zero, zero])
    putts = xp.stack([zero, zero, p["putts_short_game"] + zero, p["putts_slope"]])
    return greens, putts, xp.stack([one, one, one, one])


def golfer_rows(p: dict[str, Any], data: Any, xp: Any) -> Rows:
    """What every observation says.

    Parameters
    ----------
    p : dict
        Population values: scalars, ``share`` (K,), ``level_factor`` (K, K), ``rate_area`` (J, K),
        ``log_half_life`` (J,), ``start_share`` (N,), ``noise`` (N,), ``course_effect`` (C,).
    data : Observations
    xp : module
        ``numpy`` or ``pytensor.tensor``.
    """
    left = gap_left(p, data, xp)
    season = p["season_cos"] * data.cos + p["season_sin"] * data.sin
    common = season - p["trend"] * data.years + p["start_shift"] * data.joining
    level = mean_level(p, data)[:, None, :]
    lost = data.floor + (level - data.floor) * left + p["share"] * common[:, :, None]
    load_g, load_p, load_d = _area_loads(p, xp)
    res_g = (data.greens - p["greens_intercept"] - lost @ load_g) * data.has_greens
    res_p = (data.putts - p["putts_intercept"] - lost @ load_p) * data.has_putts
    luck = day_luck(p, data)
    pg, dg, dp = luck["putts_on_greens"], luck["diff_on_greens"], luck["diff_on_putts"]
    res_d = data.differential - lost @ load_d - p["course_effect"][data.course] * data.on_course
    res_d = (res_d - p["competition"] * data.competition - dg * res_g - dp * res_p) * data.has_diff
    loads = (
        data.has_greens[:, :, None] * load_g,
        data.has_putts[:, :, None] * load_p - pg[:, :, None] * load_g,
        data.has_diff[:, :, None] * (load_d - dg[:, :, None] * load_g - dp[:, :, None] * load_p),
    )
    sd = (luck["sd_greens"], luck["sd_putts"], luck["sd_diff"])
    respond = -data.gap_guess[:, None, :] * (1.0 - left)
    return Rows(loads, (res_g, res_p - pg * res_g, res_d), sd, left, respond)


def prior_factor(p: dict[str, Any], data: Any, xp: Any) -> Any:
    """Factor of the prior covariance of a golfer's effects, shape (D, D): effects = factor @ N(0, I)."""
    wander = p["sd_wander"] * wander_factor(p, data)
    knots = len(data.knots)
    ones = data.ones_area
    levels = xp.concatenate([p["level_factor"], xp.zeros((AREA_COUNT, AREA_COUNT + 1 + knots))], axis=1)
    drifts = xp.concatenate(
        [xp.zeros((AREA_COUNT, AREA_COUNT)), p["sd_drift"] * ones, xp.zeros((AREA_COUNT, 1 + knots))], axis=1
    )
    response = xp.concatenate(
        [xp.zeros((1, 2 * AREA_COUNT)), p["sd_response"] + xp.zeros((1, 1)), xp.zeros((1, knots))], axis=1
    )
    wanders = xp.concatenate([xp.zeros((knots, 2 * AREA_COUNT + 1)), wander], axis=1)
    return xp.concatenate([levels, drifts, response, wanders], axis=0)


def information(p: dict[str, Any], data: Any, rows: Rows, xp: Any) -> tuple[Any, Any]:
    """Fisher information and score of every golfer's effects at zero.

    Returns
    -------
    information : shape (N, D, D)
    score : shape (N, D)
    """
    share = p["share"]
    few: Any = 0.0
    mixed: Any = 0.0
    weight: Any = 0.0
    score_few: Any = 0.0
    pull: Any = 0.0
    for load, residual, sd in zip(rows.loads, rows.residual, rows.sd, strict=True):
        scaled = load / sd[:, :, None]
        own = xp.concatenate(
            [
                scaled * rows.left,
                scaled * data.drift[:, :, None],
                xp.sum(scaled * rows.respond, axis=2)[:, :, None],
            ],
            axis=2,
        )
        flat = xp.swapaxes(own, 1, 2)
        shared = scaled @ share
        error = residual / sd
        few = few + flat @ own
        mixed = mixed + shared[:, :, None] * own
        weight = weight + shared**2
        score_few = score_few + xp.sum(own * error[:, :, None], axis=1)
        pull = pull + shared * error
    across = xp.swapaxes(mixed, 1, 2) @ data.interpolate
    turned = xp.swapaxes(data.interpolate, 1, 2)
    knots = turned @ (weight[:, :, None] * data.interpolate)
    top = xp.concatenate([few, across], axis=2)
    bottom = xp.concatenate([xp.swapaxes(across, 1, 2), knots], axis=2)
    score = xp.concatenate([score_few, xp.sum(pull[:, :, None] * data.interpolate, axis=1)], axis=1)
    return xp.concatenate([top, bottom], axis=1), score


def effect_path(effects: Any, p: dict[str, Any], data: Any, rows: Rows, xp: Any) -> Any:
    """Strokes lost by area that come from the golfers' own effects, shape (N, R, K)."""
    level = effects[:, None, :AREA_COUNT] * rows.left
    drift = effects[:, None, AREA_COUNT : 2 * AREA_COUNT] * data.drift[:, :, None]
    respond = effects[:, 2 * AREA_COUNT][:, None, None] * rows.respond
    form = xp.sum(data.interpolate * effects[:, None, 2 * AREA_COUNT + 1 :], axis=2)
    return level + drift + respond + p["share"] * form[:, :, None]

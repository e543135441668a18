"""From population values to what each round says of its golfer: written once for NumPy and tensors.

Given the population values, everything that is a golfer's own (level by area, drift by area, response to
practice, start share, wander) enters each observation linearly. Greens, putts and the differential of a
round share that day's luck; they are decorrelated in the order greens, putts, differential, so that each
has an error of its own.

Rounds are laid out in strips: each golfer's record in pieces of equal length, padded at the end, so that a
long record does not make short ones costly. Sizes: golfer N, strip M, round R (within a strip), area K = 4,
category J, knot W. A golfer's effects D = K + K + 2 + W are levels, drifts, response to practice, start
share and wander; the start share is linearised about the golfer's expected one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from paryield.dose.response import HOURS_UNIT, bend_slope, bent, lost_strokes
from paryield.dose.stock import node_weights

AREA_COUNT = 4
RESPONSE = 2 * AREA_COUNT
"""Place of the response to practice among a golfer's effects."""


@dataclass(frozen=True)
class Rows:
    """What the observations of one club say, given the population values.

    ``loads`` holds, per observation, shape (M, R, K): how the observation moves with strokes lost in each
    area. ``residual`` and ``sd``, shape (M, R) each: observation minus the population part, and its
    error. ``left`` (M, R, K) is the share of each gap still open; ``respond`` and ``begin`` (M, R, K) are
    what a response of 1, and a start share higher by 1, add to strokes lost.
    """

    loads: tuple[Any, ...]
    residual: tuple[Any, ...]
    sd: tuple[Any, ...]
    left: Any
    respond: Any
    begin: Any


def times(rounds: Any, matrix: Any, width: int) -> Any:
    """Product over the last axis of an array by round, shape (M, R, A) x (A, width).

    One flat product: a batch of small ones costs several times as much, gradient above all.
    """
    strips, each = rounds.shape[0], rounds.shape[1]
    flat = rounds.reshape((strips * each, rounds.shape[2])) @ matrix
    return flat.reshape((strips, each, width)) if width > 1 else flat.reshape((strips, each))


def dose_path(p: dict[str, Any], data: Any, xp: Any) -> tuple[Any, Any]:
    """What practice has done since the start of the record.

    Returns
    -------
    change : shape (M, R, J)
        Effective hours now minus at the start.
    slope : shape (M, R, J)
        Derivative of ``change`` by the share of the steady stock that was held at the start.
    """
    start: Any = 0.0
    fresh: Any = 0.0
    held: Any = 0.0
    for node, weight in enumerate(node_weights(p["log_half_life"])):
        steady = data.steady_strip[node] * weight
        start = start + steady
        fresh = fresh + weight * data.stock[node]
        held = held + steady[:, None, :] * data.decay[node]
    share = data.belongs @ p["start_share"]
    begun = share[:, None] * start
    # Interpolation may undershoot zero by a hair.
    now = xp.maximum(fresh + share[:, None, None] * held, 0.0)
    change = bent(now, data.bend_hours) - bent(begun, data.bend_hours)[:, None, :]
    slope = held * bend_slope(now, data.bend_hours)
    return change, slope - (start * bend_slope(begun, data.bend_hours))[:, None, :]


def gap_left(p: dict[str, Any], data: Any, xp: Any) -> tuple[Any, Any]:
    """Share of each area's gap still open, and what a higher start share does to it, (M, R, K) each."""
    change, slope = dose_path(p, data, xp)
    rates = p["rate_area"] / HOURS_UNIT
    left = xp.exp(-times(change, rates, AREA_COUNT))
    return left, -left * times(slope, rates, AREA_COUNT)


def wander_factor(p: dict[str, Any], data: Any) -> Any:
    """Lower Cholesky factor of the mean-reverting wander at the knots, shape (W, W), unit variance."""
    keep = p["wander_keep"]
    fresh = data.first_knot + (1.0 - data.first_knot) * (1.0 - keep**2) ** 0.5
    return keep**data.knot_gap * data.lower * fresh[None, :]


def mean_level(p: dict[str, Any], habit_area: Any) -> Any:
    """Strokes lost by area, before anything is seen of him, by a golfer with this habit, shape (N, K)."""
    return p["share"] * p["level_mean"] + p["selection"] * habit_area


def day_luck(p: dict[str, Any], data: Any) -> dict[str, Any]:
    """How one round's greens, putts and differential share that day's luck.

    ``e_g``; ``e_p = kappa e_g + v_p``; ``e_d = -day_g e_g + day_p v_p + v_d``. What is not observed is
    averaged over.

    Returns
    -------
    dict
        ``putts_on_greens``, ``diff_on_greens``, ``diff_on_putts`` (coefficients, shape (M, R)) and the
        standard deviations ``sd_greens``, ``sd_putts``, ``sd_diff`` left after them.
    """
    has_g, has_p = data.has_greens, data.has_putts
    kappa, day_g, day_p = p["putts_per_green"], p["greens_day"], p["putts_day"]
    var_g, var_p, var_0 = p["greens_sd"] ** 2, p["putts_sd"] ** 2, (data.belongs @ p["noise"])[:, None] ** 2
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
    left, turned = gap_left(p, data, xp)
    season = p["season_cos"] * data.cos + p["season_sin"] * data.sin
    common = season - p["trend"] * data.years + p["start_shift"] * data.joining
    level = mean_level(p, data.habit_strip)[:, None, :]
    lost = lost_strokes(level, data.floor, left) + p["share"] * common[:, :, None]
    beyond = lost - p["share"] * data.reference_level
    load_g, load_p, load_d = _area_loads(p, xp)
    res_g = (data.greens - p["greens_intercept"] - times(beyond, load_g, 1)) * data.has_greens
    res_p = (data.putts - p["putts_intercept"] - times(beyond, load_p, 1)) * data.has_putts
    luck = day_luck(p, data)
    pg, dg, dp = luck["putts_on_greens"], luck["diff_on_greens"], luck["diff_on_putts"]
    res_d = data.differential - xp.sum(lost, axis=2) - times(data.course, p["course_effect"], 1)
    res_d = (res_d - p["competition"] * data.competition - dg * res_g - dp * res_p) * data.has_diff
    loads = (
        data.has_greens[:, :, None] * load_g,
        data.has_putts[:, :, None] * load_p - pg[:, :, None] * load_g,
        data.has_diff[:, :, None] * (load_d - dg[:, :, None] * load_g - dp[:, :, None] * load_p),
    )
    sd = (luck["sd_greens"], luck["sd_putts"], luck["sd_diff"])
    gap = data.gap_strip[:, None, :]
    return Rows(loads, (res_g, res_p - pg * res_g, res_d), sd, left, gap * (left - 1.0), gap * turned)


def information(p: dict[str, Any], data: Any, rows: Rows, xp: Any) -> tuple[Any, Any]:
    """Fisher information and score, at zero, of every golfer's standardised effects.

    A golfer's effects in strokes are standard normal beforehand after :func:`in_strokes` is undone.

    Returns
    -------
    information : shape (N, D, D)
    score : shape (N, D)
    """
    share = p["share"]
    form = times(data.interpolate, p["sd_wander"] * wander_factor(p, data), len(data.knots))
    few: Any = 0.0
    mixed: Any = 0.0
    weight: Any = 0.0
    score_few: Any = 0.0
    pull: Any = 0.0
    for load, residual, sd in zip(rows.loads, rows.residual, rows.sd, strict=True):
        scaled = load / sd[:, :, None]
        respond = p["sd_response"] * xp.sum(scaled * rows.respond, axis=2)
        begin = p["sd_start"] * xp.sum(scaled * rows.begin, axis=2)
        level = times(scaled * rows.left, p["level_factor"], AREA_COUNT)
        drift = (p["sd_drift"] * scaled) * data.drift[:, :, None]
        own = xp.concatenate([level, drift, respond[:, :, None], begin[:, :, None]], axis=2)
        shared = times(scaled, share, 1)
        error = residual / sd
        few = few + xp.swapaxes(own, 1, 2) @ own
        mixed = mixed + shared[:, :, None] * own
        weight = weight + shared**2
        score_few = score_few + xp.sum(own * error[:, :, None], axis=1)
        pull = pull + shared * error
    turned = xp.swapaxes(form, 1, 2)
    across = turned @ mixed
    top = xp.concatenate([few, xp.swapaxes(across, 1, 2)], axis=2)
    bottom = xp.concatenate([across, turned @ (weight[:, :, None] * form)], axis=2)
    score = xp.concatenate([score_few, xp.sum(pull[:, :, None] * form, axis=1)], axis=1)
    strips, width = data.belongs.shape[0], data.effects
    whole = xp.concatenate([top, bottom], axis=1).reshape((strips, width * width))
    golfers = data.belongs.T
    return (golfers @ whole).reshape((golfers.shape[0], width, width)), golfers @ score


def in_strokes(standard: Any, p: dict[str, Any], data: Any, xp: Any) -> Any:
    """Turn standardised effects, shape (N, D), into strokes (and a share, for the response)."""
    wander = p["sd_wander"] * wander_factor(p, data)
    return xp.concatenate(
        [
            standard[:, :AREA_COUNT] @ p["level_factor"].T,
            p["sd_drift"] * standard[:, AREA_COUNT : 2 * AREA_COUNT],
            p["sd_response"] * standard[:, RESPONSE : RESPONSE + 1],
            p["sd_start"] * standard[:, RESPONSE + 1 : RESPONSE + 2],
            standard[:, RESPONSE + 2 :] @ wander.T,
        ],
        axis=1,
    )


def effect_path(effects: Any, p: dict[str, Any], data: Any, rows: Rows, xp: Any) -> Any:
    """Strokes lost by area that come from the golfers' own effects (N, D), shape (M, R, K)."""
    effects = data.belongs @ effects
    level = effects[:, None, :AREA_COUNT] * rows.left
    drift = effects[:, None, AREA_COUNT : 2 * AREA_COUNT] * data.drift[:, :, None]
    respond = effects[:, RESPONSE][:, None, None] * rows.respond
    begin = effects[:, RESPONSE + 1][:, None, None] * rows.begin
    form = xp.sum(data.interpolate * effects[:, None, RESPONSE + 2 :], axis=2)
    return level + drift + respond + begin + p["share"] * form[:, :, None]

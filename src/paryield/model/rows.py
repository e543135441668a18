"""From population values to what each measurement says of its golfer: written once for NumPy and tensors.

Given the population values, everything that is a golfer's own (level by area, drift by area, response to
practice, start share, wander) enters each measurement linearly; the start share is linearised about the
golfer's expected one. Measurements of one round share that day's luck; they are decorrelated one after
another (areas, greens, putts, other stats, differential), so that each has an error of its own.

Sizes: golfer N, occasion R (a round or a test, sorted by golfer and day), area K = 4, category J, knot W.
A golfer's effects D = K + K + 2 + W + 3 are levels, drifts, response to practice, start share, wander, and
how some stats of his differ for good from what his strokes say; all in strokes but the response, the start
share and those differences, which are in the stat's own unit. A measurement moves with strokes lost by area
and with these differences: its load has L = K + 3 columns.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from paryield.dose.response import HOURS_UNIT, bend_slope, bent, lost_strokes
from paryield.dose.stock import node_weights
from paryield.tables.categories import AREAS

AREA_COUNT = len(AREAS)
LOG_2PI = float(np.log(2.0 * np.pi))
OWN_STATS = ("greens", "putts", "up_and_downs")
"""Stats in which a golfer may differ for good from others who lose the same strokes."""
WIDTH = AREA_COUNT + len(OWN_STATS)
EACH_AREA = np.eye(AREA_COUNT, WIDTH)
RESPONSE = 2 * AREA_COUNT
"""Place of the response to practice among a golfer's effects."""
STATS = ("greens", "putts", "fairways", "up_and_downs", "penalties")
LEANING = ("greens", "putts", "up_and_downs", "penalties")
"""Stats whose luck stands in the day's score."""
KINDS = (*AREAS, *STATS, "differential", "test")
"""Kinds of measurement in the order in which they are decorrelated."""


@dataclass(frozen=True)
class Rows:
    """What the measurements of one club say, given the population values.

    ``loads`` holds, per kind seen in the club, how the measurement moves with strokes lost in each area,
    shape (R, L); ``residual`` and ``sd``, shape (R,): measurement minus the population part, and its error.
    ``left`` (R, K) is the share of each gap still open; ``respond`` and ``begin`` (R, K) are what a response
    of 1, and a start share higher by 1, add to strokes lost.
    """

    loads: dict[str, Any]
    residual: dict[str, Any]
    sd: dict[str, Any]
    left: Any
    respond: Any
    begin: Any


def gap_left(p: dict[str, Any], data: Any, xp: Any) -> tuple[Any, Any]:
    """Share of each area's gap still open, and what a higher start share does to it, (R, K) each.

    Both follow from effective hours now minus at the start of the record, and from the derivative of that
    by the share of the steady stock that was held at the start.
    """
    fresh: Any = 0.0
    held: Any = 0.0
    steady: Any = 0.0
    for node, weight in enumerate(node_weights(p["log_half_life"])):
        fresh = fresh + weight * data.stock[node]
        held = held + weight * data.held[node]
        steady = steady + weight * data.steady_factor[node]
    share = start_share(p, data.joined[data.owner])[:, None]
    start = data.habit[data.owner] * steady
    # Interpolation may undershoot zero by a hair.
    now = xp.maximum(fresh + share * held, 0.0)
    change = bent(now, data.bend_hours) - bent(share * start, data.bend_hours)
    slope = held * bend_slope(now, data.bend_hours) - start * bend_slope(share * start, data.bend_hours)
    rates = p["rate_area"] / HOURS_UNIT
    left = xp.exp(-(change @ rates))
    return left, -left * (slope @ rates)


def start_share(p: dict[str, Any], joined: Any) -> Any:
    """Expected share of the steady stock held at the start of the record, by whether a golfer was new.

    The golfers' parts are looked up in the data, never in parameters: adding a gradient up over golfers costs
    more than all the rest.
    """
    return p["start_known"] + (p["start_new"] - p["start_known"]) * joined


def mean_level(p: dict[str, Any], habit_area: Any) -> Any:
    """Strokes lost by area, before anything is seen of him, by a golfer with this habit, shape (N, K)."""
    return p["share"] * p["level_mean"] + p["selection"] * habit_area


def common_path(p: dict[str, Any], data: Any) -> Any:
    """Season, background, joining, programmes, spells before them, competition: strokes lost in all, (R,)."""
    season = p["season_cos"] * data.cos + p["season_sin"] * data.sin
    common = season - p["trend"] * data.years + p["start_shift"] * data.joining
    if data.programmes:
        common = common + data.exposure @ p["programme_effect"] + data.spell @ p["enrol_shift"]
    return common + p["competition"] * data.competition


def golfer_rows(p: dict[str, Any], data: Any, xp: Any) -> Rows:
    """What every measurement says.

    Parameters
    ----------
    p : dict
        Population values: scalars, ``share`` (K,), ``rate_area`` (J, K), ``log_half_life`` (J,),
        ``course_effect`` (C,), ``area_day`` (K,), ``test_*`` (Q,).
    data : Observations
    xp : module
        ``numpy`` or ``pytensor.tensor``.
    """
    left, turned = gap_left(p, data, xp)
    level = mean_level(p, data.habit_area[data.owner])
    lost = lost_strokes(level, data.floor, left) + p["share"] * common_path(p, data)[:, None]
    spread = p["noise_scale"] * data.noise_guess[data.owner]
    rows = Rows(
        {}, {}, {}, left, data.gap_guess[data.owner] * (left - 1.0), data.gap_guess[data.owner] * turned
    )
    _areas(rows, p, data, lost, spread)
    beyond = lost - p["share"] * data.reference_level
    _stats(rows, p, data, beyond, spread, xp)
    _differential(rows, p, data, lost, spread, xp)
    _tests(rows, p, data, beyond, xp)
    return rows


def _areas(rows: Rows, p: dict[str, Any], data: Any, lost: Any, spread: Any) -> None:
    harder = data.course @ p["course_effect"]
    for place, area in enumerate(AREAS):
        if area in data.seen:
            seen = data.seen[area]
            rows.loads[area] = seen[:, None] * EACH_AREA[place]
            offset = p["share"][place] * (p["area_offset"] + harder)
            rows.residual[area] = (data.value[area] - offset - lost[:, place]) * seen
            rows.sd[area] = ((p["area_day"][place] * spread) ** 2 + data.error[area] ** 2) ** 0.5


def _area_luck(rows: Rows, p: dict[str, Any], data: Any, load: Any, spread: Any) -> tuple[Any, Any, Any]:
    """Part of a stat that the round's measured areas explain: load, residual and variance left open."""
    explained: Any = 0.0
    residual: Any = 0.0
    open_: Any = 0.0
    for place, area in enumerate(AREAS):
        luck = (p["area_day"][place] * spread) ** 2
        reach = p["stat_share"] * load[place]
        if area in data.seen:
            explained = explained + reach * rows.loads[area]
            residual = residual + reach * rows.residual[area]
            open_ = open_ + reach**2 * luck * (1.0 - data.seen[area])
        else:
            open_ = open_ + reach**2 * luck
    return explained, residual, open_ * data.documented


def stat_load(p: dict[str, Any], stat: str, xp: Any) -> Any:
    """How a stat moves with strokes lost by area and with the golfer's own difference, shape (L,)."""
    slope = p[f"{stat}_slope"]
    zero = 0.0 * slope
    by_area = {
        "greens": [-p["greens_tee"] * slope, -slope, zero, zero],
        "putts": [zero, zero, p.get("putts_short_game", zero), slope],
        "fairways": [-slope, zero, zero, zero],
        "up_and_downs": [zero, zero, -slope, -p["up_and_downs_putting"] * slope],
        "penalties": [slope, p["penalties_approach"] * slope, zero, zero],
    }[stat]
    return xp.stack([*by_area, *(zero + float(stat == one) for one in OWN_STATS)])


def stat_luck(p: dict[str, Any], data: Any) -> dict[str, Any]:
    """Variance of the luck of each stat in a round, typical sampling error included, scalar each."""
    return {stat: (p[f"{stat}_sd"] * data.typical[stat]) ** 2 for stat in LEANING if stat in data.seen}


def _stats(rows: Rows, p: dict[str, Any], data: Any, beyond: Any, spread: Any, xp: Any) -> None:
    earlier = {"putts": ("greens", "putts_per_green"), "up_and_downs": ("putts", "up_and_downs_on_putts")}
    earlier["penalties"] = ("greens", "penalties_on_greens")
    for stat in STATS:
        if stat not in data.seen:
            continue
        seen, load = data.seen[stat], stat_load(p, stat, xp)
        residual = data.value[stat] - p[f"{stat}_intercept"] - beyond @ load[:AREA_COUNT]
        luck = p[f"{stat}_sd"] * data.error[stat]
        variance = luck**2
        explained: Any = 0.0
        if data.documents:
            explained, known, open_ = _area_luck(rows, p, data, load, spread)
            tighter = 1.0 + (p["stat_spread"] ** 2 - 1.0) * data.documented
            residual, variance = residual - known, variance * tighter + open_
        moved = load - explained
        first, name = earlier.get(stat, ("", ""))
        if first in data.seen:
            slope, luck = p[name], p[f"{first}_sd"] * data.typical[first]
            residual = residual - slope * rows.residual[first]
            moved = moved - slope * rows.loads[first]
            variance = variance + (1.0 - data.seen[first]) * (slope * luck) ** 2
        rows.loads[stat] = seen[:, None] * moved
        rows.residual[stat] = residual * seen
        rows.sd[stat] = variance**0.5


def diff_on_stats(p: dict[str, Any], data: Any) -> tuple[dict[str, Any], Any]:
    """How the differential of a round without measured areas leans on the luck of its stats.

    ``e_d = -day_g e_g + day_p v_p + day_u v_u + day_n v_n + v_d`` with the stats' decorrelated luck; what
    was not counted is averaged over.

    Returns
    -------
    slopes : dict of arrays, shape (R,)
    open : array, shape (R,)
        Variance that stats which were not counted leave open.
    """
    luck = stat_luck(p, data)
    slopes: dict[str, Any] = {}
    open_: Any = 0.0
    for stat in ("greens", "up_and_downs", "penalties"):
        if stat in luck:
            sign = -1.0 if stat == "greens" else 1.0
            slopes[stat] = sign * data.seen[stat] * p[f"{stat}_day"]
            open_ = open_ + (1.0 - data.seen[stat]) * p[f"{stat}_day"] ** 2 * luck[stat]
    if "putts" in luck:
        slope, left = _diff_on_putts(p, data, luck)
        slopes["putts"], open_ = slope, open_ + left
    return slopes, open_


def _diff_on_putts(p: dict[str, Any], data: Any, luck: dict[str, Any]) -> tuple[Any, Any]:
    """Slope on the luck of putts, and the variance left open; see :func:`diff_on_stats`."""
    seen, day, own = data.seen["putts"], p["putts_day"], luck["putts"]
    if "greens" not in luck:
        return seen * day, (1.0 - seen) * day**2 * own
    kappa, greens = p["putts_per_green"], luck["greens"]
    alone = seen * (1.0 - data.seen["greens"])
    both = seen * data.seen["greens"]
    # Putts alone speak of both kinds of luck: cov(e_d, e_p) = day_p var_p - day_g kappa var_g.
    lean = (day * own - p["greens_day"] * kappa * greens) / (own + kappa**2 * greens)
    left = (1.0 - both) * day**2 * own - alone * lean**2 * (own + kappa**2 * greens)
    return both * day + alone * lean, left


def _differential(rows: Rows, p: dict[str, Any], data: Any, lost: Any, spread: Any, xp: Any) -> None:
    seen, bare = data.seen["differential"], 1.0 - data.documented
    residual = data.value["differential"] - xp.sum(lost, axis=1) - data.course @ p["course_effect"]
    moved: Any = _widened(1.0 + 0.0 * rows.left, xp)
    slopes, open_ = diff_on_stats(p, data)
    for stat, slope in slopes.items():
        if stat in data.seen:
            residual = residual - bare * slope * rows.residual[stat]
            moved = moved - (bare * slope)[:, None] * rows.loads[stat]
    variance = spread**2 + open_
    if data.documents:
        rest: Any = (p["area_rest"] * spread) ** 2
        for place, area in enumerate(AREAS):
            luck = (p["area_day"][place] * spread) ** 2
            if area in data.seen:
                part = data.seen[area] * luck / rows.sd[area] ** 2
                residual = residual - part * rows.residual[area]
                moved = moved - part[:, None] * rows.loads[area]
                rest = rest + luck * (1.0 - part)
            else:
                rest = rest + luck
        variance = bare * variance + data.documented * rest
    rows.loads["differential"] = seen[:, None] * moved
    rows.residual["differential"] = residual * seen
    rows.sd["differential"] = data.error["differential"] * variance**0.5


def _widened(load: Any, xp: Any) -> Any:
    """Add to loads on areas, (R, K), the columns of the stats' own differences, (R, L)."""
    return xp.concatenate([load, xp.stack([0.0 * load[:, 0]] * len(OWN_STATS), axis=1)], axis=1)


def _tests(rows: Rows, p: dict[str, Any], data: Any, beyond: Any, xp: Any) -> None:
    if "test" not in data.seen:
        return
    seen, which = data.seen["test"], data.which_test
    load = which @ (p["test_slope"][:, None] * data.test_area)
    residual = data.value["test"] - which @ p["test_intercept"] - (load * beyond).sum(axis=1)
    rows.loads["test"] = _widened(load, xp)
    rows.residual["test"] = residual * seen
    # A golfer may be better at a test than on the course for good: all his tests of a kind together
    # weigh no more than that mismatch allows.
    rows.sd["test"] = (data.error["test"] ** 2 + (which @ p["test_sd"] ** 2) * data.repeats) ** 0.5


def prior_precision(p: dict[str, Any], data: Any, xp: Any) -> tuple[Any, Any]:
    """Prior precision of a golfer's effects, shape (D, D), and its log determinant."""
    flat = 1.0 / p["sd_area"] ** 2
    weight = p["share"] * flat
    # Sherman-Morrison for a diagonal and one outer product.
    grown = 1.0 + p["sd_level"] ** 2 * xp.sum(p["share"] * weight)
    level = xp.diag(flat) - p["sd_level"] ** 2 * xp.outer(weight, weight) / grown
    keep, wander, count = p["wander_keep"], p["sd_wander"], len(data.knots)
    inner = np.diag(np.r_[0.0, np.ones(count - 2), 0.0])
    next_to = np.eye(count, k=1) + np.eye(count, k=-1)
    form = (np.eye(count) + keep**2 * inner - keep * next_to) / (wander**2 * (1.0 - keep**2))
    one = p["sd_drift"] * 0.0 + 1.0
    own = xp.stack([p["sd_drift"]] * AREA_COUNT + [p["sd_response"], p["sd_start"] * one])
    differ = own_spread(p, one, xp)
    blocks = (level, xp.diag(own**-2.0), form, xp.diag(differ**-2.0))
    sizes = (AREA_COUNT, AREA_COUNT + 2, count, len(OWN_STATS))
    strips = []
    for place, block in enumerate(blocks):
        before, after = sum(sizes[:place]), sum(sizes[place + 1 :])
        sides = [np.zeros((sizes[place], before)), block, np.zeros((sizes[place], after))]
        strips.append(xp.concatenate(sides, axis=1))
    log_det = -2.0 * xp.sum(xp.log(p["sd_area"])) - xp.log(grown) - 2.0 * xp.sum(xp.log(own))
    log_det = log_det - 2.0 * count * xp.log(wander) - (count - 1) * xp.log(1.0 - keep**2)
    log_det = log_det - 2.0 * xp.sum(xp.log(differ))
    return xp.concatenate(strips, axis=0), log_det


def own_spread(p: dict[str, Any], one: Any, xp: Any) -> Any:
    """Spread of golfers' own differences by stat, shape (3,); ``one`` where the club does not keep it."""
    return xp.stack([p.get(f"{stat}_own", one) for stat in OWN_STATS])


def whitened(rows: Rows, data: Any, xp: Any) -> tuple[Any, Any, Any]:
    """Loads (R, T, L) and residuals (R, T) over their errors, and their log density at effects of zero."""
    none = _widened(0.0 * rows.left, xp)
    load = xp.stack(
        [rows.loads[kind] / rows.sd[kind][:, None] if kind in rows.sd else none for kind in KINDS], axis=1
    )
    errors = [rows.residual[kind] / rows.sd[kind] if kind in rows.sd else none[:, 0] for kind in KINDS]
    each: Any = 0.0
    for kind, error in zip(KINDS, errors, strict=True):
        if kind in rows.sd:
            log_sd = xp.log(rows.sd[kind])
            each = each - xp.sum(data.seen[kind] * (0.5 * error**2 + log_sd + 0.5 * LOG_2PI))
    return load, xp.stack(errors, axis=1), each


def directions(rows: Rows, data: Any, share: Any, load: Any, occasion: Any, xp: Any) -> Any:
    """How measurements over their errors move with a golfer's effects, shape (M, D).

    ``load`` (M, L) holds their loads over their errors, ``occasion`` (M,) where each was made.
    """
    area, own = load[:, :AREA_COUNT], load[:, AREA_COUNT:]
    parts = [rows.left[occasion] * area, data.drift[occasion][:, None] * area]
    parts += [xp.sum(one[occasion] * area, axis=1)[:, None] for one in (rows.respond, rows.begin)]
    parts += [data.interpolate[occasion] * xp.sum(area * share, axis=1)[:, None], own]
    return xp.concatenate(parts, axis=1)


def total_noise(p: dict[str, Any], data: Any) -> Any:
    """Standard deviation of one round's differential about its mean, all luck included, shape (N,)."""
    total: Any = (p["noise_scale"] * data.noise_guess) ** 2
    for stat, variance in stat_luck(p, data).items():
        total = total + p[f"{stat}_day"] ** 2 * variance
    return total**0.5


def effect_path(effects: Any, data: Any, rows: Rows, share: Any, xp: Any = np) -> Any:
    """Strokes lost by area, and differences of stats, from the golfers' own effects (N, D), shape (R, L)."""
    own = effects[data.owner]
    level = own[:, :AREA_COUNT] * rows.left
    drift = own[:, AREA_COUNT : 2 * AREA_COUNT] * data.drift[:, None]
    respond = own[:, RESPONSE][:, None] * rows.respond
    begin = own[:, RESPONSE + 1][:, None] * rows.begin
    form = (data.interpolate * own[:, RESPONSE + 2 : -len(OWN_STATS)]).sum(axis=1)
    lost = level + drift + respond + begin + share * form[:, None]
    return xp.concatenate([lost, own[:, -len(OWN_STATS) :]], axis=1)

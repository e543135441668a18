"""What every measurement says of its golfer, given the population values: the model's equations, once.

Given the population values, everything that is a golfer's own enters each measurement linearly (the start
share linearised about the golfer's expected one). Measurements of one round share that day's luck; they are
decorrelated one after another (areas, stats, differential), so that each has an error of its own.

Operators only: the same lines run on NumPy, with any number of draws in front, on JAX for sampling, and on
the tensors of the PyMC model. Population values have shape (...,) or (..., size); what stands at occasions
(..., T). A load is a dict: how a measurement moves with a stroke lost in an area, or with a golfer's own
lasting difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from paryield.dose.stock import lost_strokes
from paryield.model.design import Observations
from paryield.model.sheet import Group, Occasions, Sheet
from paryield.model.terms import COURSE, EFFECTS, shared_strokes
from paryield.model.terms.level import mean_level
from paryield.model.terms.practice import gap_left
from paryield.model.terms.stats import BY_NAME, over
from paryield.model.terms.term import Here, Values
from paryield.tables.categories import AREAS

LOG_2PI = float(np.log(2.0 * np.pi))
KEYS = (*AREAS, *(key for effect in EFFECTS for key in effect.keys))
"""Rows L of a load: strokes lost by area K, then golfers' own lasting differences."""
EACH = np.eye(len(KEYS))[:, :, None]
ALL_AREAS = EACH[: len(AREAS)].sum(axis=0)


@dataclass(frozen=True)
class Measure:
    """One kind of measurement at the occasions of a group, what earlier ones say of it taken out.

    ``load`` (..., L, 1) or (..., L, n); ``residual`` (..., n) is the measurement minus its population part,
    ``variance`` that of its error; ``mismatch`` (..., 1) is how far golfers' own results of the kind lie
    apart for good, ``form`` (..., 1) for a spell.
    """

    kind: str
    load: Any
    residual: Any
    variance: Any
    mismatch: Any = 0.0
    form: Any = 0.0

    def without(self, part: Any, other: Measure) -> Measure:
        """Take ``part`` (..., 1) or (..., n) of another measurement out of this one."""
        load = self.load - part[..., None, :] * other.load
        return Measure(self.kind, load, self.residual - part * other.residual, self.variance)

    def wider(self, variance: Any) -> Measure:
        """Add to the variance."""
        return Measure(self.kind, self.load, self.residual, self.variance + variance)


@dataclass(frozen=True)
class Path:
    """Strokes lost by area ``lost``, the gap ``left`` and what a start share does to it ``turned``, (...,
    K, R).

    ``harder`` is what the course adds, ``spread`` the standard deviation of a day's luck, (..., R) each.
    ``weights`` (..., R) of the sheet's columns and areas say how effects of a golfer weigh there.
    """

    lost: Any
    left: Any
    turned: Any
    harder: Any
    spread: Any
    weights: list[Any]


def path(p: Values, sheet: Sheet, at: Occasions, xp: Any) -> Path:
    """Population part of what golfers lose at occasions."""
    left, turned = gap_left(p, at, sheet.bend_hours, xp)
    common = shared_strokes(p, at.columns, xp)
    lost = lost_strokes(mean_level(p, at.habit_area), sheet.floor, left)
    lost = lost + p["share"][..., None] * common[..., None, :]
    spread = p["noise_scale"][..., None] * at.noise
    here = Here(left, at.gap * (left - 1.0), at.gap * turned, p["share"], at.drift)
    weighed = [areas for effect in EFFECTS for areas in effect.weighed(here)]
    weights = [one for areas in weighed for one in areas if one is not None]
    return Path(lost, left, turned, COURSE.strokes(p, at.course, xp), spread, weights)


@dataclass(frozen=True)
class Day:
    """One group's days: strokes lost (..., K, n), shares (..., K, 1), spread of luck and course (..., n)."""

    lost: Any
    share: Any
    spread: Any
    harder: Any


def measures(p: Values, sheet: Sheet, at: Occasions, whole: Path, place: int, xp: Any) -> list[Measure]:
    """What the measurements of one group say, in the order of the kinds."""
    group = sheet.groups[place]
    span = slice(group.first, group.last)
    day = Day(whole.lost[..., span], p["share"][..., None], whole.spread[..., span], whole.harder[..., span])
    value, error = at.value[place], at.error[place]
    found: dict[str, Measure] = {}
    for kind in group.kinds:
        if kind in AREAS:
            found[kind] = _area(kind, p, day, value[kind], error[kind])
        elif kind in BY_NAME:
            bare = _stat(kind, p, sheet, group, day, value[kind], error[kind], xp)
            found[kind] = _leaning(kind, bare, p, sheet, group, day, found)
        elif kind == "differential":
            bare = _score(day, value[kind])
            bare = _score_leaning(bare, p, sheet, group, day, found)
            found[kind] = Measure(kind, bare.load, bare.residual, bare.variance * error[kind] ** 2)
        else:
            found[kind] = _test(p, sheet, group, day, value[kind], error[kind], at.newness[span])
    return list(found.values())


def _area_luck(p: Values, area: str, day: Day) -> Any:
    """Variance of the day's luck in one area."""
    k = AREAS.index(area)
    return (p["area_day"][..., k, None] * day.spread) ** 2


def _area(area: str, p: Values, day: Day, value: Any, error: Any) -> Measure:
    """Measured strokes of an area: level and the rest, the course's share, the offset of the baseline."""
    k = AREAS.index(area)
    offset = day.share[..., k, :] * (over(p, "area_offset") + day.harder)
    residual = value - offset - day.lost[..., k, :]
    return Measure(area, EACH[k], residual, _area_luck(p, area, day) + error**2)


def _stat(
    name: str, p: Values, sheet: Sheet, group: Group, day: Day, value: Any, error: Any, xp: Any
) -> Measure:
    """A stat: its intercept is that of the reference golfer at the club's shares, its loads do the rest."""
    loads, middle = BY_NAME[name].load(p), over(p, f"{name}_intercept")
    load = xp.stack([loads.get(key, 0.0) + 0.0 * middle for key in KEYS], axis=-2)
    beyond = day.lost - day.share * sheet.reference_level
    residual = value - middle - (load[..., : len(AREAS), :] * beyond).sum(axis=-2)
    variance = (over(p, f"{name}_sd") * error) ** 2
    if group.documented:
        variance = variance * over(p, "stat_spread") ** 2
    return Measure(name, load, residual, variance)


def _leaning(
    name: str,
    bare: Measure,
    p: Values,
    sheet: Sheet,
    group: Group,
    day: Day,
    earlier: dict[str, Measure],
) -> Measure:
    """A stat without the luck that it shares with measured areas and with an earlier stat."""
    found, stat = bare, BY_NAME[name]
    if group.documented:
        for k, area in enumerate(AREAS):
            if area not in stat.areas:
                continue
            reach = over(p, "stat_share") * bare.load[..., k, :]
            if area in earlier:
                found = found.without(reach, earlier[area])
            else:
                found = found.wider(reach**2 * _area_luck(p, area, day))
    if stat.leans_on is not None and stat.leans_on[0] in sheet.typical:
        first, by = stat.leans_on[0], over(p, stat.leans_on[1])
        if first in earlier:
            return found.without(by, earlier[first])
        return found.wider(by**2 * stat_luck(p, sheet, first))
    return found


def total_noise(p: Values, data: Observations) -> Any:
    """Standard deviation of one round's differential about its mean, all luck included, shape (..., N)."""
    total: Any = (p["noise_scale"][..., None] * data.noise_guess) ** 2
    for name, stat in BY_NAME.items():
        if stat.day is not None and name in data.typical:
            total = total + over(p, f"{name}_day") ** 2 * stat_luck(p, data, name)
    return total**0.5


def stat_luck(p: Values, sheet: Sheet | Observations, stat: str) -> Any:
    """Variance of the luck of a stat in a round, typical sampling error included, shape (..., 1)."""
    return (over(p, f"{stat}_sd") * sheet.typical[stat]) ** 2


def _score(day: Day, value: Any) -> Measure:
    """A score differential: the sum of the areas and the course."""
    return Measure("differential", ALL_AREAS, value - day.lost.sum(axis=-2) - day.harder, 0.0)


def _score_leaning(
    found: Measure,
    p: Values,
    sheet: Sheet,
    group: Group,
    day: Day,
    earlier: dict[str, Measure],
) -> Measure:
    """A score without the luck that areas or stats of the round have told."""
    if not group.documented:
        parts, left = leaning_on_stats(p, sheet, group)
        for stat, part in parts.items():
            found = found.without(part, earlier[stat])
        return found.wider(day.spread**2 + left)
    found = found.wider((over(p, "area_rest") * day.spread) ** 2)
    for area in AREAS:
        by_area = _area_luck(p, area, day)
        if area in earlier:
            part = by_area / earlier[area].variance
            found = found.without(part, earlier[area]).wider(by_area * (1.0 - part))
        else:
            found = found.wider(by_area)
    return found


def leaning_on_stats(p: Values, sheet: Sheet, group: Group) -> tuple[dict[str, Any], Any]:
    """How the differential of a round without measured areas leans on the luck of its stats.

    ``e_d = -day_g e_g + day_p v_p + day_u v_u + day_n v_n + v_d`` with the stats' decorrelated luck; what
    was not counted is averaged over.

    Returns
    -------
    parts : dict
        By stat that was counted, shape (..., 1).
    left : array
        Variance that stats which were not counted leave open.
    """
    parts: dict[str, Any] = {}
    left: Any = 0.0
    for name, stat in BY_NAME.items():
        if stat.day is None or name not in sheet.typical or name == "putts":
            continue
        day = stat.day_sign * over(p, f"{name}_day")
        if name in group.kinds:
            parts[name] = day
        else:
            left = left + day**2 * stat_luck(p, sheet, name)
    if "putts" in sheet.typical:
        part, open_ = _leaning_on_putts(p, sheet, group)
        parts, left = ({**parts, "putts": part} if "putts" in group.kinds else parts), left + open_
    return parts, left


def _leaning_on_putts(p: Values, sheet: Sheet, group: Group) -> tuple[Any, Any]:
    """How a score leans on the luck of putts, and the variance left open."""
    day, own = over(p, "putts_day"), stat_luck(p, sheet, "putts")
    if "putts" not in group.kinds:
        return 0.0, day**2 * own
    if "greens" in group.kinds or "greens" not in sheet.typical:
        return day, 0.0
    # Putts alone speak of both kinds of luck: cov(e_d, e_p) = day_p var_p - day_g kappa var_g.
    kappa, greens = over(p, "putts_per_green"), stat_luck(p, sheet, "greens")
    both = own + kappa**2 * greens
    lean = (day * own - over(p, "greens_day") * kappa * greens) / both
    return lean, day**2 * own - lean**2 * both


def _test(p: Values, sheet: Sheet, group: Group, day: Day, value: Any, error: Any, newness: Any) -> Measure:
    """A test of one area. First tests are worse than skill has it; a golfer who is better at a kind of test
    than on the course is so in all his tests of that kind (``mismatch``), so that what changes between them
    speaks; his form at it stays for a spell (``form``)."""
    k, task = AREAS.index(group.area), group.task
    slope, new = p["test_slope"][..., task, None], p["test_new"][..., task, None]
    beyond = day.lost[..., k, :] - day.share[..., k, :] * sheet.reference_level
    residual = value - p["test_intercept"][..., task, None] - slope * (beyond + new * newness)
    variance = (over(p, "test_luck") * error) ** 2
    load, apart = slope[..., None, :] * EACH[k], p["test_sd"][..., task, None]
    return Measure("test", load, residual, variance, apart, slope * over(p, "test_form"))


@dataclass(frozen=True)
class Said:
    """All measurements over their errors.

    ``weights`` are those of the path; ``loads`` (..., L, n), ``errors`` and ``scales`` (..., n), one
    over the standard deviation, stand by group and kind. ``mismatches`` and ``forms`` (..., n) are how they
    move, over their errors, with the golfer's lasting mismatch of 1 in their kind of test, and with his form
    at it of 1. ``each`` (...,) is the log density of the errors, at effects of zero.
    """

    weights: list[Any]
    loads: list[Any]
    errors: list[Any]
    scales: list[Any]
    mismatches: list[Any]
    forms: list[Any]
    each: Any


def said(p: Values, sheet: Sheet, at: Occasions, xp: Any) -> Said:
    """What all measurements say of their golfers, by group, kind and occasion.

    Parameters
    ----------
    p : PopulationValues
        NumPy arrays with any draws in front, JAX arrays or tensors.
    sheet : Sheet
    at : Occasions
        Those of the sheet, or the same as arrays of ``xp``.
    xp : module
        ``numpy``, ``jax.numpy`` or ``pytensor.tensor``.
    """
    whole = path(p, sheet, at, xp)
    loads, errors, scales, mismatches, forms = [], [], [], [], []
    for place in range(len(sheet.groups)):
        for one in measures(p, sheet, at, whole, place, xp):
            scale = one.variance**-0.5
            error = one.residual * scale
            loads.append(one.load * scale[..., None, :])
            errors.append(error)
            scales.append(scale + 0.0 * error)
            mismatches.append(one.mismatch * scales[-1])
            forms.append(one.form * scales[-1])
    whole_error, whole_scale = xp.concatenate(errors, axis=-1), xp.concatenate(scales, axis=-1)
    each = (xp.log(whole_scale) - 0.5 * whole_error**2).sum(axis=-1) - 0.5 * LOG_2PI * len(sheet.order)
    return Said(whole.weights, loads, errors, scales, mismatches, forms, each)

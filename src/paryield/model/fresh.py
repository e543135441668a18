"""Population values for a course, a programme, a test or a category that a fit has not seen: from priors."""

from __future__ import annotations

import zlib
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.context import TestTask
from paryield.model.population import PopulationValues
from paryield.model.prior import SOFTPLUS_ZERO
from paryield.model.spec import ModelSpec
from paryield.model.terms.coach_tests import BY_TEST
from paryield.model.terms.practice import rates_of, reference_gap
from paryield.tables.categories import AREAS, PHANTOM, Category

type Draws = PopulationValues[FLOATS]


def _rng(spec: ModelSpec, name: str) -> np.random.Generator:
    return np.random.default_rng([spec.seed, 31, zlib.crc32(name.encode())])


def _softplus(values: FLOATS) -> FLOATS:
    return np.logaddexp(0.0, SOFTPLUS_ZERO + values)


def picked(known: FLOATS, names: list[str], wanted: list[str], new: Any) -> FLOATS:
    """Columns of ``known`` (S, names) in the order of ``wanted``; ``new(name)`` (S,) where it has none."""
    columns = [known[:, names.index(one)] if one in names else new(one) for one in wanted]
    return np.stack(columns, axis=1) if columns else np.zeros((len(known), 0))


def with_categories(
    draws: Draws, names: list[str], categories: tuple[Category, ...], serves: FLOATS, spec: ModelSpec
) -> Draws:
    """Gains, rates, half-lives and bends of these categories.

    A new one shares what the club's others have shown.
    """
    samples, priors = len(draws["level_mean"]), spec.priors
    none = np.zeros((samples, 0))
    gain, half_life = draws.get("gain", none), draws.get("log_half_life", none)
    bend = draws.get("log_bend", np.zeros_like(half_life))
    real = [place for place, name in enumerate(names) if name != PHANTOM]
    medians = np.array([priors.gain_of(names[place])[0] for place in real])
    if real:
        common = (gain[:, real] / medians).mean(axis=1)
    else:
        common = _softplus(priors.gain_common_width * _rng(spec, "common gain").normal(size=samples))

    def new_gain(name: str) -> FLOATS:
        median, width = priors.gain_of(name)
        own = _rng(spec, f"gain of {name}").normal(size=samples)
        if name == PHANTOM:
            return median * _softplus(priors.gain_common_width * own)
        return median * common * _softplus(width * own)

    def new_half_life(name: str) -> FLOATS:
        return priors.half_life_log_sd * _rng(spec, f"half-life of {name}").normal(size=samples)

    def new_bend(name: str) -> FLOATS:
        return priors.bend_log_sd * _rng(spec, f"bend of {name}").normal(size=samples)

    wanted = [one.name for one in categories]
    gains = picked(gain, names, wanted, new_gain)
    out = {"gain": gains, "log_half_life": picked(half_life, names, wanted, new_half_life)}
    out["log_bend"] = bends = picked(bend, names, wanted, new_bend)
    out["rate_area"] = (
        rates_of(gains, bends, reference_gap(spec, priors, serves), serves, spec.bend_hours)
        if wanted
        else np.zeros((samples, 0, len(AREAS)))
    )
    if "start_known" not in draws and wanted:
        middle = priors.start_share_mean + priors.start_share_mean_sd * _rng(spec, "start").normal(
            size=samples
        )
        for name, shift in (("start_known", 0.0), ("start_new", priors.start_share_newcomer)):
            out[name] = priors.start_share_most / (1.0 + np.exp(-middle - shift))
    return draws | out


def with_programmes(draws: Draws, names: list[str], wanted: list[str], spec: ModelSpec) -> Draws:
    """Effects of these programmes; a new one is as the priors expect it."""
    samples, priors = len(draws["level_mean"]), spec.priors
    none, out = np.zeros((samples, 0)), {}
    for value, middle, spread in (
        ("programme_effect", 0.0, priors.programme_sd),
        ("enrol_shift", priors.enrol_shift, priors.enrol_shift_sd),
    ):
        known = draws[value] if names else none

        def new(name: str, value: str = value, middle: float = middle, spread: float = spread) -> FLOATS:
            return middle + spread * _rng(spec, f"{value} of {name}").normal(size=samples)

        out[value] = picked(known, names, wanted, new)
    return draws | out


def with_courses(draws: Draws, names: list[str], wanted: list[str], spec: ModelSpec) -> Draws:
    """Strokes of these courses above the club's average one."""
    samples = len(draws["level_mean"])

    def new(name: str) -> FLOATS:
        if not name:
            return np.zeros(samples)
        return spec.priors.course_sd * _rng(spec, f"course {name}").normal(size=samples)

    return draws | {"course_effect": picked(draws["course_effect"], names, wanted, new)}


def with_tests(
    draws: Draws, names: list[str], tests: tuple[TestTask, ...], areas: FLOATS, spec: ModelSpec
) -> Draws:
    """How these tests move with strokes lost; ``areas`` (test, area) is one where a test belongs."""
    samples, priors = len(draws["level_mean"]), spec.priors
    found: dict[str, list[FLOATS]] = {name: [] for name in BY_TEST}
    for place, task in enumerate(tests):
        if task.name in names:
            for name, columns in found.items():
                columns.append(draws[name][:, names.index(task.name)])
            continue
        form = task.form
        doubt = priors.diary_doubt if task.practice else 1.0
        centre = np.full(samples, task.ease)
        if form == 0:
            centre = spec.reference_level * (draws["share"] @ areas[place])
        luck = _rng(spec, f"test {task.name}").normal(size=(4, samples))
        middle = priors.test_slope[form]
        found["test_intercept"].append(centre + priors.test_intercept_sd[form] * doubt * luck[0])
        found["test_slope"].append(middle * np.exp(priors.test_slope_log[form] * luck[1]))
        found["test_sd"].append(priors.test_sd[form] * doubt * np.exp(priors.test_sd_log * luck[2]))
        found["test_new"].append(priors.test_new + priors.test_new_sd * luck[3])
    if not tests:
        return draws
    if "test_luck" not in draws:
        luck_of_all = _rng(spec, "luck of tests").normal(size=samples)
        draws = draws | {"test_luck": priors.test_luck * np.exp(priors.test_luck_log * luck_of_all)}
        form_of_all = _rng(spec, "form at tests").normal(size=samples)
        draws = draws | {"test_form": priors.test_form * np.exp(priors.test_form_log * form_of_all)}
    if "test_form" not in draws:  # a fit of before there was such a value
        draws = draws | {"test_form": np.zeros(samples)}
    return draws | {name: np.stack(columns, axis=1) for name, columns in found.items()}

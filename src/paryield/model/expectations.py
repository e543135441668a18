"""A coach's expectations of practice: low, likely and high gains from a small file, turned into priors.

A gain is ``scale x s(common z1) x s(own z2)`` with ``s(v) = softplus(0.54 + v)`` and standard normal
``z1`` (shared by the club's categories) and ``z2``. Given ``z1`` its distribution function is a normal one,
so that the whole is an integral over ``z1``, done by Gauss-Hermite nodes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from scipy.optimize import brentq
from scipy.special import ndtr

from paryield.errors import InputError
from paryield.model.prior import SOFTPLUS_ZERO
from paryield.model.spec import ModelSpec, Priors
from paryield.tables.categories import AREAS, Category
from paryield.tables.nearest import hint
from paryield.tables.toml import read_toml

INSIDE = 0.8
"""A low and a high figure hold 8 cases in 10 between them."""
OWN_TO_COMMON = 7.0 / 15.0
"""Least width of a category's own part over the common one, as in the shipped prior. [judgement]"""
WIDEST = 6.0
NODES, WEIGHTS = hermegauss(81)
WEIGHTS = WEIGHTS / WEIGHTS.sum()

READY = ("cautious", "usual", "open")
EVERY = "all"
KEYS = ("category", "index_from", "index_to", "low", "likely", "high")
LEAST_LOW = 0.02
"""A low of 0 is read as this share of the likely figure: the prior comes as near to nothing as one likes."""
MOST_GAIN = 20.0


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


@dataclass(frozen=True)
class Expectation:
    """What a coach expects of 20 hours in one category, for golfers of an index band, strokes a round.

    1 case in 10 is below ``low`` and 1 in 10 above ``high``; ``likely`` is as often missed as passed.
    """

    category: str
    low: float
    likely: float
    high: float
    index_from: float = 15.0
    index_to: float = 15.0

    @property
    def level(self) -> float:
        """Mean differential in the middle of the band: index + 2.4 + 0.04 index (computed from the
        unofficial expected score of nine holes, which agrees with the published odds table)."""
        return mean_differential_at((self.index_from + self.index_to) / 2)


@dataclass(frozen=True)
class Expectations:
    """Expectations under a name."""

    name: str
    entries: tuple[Expectation, ...]


def mean_differential_at(index: float) -> float:
    """Mean differential of a golfer with this Handicap Index, strokes."""
    return index + 2.4 + 0.04 * index


def read_expectations(source: str | Path, categories: Iterable[Category]) -> Expectations:
    """Read a file, or one of the ready sets by name.

    Parameters
    ----------
    source : str or Path
        ``cautious``, ``usual``, ``open``, or the path of a TOML file with tables ``[[expectation]]``.
    categories : iterable of Category
        Those that the club knows.

    Raises
    ------
    InputError
        Naming file, entry, value and what to do.
    """
    where = str(source)
    if where in READY:
        content = resources.files("paryield.model").joinpath(f"expected/{where}.toml").read_bytes()
    else:
        content = _content(where)
    try:
        given = read_toml(content)
    except ValueError as error:
        remedy = "mend that line, or save it as UTF-8 text"
        raise InputError(str(error), where=where, remedy=remedy) from None
    listed = given.get("expectation")
    if not isinstance(listed, list) or not listed:
        remedy = "write [[expectation]] and below it category, low, likely and high"
        raise InputError("it holds no expectation", where=where, remedy=remedy)
    known = [category.name for category in categories]
    entries = tuple(_entry(one, f"{where}, entry {place}", known) for place, one in enumerate(listed, 1))
    keys = [(one.category, one.index_from, one.index_to) for one in entries]
    for place, key in enumerate(keys, 1):
        if key in keys[: place - 1]:
            found = f"{key[0]} from index {key[1]:g} to {key[2]:g} stands twice"
            raise InputError(found, where=f"{where}, entry {place}", remedy="keep one of them")
    return Expectations(str(given.get("name") or Path(where).stem), entries)


def _content(where: str) -> bytes:
    try:
        return Path(where).expanduser().read_bytes()
    except OSError as error:
        remedy = f"give a file, or one of {', '.join(READY)}"
        raise InputError(f"it cannot be read ({error.strerror})", where=where, remedy=remedy) from None


def _entry(given: Any, where: str, known: list[str]) -> Expectation:
    if not isinstance(given, dict):
        raise InputError("it is not a table", where=where, remedy="write [[expectation]]")
    if unknown := sorted(set(given) - set(KEYS)):
        raise InputError(f"there is no {unknown[0]!r} here", where=where, remedy=hint(unknown[0], KEYS))
    name = given.get("category")
    if name not in (EVERY, *known):
        remedy = hint(str(name), [EVERY, *known])
        raise InputError(f"there is no practice category {name!r}", where=where, remedy=remedy)
    low, likely, high = (_number(given, key, where) for key in ("low", "likely", "high"))
    if not 0 <= low < likely < high <= MOST_GAIN:
        raise InputError(
            f"found low {low:g}, likely {likely:g}, high {high:g} strokes per 20 hours",
            where=where,
            remedy=f"give 0 or more, rising, at most {MOST_GAIN:g}",
        )
    begin = _number(given, "index_from", where, 15.0)
    end = _number(given, "index_to", where, begin)
    if not -10 <= begin <= end <= 54:
        raise InputError(
            f"the band runs from index {begin:g} to {end:g}",
            where=where,
            remedy="give index_from at most index_to, both between -10 (a plus handicap) and 54",
        )
    return Expectation(str(name), low, likely, high, begin, end)


def _number(given: dict[str, Any], key: str, where: str, default: float | None = None) -> float:
    value = given.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        found = "is missing" if value is None else f"is {value!r}"
        raise InputError(f"{key} {found}", where=where, remedy=f"write {key} = and a number")
    return float(value)


def gap(level: float, category: Category, spec: ModelSpec) -> float:
    """Strokes that a golfer of this mean differential could still close in what a category serves."""
    total = sum(spec.priors.share)
    return sum(
        category.serves.get(area, 0.0) * (weight / total * level - spec.floor)
        for area, weight in zip(AREAS, spec.priors.share, strict=True)
    )


def stated_for(
    expectations: Expectations, category: Category, spec: ModelSpec
) -> tuple[float, float, float] | None:
    """Low, likely and high of a category for the reference golfer, strokes per 20 hours; None if unsaid.

    The model lets a gain grow with what is left to gain; each band's figures are carried to the reference
    golfer on that rule, and several bands are averaged on the log scale.
    """
    own = [one for one in expectations.entries if one.category == category.name]
    own = own or [one for one in expectations.entries if one.category == EVERY]
    if not own:
        return None
    reference = gap(spec.reference_level, category, spec)
    logs = [0.0, 0.0, 0.0]
    for one in own:
        factor = reference / gap(one.level, category, spec)
        figures = (max(one.low, LEAST_LOW * one.likely), one.likely, one.high)
        logs = [total + math.log(factor * figure) for total, figure in zip(logs, figures, strict=True)]
    low, likely, high = (math.exp(total / len(own)) for total in logs)
    return low, likely, high


def gain_priors(
    expectations: Expectations, categories: Iterable[Category], spec: ModelSpec
) -> dict[str, GainPrior]:
    """Prior of every category that was spoken of, in strokes per 20 hours of the reference golfer."""
    stated = {one.name: stated_for(expectations, one, spec) for one in categories}
    said = {name: figures for name, figures in stated.items() if figures is not None}
    common = common_width(list(said.values()))
    return {name: elicit(*figures, common) for name, figures in said.items()}


def expected_priors(
    expectations: Expectations, categories: Iterable[Category], spec: ModelSpec | None = None
) -> Priors:
    """Return the priors of a specification with the gains as expected; what was not said stays."""
    spec = spec or ModelSpec()
    found = gain_priors(expectations, categories, spec)
    if not found:
        return spec.priors
    scales = sorted(prior.scale for prior in found.values())
    everything = any(one.category == EVERY for one in expectations.entries)
    return replace(
        spec.priors,
        gain_median=scales[len(scales) // 2] if everything else spec.priors.gain_median,
        gain_common_width=next(iter(found.values())).common,
        gain_medians=tuple((name, prior.scale) for name, prior in found.items()),
        gain_widths=tuple((name, prior.own) for name, prior in found.items()),
    )

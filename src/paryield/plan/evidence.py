"""What the data told about returns of practice, for categories that move together as one, and noise floors.

The contrast of a category is its log gain less the mean log gain of all categories. The rate that categories
share cancels in it: a club that improves moves every gain, and tells nothing about which one to practise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.dose.stock import HALF_LIFE_NODES, HOURS_UNIT, bent, steady_stock
from paryield.forecast import GolferDraws
from paryield.model.terms.practice import rates_of
from paryield.posterior import Posterior
from paryield.posterior.evidence import PART_MEASURED, evidence_word, removed
from paryield.tables.categories import PHANTOM

AND = "+"

PRIOR_DRAWS = 40_000
SOFTPLUS_ZERO = math.log(math.e - 1.0)
LEAST_GAIN = 1e-9
EVIDENCE = "evidence of gains"
"""Under this name it is kept with a fit."""
OWN_SHARE = 0.1
"""Share of its own part of the contrast that must be gone before a category is more than assumed: beyond the
error of a variance from 400 effective draws, 0.07. [judgement]"""

RARELY = 0.05
"""Share of partners whose practice may seem as good before a category is not told from noise."""
STEPS = np.array([NormalDist().inv_cdf((step + 0.5) / 400) for step in range(400)])
"""Standard normal values at even steps of chance."""


@dataclass(frozen=True)
class Answered:
    """Categories as they are answered: G names, their members' places, hours and draws (S, G)."""

    names: tuple[str, ...]
    places: tuple[tuple[int, ...], ...]
    shares: tuple[FLOATS, ...]
    hours: FLOATS
    gains: FLOATS


def tied_groups(facts: dict[str, Any]) -> list[list[str]]:
    """Groups of categories that the data cannot tell apart, as stored with a fit."""
    found: list[list[str]] = facts.get("before_fit", {}).get("co_movement", {}).get("tied", [])
    return found


def tied_places(names: Sequence[str], facts: dict[str, Any]) -> tuple[tuple[int, ...], ...]:
    """Places of the categories that are answered together, in the order of their first members."""
    return _sets(names, tied_groups(facts))


def _sets(names: Sequence[str], groups: Sequence[Sequence[str]]) -> tuple[tuple[int, ...], ...]:
    sets: list[tuple[int, ...]] = []
    seen: set[int] = set()
    for place, name in enumerate(names):
        if place in seen:
            continue
        group = next((one for one in groups if name in one), [name])
        members = tuple(at for at, other in enumerate(names) if other in group)
        seen.update(members)
        sets.append(members)
    return tuple(sets)


def answered(names: Sequence[str], hours: FLOATS, gains: FLOATS, groups: Sequence[Sequence[str]]) -> Answered:
    """Put tied categories together.

    One more hour of a group is split as the golfer splits it now, or evenly where nothing is practised; its
    gain is the sum of the parts, exact to first order and a little low beyond, where returns bend.

    Parameters
    ----------
    names : list of str, J categories
    hours : array, shape (J,)
        Weekly hours now.
    gains : array, shape (S, J)
        Strokes for one more hour of each category.
    groups : list of list of str
    """
    sets = _sets(names, groups)
    shares = []
    for members in sets:
        own = hours[list(members)]
        shares.append(own / own.sum() if own.sum() > 0 else np.full(len(members), 1.0 / len(members)))
    both = list(zip(sets, shares, strict=True))
    return Answered(
        names=tuple(AND.join(names[at] for at in members) for members in sets),
        places=sets,
        shares=tuple(shares),
        hours=np.array([hours[list(members)].sum() for members in sets]),
        gains=np.stack([gains[:, list(members)] @ share for members, share in both], axis=1),
    )


@dataclass(frozen=True)
class GainEvidence:
    """Evidence of the real categories of a fit, tied ones as one.

    Parameters
    ----------
    place : dict of str to int
        Where each category stands in ``share``; members of a tied group stand at the same place.
    share : array, shape (G,)
        Share of the prior variance of each contrast that the data removed, 0 to 1; nothing where the category
        itself was hardly seen.
    common : float
        The same for the mean log gain of all categories.
    """

    place: dict[str, int]
    share: FLOATS
    common: float

    def of(self, category: str) -> float:
        """Share removed of one category's contrast."""
        return float(self.share[self.place[category]])

    def word(self, category: str, *, own_diary: bool = True) -> str:
        """Word for a category; without a diary of his own it is at best part measured for a golfer."""
        return _for_golfer(evidence_word(self.of(category)), own_diary=own_diary)

    def common_word(self, *, own_diary: bool = True) -> str:
        """Word for what all categories return together."""
        return _for_golfer(evidence_word(self.common), own_diary=own_diary)


def _for_golfer(word: str, *, own_diary: bool) -> str:
    return "part measured" if word == "measured" and not own_diary else word


def gain_evidence(posterior: Posterior) -> GainEvidence:
    """Hold the gains of a fit against their prior.

    Whatever is learnt of the other categories, a category of which nothing was learnt keeps
    ``(1 - 1 / J)^2`` of the variance of its own log gain in its contrast. Only what is removed beyond that
    speaks of the category itself; with few categories it matters.
    """
    if EVIDENCE not in posterior.memory:
        posterior.memory[EVIDENCE] = _gain_evidence(posterior)
    found: GainEvidence = posterior.memory[EVIDENCE]
    return found


def _gain_evidence(posterior: Posterior) -> GainEvidence:
    names = real_categories(posterior)
    stated = tuple(gain_prior(posterior.facts["spec"]["priors"], name) for name in names)
    groups = tied_places(names, posterior.facts)
    gains = posterior.draws("gain")[:, [posterior.categories.index(name) for name in names]]
    after, common_after = _variances(gains, groups)
    prior = _prior_variances(stated, groups)
    if len(groups) == 1:
        common = removed(prior.common, common_after)
        return GainEvidence(dict.fromkeys(names, 0), np.array([common]), common)
    alone = prior.own * (1.0 - 1.0 / len(groups)) ** 2
    share = np.array([removed(*pair) for pair in zip(prior.contrast, after, strict=True)])
    own = np.array([removed(*pair) for pair in zip(alone, after, strict=True)])
    seen = np.where(own >= OWN_SHARE, share, np.minimum(share, PART_MEASURED * 0.5))
    place = {names[member]: group for group, members in enumerate(groups) for member in members}
    return GainEvidence(place, seen, removed(prior.common, common_after))


def real_categories(posterior: Posterior) -> list[str]:
    """Categories that are practised, in the order of the fit."""
    return [name for name in posterior.categories if name != PHANTOM]


def prior_rates(posterior: Posterior) -> FLOATS:
    """Share of each gap closed per 20 hours before any data, shape (S, J, K), one row a draw of the fit.

    How soon a category bends is the draw's, which no record says much about.
    """
    facts, names = posterior.facts["spec"], real_categories(posterior)
    stated = tuple(gain_prior(facts["priors"], name) for name in names)
    gains = np.zeros((posterior.samples, len(posterior.categories)))
    gains[:, [posterior.categories.index(name) for name in names]] = joint_prior_gains(
        stated, posterior.samples
    )
    serves = posterior.constant("serves")
    share = np.array(facts["priors"]["share"]) / sum(facts["priors"]["share"])
    gaps = serves @ (share * facts["reference_level"] - facts["floor"])
    bends = posterior.draws("log_bend") if posterior.has("log_bend") else np.zeros_like(gains)
    rates: FLOATS = rates_of(gains, bends, gaps, serves, float(facts["bend_hours"]))
    return rates


def contrasts(gains: FLOATS, groups: Sequence[Sequence[int]]) -> tuple[FLOATS, FLOATS]:
    """Contrasts (S, G) and mean log gain (S,) of gains (S, J) in groups of their places."""
    joined = np.stack([gains[:, list(members)].mean(axis=1) for members in groups], axis=1)
    logs = np.log(np.maximum(joined, LEAST_GAIN))
    mean = logs.mean(axis=1)
    return logs - mean[:, None], mean


def _variances(gains: FLOATS, groups: Sequence[Sequence[int]]) -> tuple[FLOATS, float]:
    each, mean = contrasts(gains, groups)
    return each.var(axis=0), float(mean.var())


@dataclass(frozen=True)
class _PriorVariances:
    """Variances before the data: of contrasts and own log gains (G,), and of the mean log gain."""

    contrast: FLOATS
    own: FLOATS
    common: float


@lru_cache(maxsize=32)
def _prior_variances(
    stated: tuple[tuple[float, float, float], ...], groups: tuple[tuple[int, ...], ...]
) -> _PriorVariances:
    gains = joint_prior_gains(stated)
    contrast, common = _variances(gains, groups)
    apart = joint_prior_gains(tuple((median, 0.0, own) for median, _, own in stated))
    joined = np.stack([apart[:, list(members)].mean(axis=1) for members in groups], axis=1)
    return _PriorVariances(contrast, np.log(joined).var(axis=0), common)


def _softplus(value: FLOATS) -> FLOATS:
    return np.logaddexp(0.0, value)


@lru_cache(maxsize=32)
def prior_gains(median: float, common: float, own: float) -> FLOATS:
    """Draws of a category's gain before any data, strokes per 20 hours; second writing of the prior in
    plain NumPy, proved equal to the model's own by a test."""
    first, second = np.random.default_rng(20).normal(size=(2, PRIOR_DRAWS))
    shared = _softplus(SOFTPLUS_ZERO + common * first)
    return median * shared * _softplus(SOFTPLUS_ZERO + own * second)


@lru_cache(maxsize=32)
def joint_prior_gains(stated: tuple[tuple[float, float, float], ...], draws: int = PRIOR_DRAWS) -> FLOATS:
    """Draws of several real categories' gains before any data, shape (draw, category): the part that they
    share is the same in each draw. ``stated`` holds median, common and own width of each."""
    rng = np.random.default_rng(22)
    shared = rng.normal(size=draws)
    columns = []
    for median, common, own in stated:
        rate = _softplus(SOFTPLUS_ZERO + common * shared)
        columns.append(median * rate * _softplus(SOFTPLUS_ZERO + own * rng.normal(size=draws)))
    return np.stack(columns, axis=1)


def gain_prior(priors: dict[str, Any], name: str) -> tuple[float, float, float]:
    """Median, common width and own width of a category's gain in the stored priors of a fit."""
    medians = dict(priors.get("gain_medians") or ())
    widths = dict(priors.get("gain_widths") or ())
    median = float(medians.get(name, priors["gain_median"]))
    return median, float(priors["gain_common_width"]), float(widths.get(name, priors["gain_category_width"]))


@dataclass(frozen=True)
class Noise:
    """What chance alone makes of practice in a club.

    Parameters
    ----------
    gains : array, shape (S,)
        Draws of the gain of a partner's practice, strokes per 20 hours of the reference golfer: what is
        assumed of practice of which nothing is known, as far as the records let it stand.
    above : dict of str to bool
        Whether a category's own estimate lies above those of 19 in 20 partners.
    """

    gains: FLOATS
    above: dict[str, bool]

    def above_all(self, categories: Sequence[str]) -> bool:
        """Whether any of these categories, answered as one, lies above the floor."""
        return any(self.above.get(name, False) for name in categories)


def club_noise(posterior: Posterior) -> Noise:
    """Read the noise floor of a fit; without partners everything lies below it."""
    found = posterior.facts.get("noise_floor")
    prior = _prior_gains(posterior)
    rng = np.random.default_rng([int(posterior.facts["seed"]), 26])
    if not found or not found["partner_slopes"]:
        return Noise(prior[rng.integers(len(prior), size=posterior.samples)], {})
    slopes, errors = (np.array(found[name]) for name in ("partner_slopes", "partner_errors"))
    most = float(np.quantile(slopes / errors, 1.0 - RARELY))
    own = np.array(found["slopes"]) / np.array(found["errors"])
    above = dict(zip(found["categories"], map(bool, own > most), strict=True))
    log_weight = -0.5 * ((prior - slopes[:, None]) / errors[:, None]) ** 2
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    passed = np.cumsum(weight, axis=1) / weight.sum(axis=1, keepdims=True)
    partner = rng.permutation(posterior.samples) % len(slopes)
    place = (passed[partner] < rng.uniform(size=(posterior.samples, 1))).sum(axis=1)
    return Noise(prior[np.minimum(place, len(prior) - 1)], above)


def _prior_gains(posterior: Posterior) -> FLOATS:
    """Gains of a category that shares nothing with the others, at even steps of its prior."""
    priors = posterior.facts["spec"]["priors"]
    gains: FLOATS = float(priors["gain_median"]) * np.logaddexp(
        0.0, SOFTPLUS_ZERO + float(priors["gain_common_width"]) * STEPS
    )
    return gains


def noise_returns(
    posterior: Posterior, golfer: GolferDraws, lost: FLOATS, gains: FLOATS, weeks: int
) -> FLOATS:
    """Strokes saved by one weekly hour of practice with such gains, shape (S,).

    The category serves areas as the club's own do on average, fades as they do, and nothing is held of it.

    Parameters
    ----------
    posterior : Posterior
    golfer : GolferDraws
    lost : array, shape (S, K)
        Strokes lost at the horizon without it.
    gains : array, shape (S,)
    weeks : int
        How long the hour is kept up.
    """
    real = [posterior.categories.index(name) for name in real_categories(posterior)]
    serves = posterior.constant("serves")[real].mean(axis=0)
    half_life = float(np.median(golfer.node_half_life[0, real])) / HALF_LIFE_NODES[0]
    spec = posterior.facts["spec"]
    share = np.array(spec["priors"]["share"]) / sum(spec["priors"]["share"])
    gap = float(serves @ (share * spec["reference_level"] - spec["floor"]))
    fresh = steady_stock(1.0, half_life) * (1.0 - 2.0 ** (-7.0 * weeks / half_life))
    rates = gains[:, None] / gap * serves * bent(fresh, golfer.bend_hours) / HOURS_UNIT
    saved: FLOATS = ((lost - golfer.floor) * -np.expm1(-rates)).sum(axis=1)
    return saved

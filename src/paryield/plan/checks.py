"""All that speaks for or against a fit: the health gate, the look before it, and what the advice hangs on.

Draws of a fit are weighted by the ratio of two priors of the gains (importance weights, Pareto-smoothed);
all else in the model stays. Where Pareto k says that the draws do not reach, a fit has to tell.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.forecast.current import standing
from paryield.forecast.misfit import misfit
from paryield.forecast.refreshed import refreshed
from paryield.forecast.weights import MOST_K, moved, picked, smoothed
from paryield.model.expectations import NODES, READY, WEIGHTS, expected_priors, read_expectations
from paryield.model.prior import SOFTPLUS_ZERO
from paryield.model.spec import ModelSpec
from paryield.plan.evidence import gain_prior
from paryield.plan.worth import DEFAULT_WEEKS, ClubReturns, GolferReturns
from paryield.posterior import Posterior
from paryield.posterior.current import health as gate_of
from paryield.posterior.current import stored_fit
from paryield.tables.categories import PHANTOM, SHIPPED, Category

POWERS = (0.8, 1.25)
HELD = ("held more loosely", "held more firmly")
SENSITIVE = 0.05
"""Power-scaling sensitivity from which a prior counts as felt (Kallioinen et al. 2024, Statistics and
Computing 34:57, as documented by ArviZ)."""


def log_prior(gains: FLOATS, priors: dict[str, Any], names: list[str]) -> FLOATS:
    """Log density of the real categories' gains before any data, shape (S,).

    Given the part that categories share their gains are independent; that part is integrated out on the
    same nodes as in elicitation.
    """
    total = np.zeros((len(gains), len(NODES)))
    for place, name in enumerate(names):
        if name == PHANTOM:
            continue
        median, common, own = gain_prior(priors, name)
        shared = median * np.logaddexp(0.0, SOFTPLUS_ZERO + common * NODES)
        ratio = np.maximum(gains[:, place, None], 1e-12) / shared
        tail = np.log(-np.expm1(-ratio))
        z = (ratio + tail - SOFTPLUS_ZERO) / own
        total += -0.5 * z**2 - np.log(own * np.sqrt(2 * np.pi)) - tail - np.log(shared)
    from scipy.special import logsumexp

    result: FLOATS = logsumexp(total, axis=1, b=WEIGHTS)
    return result


def power_sensitivity(posterior: Posterior) -> dict[str, float]:
    """Power-scaling sensitivity of each gain to the prior of the gains; above 0.05 the prior is felt."""
    gains = posterior.draws("gain")
    density = log_prior(gains, posterior.facts["spec"]["priors"], posterior.categories)
    weights = [(power, smoothed((power - 1.0) * density)[0]) for power in POWERS]
    return {
        name: float(np.mean([moved(gains[:, place], w) / abs(np.log2(power)) for power, w in weights]))
        for place, name in enumerate(posterior.categories)
        if name != PHANTOM
    }


def sensitivity(
    posterior: Posterior, categories: tuple[Category, ...] = SHIPPED, weeks: int = DEFAULT_WEEKS
) -> dict[str, Any] | None:
    """Say how the advice would change under the ready sets of expectations.

    Returns
    -------
    dict or None
        ``power`` (sensitivity by category, felt above 0.05) and ``sets``: for each ready set, and for the
        fit's own prior held more loosely or more firmly (raised to a power of 0.8 or 1.25), its name,
        pareto_k, whether it can be told without a fit (``told``), the number of golfers, and of those whose
        likeliest best category or any verdict would change. None without a diary.
    """
    if not posterior.categories:
        return None
    gains, names = posterior.draws("gain"), posterior.categories
    priors = posterior.facts["spec"]["priors"]
    here = log_prior(gains, priors, names)
    club = ClubReturns(posterior, weeks)
    returns = {golfer: club.golfer(golfer) for golfer in posterior.golfers}
    now = {golfer: _advice(own) for golfer, own in returns.items()}
    sets = []
    for name, there in _other_priors(gains, names, here, categories).items():
        weights, k = smoothed(there - here)
        record: dict[str, Any] = {"name": name, "pareto_k": k, "told": k <= MOST_K, "golfers": len(returns)}
        record |= {"best_changes": None, "verdict_changes": None}
        if record["told"]:
            at = picked(weights)
            then = {g: _advice(own.drawn(at)) for g, own in returns.items()}
            record["best_changes"] = sum(then[g][0] != now[g][0] for g in returns)
            record["verdict_changes"] = sum(then[g][1] != now[g][1] for g in returns)
        sets.append(record)
    return {"power": power_sensitivity(posterior), "sets": sets}


def _other_priors(
    gains: FLOATS, names: list[str], here: FLOATS, categories: tuple[Category, ...]
) -> dict[str, FLOATS]:
    """Log densities of the gains under other priors, by name, shape (S,) each."""
    found = {}
    for name in READY:
        spec = ModelSpec(priors=expected_priors(read_expectations(name, categories), categories))
        priors: Any = spec.to_dict()["priors"]
        found[name] = log_prior(gains, priors, names)
    return found | {name: power * here for name, power in zip(HELD, POWERS, strict=True)}


def _advice(own: GolferReturns) -> tuple[str, tuple[str, ...]]:
    """Name of the likeliest best category, and every verdict."""
    ranked, names = own.standings({}), own.answered.names
    best = max(range(len(names)), key=lambda place: ranked[place].chance_best)
    return names[best], tuple(one.verdict for one in ranked)


def health(club: Any) -> dict[str, Any]:
    """Return the health of the newest run.

    Returns
    -------
    dict
        That of :func:`paryield.posterior.current.health`, and ``expectations`` (name of the set the run was
        fitted with), ``before_fit`` (``co_movement`` and ``time_shift``, see
        :mod:`paryield.model.before_fit`) and ``sensitivity`` (see :mod:`paryield.plan.checks`); None
        where there is nothing to say. ``record``: how old the fit is beside the record as it is now, and
        whether a new one is due, see :class:`paryield.forecast.current.Standing`. ``learnt``: how the
        records agree with what other clubs learnt, where the fit started from that. ``misfit``: rounds
        beside their forecasts, see :class:`paryield.forecast.misfit.Misfit`.

    Raises
    ------
    InputError
        When nothing was fitted yet, or the club is damaged.
    """
    club.check()
    found = gate_of(club)
    number, posterior = stored_fit(club)
    now = standing(number, refreshed(posterior, club.tables()), look=True)
    off = misfit(posterior, club.tables())
    return {
        **found,
        "record": now.to_dict(),
        "expectations": posterior.facts.get("expectations", "usual"),
        "before_fit": posterior.facts.get("before_fit"),
        "sensitivity": sensitivity(posterior, club.tables().categories),
        "learnt": posterior.facts.get("learnt"),
        "misfit": None if off is None else off.to_dict(),
    }

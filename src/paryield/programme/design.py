"""How many members and months it takes to see an effect, by simulation with the club's own spreads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.special import log_ndtr, ndtri, stdtrit

from paryield.arrays import FLOATS
from paryield.forecast import gate
from paryield.forecast.rounds import club_paces
from paryield.posterior import Posterior
from paryield.units import DAYS_PER_MONTH

if TYPE_CHECKING:
    from paryield.club import Club

MEMBERS, MONTHS = (10, 20, 40, 80, 160), (3, 6, 12)
STROKES = 1.0
MONTHS_BEFORE, MONTHS_OF_PROGRAMME = 6.0, 3.0
CLUBS = 400
SEEN = 0.95
"""An effect is seen when the 95 % interval leaves out 0."""


def window_cover(before: FLOATS, after: FLOATS, form: float, days: float, luck: float) -> FLOATS:
    """Covariance of a golfer's mean before and mean after, shape (2, 2), level left out, strokes squared.

    Parameters
    ----------
    before, after : array
        Days of the rounds.
    form, days, luck : float
        Spread and time constant of form, and spread of one round.
    """
    both = np.concatenate([before, after])
    weight = np.zeros((2, len(both)))
    weight[0, : len(before)], weight[1, len(before) :] = 1.0 / len(before), 1.0 / len(after)
    whole = form**2 * np.exp(-np.abs(both[:, None] - both[None, :]) / days) + luck**2 * np.eye(len(both))
    out: FLOATS = weight @ whole @ weight.T
    return out


def grouped_fit(before: FLOATS, after: FLOATS, treated: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Effect and HC1 error of ``after = a + effect x treated + b x before`` in many clubs, (B, n) each.

    A second writing of :func:`paryield.programme.second.compare_groups` for many clubs at once.
    """
    ones = np.ones_like(before)
    design = np.stack([ones, np.broadcast_to(treated, before.shape), before], axis=2)
    gram = np.linalg.inv(np.swapaxes(design, 1, 2) @ design)
    slope = gram @ (np.swapaxes(design, 1, 2) @ after[:, :, None])
    left = (after[:, :, None] - design @ slope)[:, :, 0]
    meat = np.swapaxes(design * left[:, :, None] ** 2, 1, 2) @ design
    cover = gram @ meat @ gram * before.shape[1] / (before.shape[1] - 3)
    return slope[:, 1, 0], np.sqrt(cover[:, 1, 1])


def design_table(
    posterior: Posterior,
    rounds_per_month: float,
    *,
    members: tuple[int, ...] = MEMBERS,
    months: tuple[int, ...] = MONTHS,
    strokes: float = STROKES,
    clubs: int = CLUBS,
) -> list[dict[str, Any]]:
    """Chance to see an effect, by number of members and months of rounds after the programme.

    Each simulated club has as many golfers outside as members, half a year of rounds before, a programme of
    three months, and spreads from one draw of the fit; the answer comes from the plain second route.

    Returns
    -------
    list of dict
        members, months, strokes, chance_seen, smallest_seen (strokes that would be seen 8 times in 10).
    """
    rng = np.random.default_rng([int(posterior.facts["seed"]), 17])
    picks = rng.integers(posterior.samples, size=clubs)
    form, days = posterior.draws("sd_wander")[picks], posterior.draws("wander_days")[picks]
    luck = np.median(posterior.draws("noise_total"), axis=1)[picks]
    level = posterior.draws("sd_level")[picks]
    rate = max(rounds_per_month, 0.2)
    before = -_spaced(MONTHS_BEFORE, rate)
    out = []
    for length in months:
        after = MONTHS_OF_PROGRAMME * DAYS_PER_MONTH + _spaced(float(length), rate)
        covers = [window_cover(before, after, *one) for one in zip(form, days, luck, strict=True)]
        factor = np.linalg.cholesky(np.array(covers))
        for count in members:
            treated = np.repeat([1.0, 0.0], count)
            own = level[:, None, None] * rng.normal(size=(clubs, 1, 2 * count))
            means = own + factor @ rng.normal(size=(clubs, 2, 2 * count))
            effect, error = grouped_fit(means[:, 0], means[:, 1] - strokes * treated, treated)
            reach = float(stdtrit(2 * count - 3, 0.5 + SEEN / 2))
            out.append(
                {
                    "members": count,
                    "months": length,
                    "strokes": strokes,
                    "chance_seen": float(np.mean(effect + reach * error < 0)),
                    "smallest_seen": float(np.median(error)) * (reach + float(ndtri(0.8))),
                }
            )
    return out


def _spaced(months: float, rate: float) -> FLOATS:
    """Days of rounds spread evenly over some months, at least one."""
    count = max(1, round(months * rate))
    return (np.arange(count) + 0.5) * months * DAYS_PER_MONTH / count


def return_to_mean(cut: float, mean: float, within_sd: float, between_sd: float, measures: int = 1) -> float:
    """Change that selection alone makes: people chosen for a bad mean come back part of the way.

    ``sw^2 / m / sqrt(sw^2 / m + sb^2) x phi(z) / (1 - Phi(z))`` with ``z = |cut - mean| / total sd``
    (Barnett, van der Pols & Dobson 2005, Int J Epidemiol 34:215, equation 1; verified).

    Parameters
    ----------
    cut, mean : float
        Those beyond the cut were chosen from a population with this mean.
    within_sd, between_sd : float
        Spread of one measure about the person's own mean, and of those means.
    measures : int
        Measures that the choice rested on.
    """
    within = within_sd**2 / measures
    total = np.sqrt(within + between_sd**2)
    z = abs(cut - mean) / total
    return float(within / total * np.exp(-0.5 * (z**2 + np.log(2.0 * np.pi)) - log_ndtr(-z)))


def design(club: Club, anyway: bool = False) -> list[dict[str, Any]]:
    """Members and months that it takes to see an effect of one stroke, with the club's own spreads.

    Parameters
    ----------
    club : Club
    anyway : bool
        Answer although the health gate says no.

    Raises
    ------
    InputError
        When nothing was fitted yet.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    gate(posterior, anyway)
    paces = club_paces(club.tables(), posterior.golfers, posterior.as_of)
    return design_table(posterior, float(np.median([pace.mean for pace in paces.values()])))

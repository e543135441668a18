"""Strokes lost by scoring area: now, against golfers of the same index, and against a goal index."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.forecast.ahead import EPOCH_ORDINAL
from paryield.forecast.answer import chosen
from paryield.forecast.gate import gate
from paryield.forecast.habits import habit_hours
from paryield.forecast.outlook import GolferDraws, golfer_draws, practised, shared_path, stock_ahead
from paryield.posterior import Posterior
from paryield.posterior.evidence import evidence_word, removed
from paryield.results import QUANTILES, flat_record, summary

if TYPE_CHECKING:
    from paryield.club import Club
    from paryield.tables import Tables

LOWEST_8_OF_20 = -0.9282
"""Mean of the lowest 8 of 20 standard normal differentials: an index lies this many spreads of a round
below the mean differential in the long run. [computed by quadrature; a test computes it again]"""
SURE = 0.8
"""Chance from which an area is said to lose more, or less, than golfers of the same index. [judgement]"""
SMALLEST, ALIKE = 0.1, 0.5
"""Strokes a round below which nothing is called a difference, and within which 8 in 10 cases must lie
before two golfers are called about the same. [judgement]"""
NONE = dict.fromkeys([*QUANTILES, "mean"])
COUNTED = ("rounds_seen", "rounds_greens", "rounds_putts", "rounds_shots", "tests_seen")


@dataclass(frozen=True)
class AreaStrokes:
    """Records by golfer and area, with the draws of strokes lost now, shape (S, K) a golfer."""

    records: list[dict[str, Any]]
    draws: dict[str, FLOATS] = field(repr=False)
    banner: str = ""

    def to_frame(self) -> pd.DataFrame:
        """One row a golfer and area; quantiles as columns such as ``lost_q50``."""
        return pd.DataFrame.from_records([flat_record(record) for record in self.records])


def area_now(posterior: Posterior, golfer_id: str) -> FLOATS:
    """Mean strokes lost by area on the last day of the data, shape (S, K).

    Level, drift and practice are the area's own; season and background are those of the whole score, split
    as the club splits its strokes. So is form, but who is out of form may be so in one area only: each area
    is taken to have a form of its own, its variance in proportion to its share of strokes [judgement]. Of
    these the fit knows the sum; the rest, which sums to zero, is drawn. The areas sum to the mean
    differential of that day.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str

    Raises
    ------
    KeyError
        When the fit does not know the golfer.
    """
    golfer, today = golfer_draws(posterior, golfer_id), np.zeros(1)
    stock = stock_ahead(golfer, today, habit_hours(posterior, golfer_id))
    common = shared_path(golfer, today)[:, 0] + golfer.form
    own = practised(golfer, stock, today)[:, 0] + golfer.drift * golfer.drift_now
    lost: FLOATS = own + golfer.share * common[:, None]
    return lost + form_by_area(posterior, posterior.seed_of(golfer_id), golfer)


def form_by_area(posterior: Posterior, place: int, golfer: GolferDraws) -> FLOATS:
    """Form of each area beyond its share in the form of the whole score, strokes, shape (S, K).

    Covariance ``sd_wander^2 (diag(share) - share share')``: that of independent forms given their sum.
    """
    rng = np.random.default_rng([int(posterior.facts["seed"]), place, 13])
    own = np.sqrt(golfer.share) * rng.normal(size=golfer.share.shape)
    rest: FLOATS = own - golfer.share * own.sum(axis=1, keepdims=True)
    return golfer.population["sd_wander"][:, None] * rest


def same_index(posterior: Posterior, total: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Strokes lost by area by golfers whose areas sum to ``total``: their mean and spread, (S, K) each.

    Golfers differ in level by ``sd_level``, split by the club's shares, and by ``sd_area`` in each area
    independently. Among those of one total this is the conditional normal law: near the club's share of the
    total, with less spread than ``sd_area``, because what one area loses the others save.

    Parameters
    ----------
    posterior : Posterior
    total : array, shape (S,)
        Mean differential, strokes.
    """
    share, between = posterior.draws("share"), _between(posterior) ** 2
    middle, whole = (posterior.draws(name)[:, None] for name in ("level_mean", "sd_level"))
    cover = whole**2 * share + between
    slope = cover / cover.sum(axis=1, keepdims=True)
    left = whole**2 * share**2 + between - slope * cover
    mean = share * middle + slope * (total[:, None] - middle)
    return mean, np.sqrt(np.maximum(left, 0.0))


def mean_at_index(posterior: Posterior, golfer_id: str, index: float) -> FLOATS:
    """Mean differential of this golfer once his index is steady at ``index``, shape (S,).

    Lower scores than his mean make the index: the lowest 8 of 20 lie ``LOWEST_8_OF_20`` spreads below it.
    """
    level: FLOATS = index - LOWEST_8_OF_20 * golfer_draws(posterior, golfer_id).noise
    return level


def areas(club: Club, golfer: str | None = None, anyway: bool = False) -> AreaStrokes:
    """Say where strokes are lost, for every golfer or one, from the latest stored fit.

    Parameters
    ----------
    club : Club
    golfer : str, optional
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.

    Raises
    ------
    InputError
        For an unknown golfer.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    return areas_fit(posterior, goals_on_file(club.tables()), golfer=golfer, banner=banner)


def areas_fit(
    posterior: Posterior, aims: dict[str, float], *, golfer: str | None = None, banner: str = ""
) -> AreaStrokes:
    """Say where strokes are lost, from a fit and the goal index by golfer; see :func:`areas`."""
    records: list[dict[str, Any]] = []
    draws: dict[str, FLOATS] = {}
    for golfer_id in chosen(posterior, golfer):
        draws[golfer_id] = area_now(posterior, golfer_id)
        records += _records(posterior, golfer_id, draws[golfer_id], aims.get(golfer_id))
    return AreaStrokes(records, draws, banner)


def goals_on_file(tables: Tables) -> dict[str, float]:
    """Return the goal index by golfer, of those who have one on file."""
    people = tables.golfers.set_index("golfer_id")["goal_index"]
    return {str(name): float(goal) for name, goal in people.items() if not pd.isna(goal)}


def evidence_counts(posterior: Posterior, golfer_id: str) -> dict[str, int]:
    """Rounds that the fit has seen of a golfer by what they say, and his tests.

    ``rounds_stats`` are at least so many: those with greens or with putts, whichever are more.
    """
    at, known = posterior.golfer_number(golfer_id), posterior.tree["constant_data"].to_dataset()
    seen = {name: int(posterior.constant(name)[at]) if name in known else 0 for name in COUNTED}
    shots = seen["rounds_shots"]
    stats = max(max(seen["rounds_greens"], seen["rounds_putts"]) - shots, 0)
    return {
        "rounds_shots": shots,
        "rounds_stats": stats,
        "rounds_score_only": max(seen["rounds_seen"] - shots - stats, 0),
        "tests": seen["tests_seen"],
    }


def _between(posterior: Posterior) -> FLOATS:
    """Spread between golfers of one level in each area, shape (S, K), strokes."""
    if "sd_area" in posterior.tree["posterior"]:
        return posterior.draws("sd_area")
    assumed = float(posterior.facts["spec"]["priors"]["area_sd"])
    return np.full((posterior.samples, len(posterior.area_names)), assumed)


def _records(posterior: Posterior, golfer_id: str, lost: FLOATS, goal: float | None) -> list[dict[str, Any]]:
    posterior = posterior.of(golfer_id)
    typical, spread = same_index(posterior, lost.sum(axis=1))
    luck = np.random.default_rng([int(posterior.facts["seed"]), 5]).normal(size=lost.shape)
    like, against = typical + spread * luck, lost - typical
    aim = None
    if goal is not None:
        aim = same_index(posterior, mean_at_index(posterior, golfer_id, goal))[0]
    found = []
    for place, area in enumerate(posterior.area_names):
        record = {
            "golfer_id": golfer_id,
            "as_of": date.fromordinal(posterior.as_of + EPOCH_ORDINAL).isoformat(),
            "area": area,
            "lost": summary(lost[:, place]),
            "same_index": summary(like[:, place]),
            "against_same_index": summary(against[:, place]),
            "chance_more": float(np.mean(against[:, place] > 0.0)),
            "goal": goal,
            "at_goal": NONE if aim is None else summary(aim[:, place]),
            "against_goal": NONE if aim is None else summary((lost - aim)[:, place]),
            "evidence": evidence_word(
                removed(float(np.mean(spread[:, place] ** 2)), float(against[:, place].var()))
            ),
            "verdict": verdict(against[:, place]),
        }
        found.append(record | evidence_counts(posterior, golfer_id))
    return found


def verdict(against: FLOATS) -> str:
    """Say how an area compares with golfers of the same index.

    Parameters
    ----------
    against : array
        Draws of strokes lost beyond golfers of the same index; positive is worse.

    Returns
    -------
    {"loses more", "loses less", "about the same", "cannot tell yet"}
    """
    middle, more = float(np.median(against)), float(np.mean(against > 0.0))
    low, high = np.quantile(against, [0.1, 0.9])
    if more >= SURE and middle >= SMALLEST:
        return "loses more"
    if more <= 1.0 - SURE and middle <= -SMALLEST:
        return "loses less"
    return "about the same" if low > -ALIKE and high < ALIKE else "cannot tell yet"

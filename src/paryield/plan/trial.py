"""A golfer's weeks of changed practice, as an experiment: what they cost and how precisely they measure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.forecast import GolferDraws, golfer_draws
from paryield.forecast.outlook import fresh_stock, practised, shared_path, stock_ahead
from paryield.forecast.rounds import Pace
from paryield.model.terms.drift import SHORTEST_DAYS
from paryield.plan.learning import signal_of
from paryield.posterior import Posterior

LIKE_ROUNDS = 5.0
"""Rounds' worth of weight of the club's habit of keeping statistics in a golfer's own. [judgement]"""
GREENS_ERROR = 1.0 / np.sqrt(4.0 * 18.0)
"""Sampling error of 18 greens as an angle, ``arcsin(sqrt(share))`` (variance 1 / 4n; computed)."""

DAYS_PER_WEEK = 7


def round_information(posterior: Posterior, golfer: int) -> FLOATS:
    """Information of one round about strokes lost by area, shape (K, K), averaged over his kinds of round.

    A score says the sum of the areas; greens and putts, where he keeps them, set areas apart, and shots or
    strokes by area measure each one. How they move with the areas is taken from what was assumed before
    the fit, and other stats and tests are not counted, so this is a careful estimate.
    """
    priors: dict[str, Any] = posterior.facts["spec"]["priors"]
    share = posterior.draws("share").mean(axis=0)
    name = posterior.golfers[golfer]
    his = posterior.of(name)
    noise = float(np.sqrt(np.mean(his.draws("noise_total")[:, his.golfer_number(name)] ** 2)))
    shots, stats = _kept(posterior, golfer)
    loads, cover = with_statistics(priors, share, noise)
    from_stats = loads.T @ np.linalg.solve(cover, loads)
    from_shots = np.diag(1.0 / (np.array(priors["area_day"]) * noise) ** 2)
    from_score = np.ones((len(share), len(share))) / noise**2
    information: FLOATS = shots * from_shots + stats * from_stats + (1.0 - shots - stats) * from_score
    return information


def _kept(posterior: Posterior, golfer: int) -> tuple[float, float]:
    """Shares of rounds with strokes by area, and of others with greens and putts; the club fills in."""
    seen, shots = posterior.constant("rounds_seen"), posterior.constant("rounds_shots")
    both = np.minimum(posterior.constant("rounds_greens"), posterior.constant("rounds_putts"))
    both = np.minimum(both, seen - np.minimum(shots, seen))

    def drawn(count: FLOATS) -> float:
        club = float(count.sum() / max(seen.sum(), 1.0))
        return float((count[golfer] + LIKE_ROUNDS * club) / (seen[golfer] + LIKE_ROUNDS))

    return drawn(np.minimum(shots, seen)), drawn(both)


def with_statistics(priors: dict[str, Any], share: FLOATS, noise: float) -> tuple[FLOATS, FLOATS]:
    """Loads on the areas, and covariance, of (greens as an angle, putts, differential) of one round."""
    tee = float(priors["greens_tee_weight"])
    slope = float(priors["greens_per_stroke"]) / (share[1] + tee * share[0])
    short = float(priors["putts_short_game"])
    greens, putts = float(priors["greens_sd"]) * GREENS_ERROR, float(priors["putts_sd"])
    per_green, greens_day, putts_day = (
        float(priors[name]) for name in ("putts_per_green", "greens_day", "putts_day")
    )
    loads = np.array([[-tee * slope, -slope, 0.0, 0.0], [0.0, 0.0, short, 1.0], [1.0, 1.0, 1.0, 1.0]])
    # Luck of the day: greens; putts on the greens hit and of their own; the score takes part of both.
    luck = np.array([[1.0, 0.0], [per_green, 1.0], [-greens_day, putts_day]])
    cover = luck @ np.diag([greens**2, putts**2]) @ luck.T
    cover[2, 2] += max(noise**2 - cover[2, 2], 0.25 * noise**2)
    return loads, cover


@dataclass(frozen=True)
class Schedule:
    """Weekly hours of a block in equal phases, one after the other.

    Parameters
    ----------
    focus : tuple of str
        What each phase is about.
    hours : array, shape (P, J)
        Hours a week in each phase, in the order of the fit's categories.
    """

    focus: tuple[str, ...]
    hours: FLOATS


@dataclass(frozen=True)
class Trial:
    """One golfer in an experiment, with all that does not depend on the schedule.

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (T,)
        Middle of each week.
    beside : array, shape (S, T, K)
        Strokes lost by area beside level and practice.
    wander : array, shape (T K, T K)
        Covariance of form and drift to come.
    root : array, shape (T K, R)
        Root of the information of the rounds.
    rounds : float
        Rounds expected in the block.
    """

    golfer: GolferDraws
    days: FLOATS
    beside: FLOATS
    wander: FLOATS
    root: FLOATS
    rounds: float

    def lost(self, schedule: Schedule, days: FLOATS) -> FLOATS:
        """Strokes lost by area from level and practice under a schedule, shape (S, T, K)."""
        return practised(self.golfer, self.stock(schedule, days), days)

    def stock(self, schedule: Schedule, days: FLOATS) -> FLOATS:
        """Hours at work under a schedule, shape (S, T, J); a phase begins where the one before ends."""
        phases, weeks = len(schedule.hours), len(self.days)
        total = stock_ahead(self.golfer, days, schedule.hours[0])
        for phase in range(1, phases):
            begins = DAYS_PER_WEEK * round(weeks * phase / phases)
            more = schedule.hours[phase] - schedule.hours[phase - 1]
            total = total + fresh_stock(self.golfer, np.maximum(days - begins, 0.0), more)
        result: FLOATS = np.maximum(total, 0.0)
        return result

    def signal(self, schedule: Schedule) -> FLOATS:
        """What the block's rounds would measure, in units of their errors, shape (S, R)."""
        seen = self.lost(schedule, self.days) + self.beside
        return signal_of(seen.reshape(len(seen), -1), self.wander, self.root)

    def cost(self, schedule: Schedule, present: FLOATS) -> FLOATS:
        """Strokes a round lost at the end of the block against the present hours, shape (S,)."""
        end = np.array([float(DAYS_PER_WEEK * len(self.days))])
        now = self.lost(Schedule(("",), present[None, :]), end)
        worse: FLOATS = (self.lost(schedule, end) - now).sum(axis=(1, 2))
        return worse


def make_trial(
    posterior: Posterior, golfer_id: str, weeks: int, pace: Pace, each_round: FLOATS | None = None
) -> Trial:
    """Set up a golfer's experiment.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str
    weeks : int
    pace : Pace
        How often he plays.
    each_round : array, shape (K, K), optional
        Information of one round about strokes lost by area; default that of his kinds of round.
    """
    number = posterior.golfer_number(golfer_id)
    golfer = golfer_draws(posterior, golfer_id)
    days: FLOATS = (np.arange(weeks, dtype=float) + 0.5) * float(DAYS_PER_WEEK)
    rounds = pace.expected(posterior.as_of, 7.0 * weeks) * weeks * 12.0 / 52.18
    each = round_information(posterior, number) if each_round is None else each_round
    values, vectors = np.linalg.eigh(each)
    one = (vectors * np.sqrt(np.maximum(values, 0.0)))[:, values > 1e-9 * values.max()]
    root = np.kron(np.eye(weeks), np.sqrt(rounds / weeks) * one)
    keep = np.exp(-days[None, :] / golfer.population["wander_days"][:, None])
    common = shared_path(golfer, days) + golfer.form[:, None] * keep
    beside = common[:, :, None] * golfer.share[:, None, :] + golfer.drift[:, None, :] * golfer.drift_now
    return Trial(golfer, days, beside, _to_come(golfer, days), root, rounds)


def _to_come(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    """Covariance of form and drift not yet drawn, area by area and week by week, averaged over draws."""
    population = golfer.population
    gap, both = np.abs(days[:, None] - days[None, :]), days[:, None] + days[None, :]
    scale = float(np.mean(population["wander_days"]))
    form = float(np.mean(population["sd_wander"] ** 2)) * (np.exp(-gap / scale) - np.exp(-both / scale))
    share = golfer.share.mean(axis=0)
    record = max(golfer.elapsed_days, SHORTEST_DAYS)
    pace = float(np.mean(population["sd_drift"] ** 2)) * np.pi**2 / 8.0 / record
    drift = pace * np.minimum(days[:, None], days[None, :])
    cover: FLOATS = np.kron(form, np.outer(share, share)) + np.kron(drift, np.eye(len(share)))
    return cover
